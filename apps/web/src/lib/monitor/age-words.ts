/** The age on the screen. Pure. */

/** "7 years", "8 months", "20 days": an age as a bedside says it. */
export function ageWords(years: number): string {
  const plural = (n: number, word: string): string => `${n} ${word}${n === 1 ? '' : 's'}`;
  if (years >= 2) return plural(Math.floor(years), 'year');
  if (years * 12 >= 1) return plural(Math.floor(years * 12), 'month');
  return plural(Math.max(0, Math.floor(years * 365.25)), 'day');
}
