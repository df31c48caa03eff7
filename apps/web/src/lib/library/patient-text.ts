/** Weight for people: "23 kg", "7.5 kg"; no trailing zero. */
export function weightText(weightKg: number): string {
  return `${Number(weightKg.toFixed(1))} kg`;
}
