/** Offers a value to this device as a JSON file. */
export function saveJson(fileName: string, value: unknown): void {
  const address = URL.createObjectURL(new Blob([JSON.stringify(value)], { type: 'application/json' }));
  const link = document.createElement('a');
  link.href = address;
  link.download = fileName;
  link.click();
  // The browser has its own hold on the file by then.
  setTimeout(() => URL.revokeObjectURL(address), 10_000);
}
