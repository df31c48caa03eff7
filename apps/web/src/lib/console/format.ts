/**
 * Numbers and times as faculty read them: no trailing zero, a leading zero, "micrograms" in full, times as m:ss.
 */
export { clockText, momentText, spokenDuration } from '../time.ts';

/** A number with at most `places` decimals, never a trailing zero, always a leading zero. */
export function plainNumber(value: number, places = 3): string {
  if (!Number.isFinite(value)) return '?';
  const text = value.toFixed(places);
  const trimmed = text.includes('.') ? text.replace(/0+$/, '').replace(/\.$/, '') : text;
  return trimmed === '-0' ? '0' : trimmed;
}

/** Keeps every number on one line with its unit: "0.3" at the end of a line and "mL" on the next is how doses are misread. */
export function unbroken(text: string): string {
  return text.replace(/(\d) (?=[A-Za-z%µ°])/g, '$1\u00a0');
}

/** A length of time in short words: "20 s", "1 min", "2 min 30 s". */
export function spanText(ms: number): string {
  const whole = Math.max(0, Math.round(ms / 1000));
  const minutes = Math.floor(whole / 60);
  const seconds = whole % 60;
  if (minutes === 0) return `${seconds} s`;
  return seconds === 0 ? `${minutes} min` : `${minutes} min ${seconds} s`;
}

/** First letter upper case, the rest as it was (so "IM" and "SpO2" survive). */
export function sentence(text: string): string {
  return text.length === 0 ? text : text[0]!.toUpperCase() + text.slice(1);
}

/** An id made readable when nothing better is known: "legs-raised" gives "legs raised". */
export function idWords(id: string): string {
  return id.replace(/[-_]+/g, ' ');
}
