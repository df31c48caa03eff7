/** The code this device joined with, kept for this tab so that a reload of the monitor finds its run again. */
const KEY = 'breathline-join-code';

/** Letters and digits only, upper case: what people type with spaces and dashes is the same code. */
export function tidyCode(text: string): string {
  return text
    .toUpperCase()
    .replace(/[^A-Z0-9]/g, '')
    .slice(0, 6);
}

export function keepJoinCode(code: string): void {
  try {
    sessionStorage.setItem(KEY, code);
  } catch {
    // Storage may be barred; the code then has to be typed again after a reload.
  }
}

export function keptJoinCode(): string | null {
  try {
    return sessionStorage.getItem(KEY);
  } catch {
    return null;
  }
}
