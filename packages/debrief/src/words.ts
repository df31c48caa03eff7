/** Times, amounts and ids in plain words. Every number a person reads in a debrief is worded here. */
import type { Library } from '@breathline/scenario';

/** Run-clock time as `m:ss`, past the hour `h:mm:ss` (whole seconds, rounded down): as every screen writes it. */
export function clockText(atMs: number): string {
  const total = Math.floor(Math.abs(atMs) / 1000);
  const sign = atMs < 0 && total > 0 ? '−' : '';
  const hours = Math.floor(total / 3600);
  const minutes = Math.floor((total % 3600) / 60);
  const rest = String(total % 60).padStart(2, '0');
  return hours > 0 ? `${sign}${hours}:${String(minutes).padStart(2, '0')}:${rest}` : `${sign}${minutes}:${rest}`;
}

/** A length of time in words: "4.5 s", "45 s", "2 min", "2 min 5 s". The sign is dropped. */
export function durationText(ms: number): string {
  const magnitude = Math.abs(ms);
  if (magnitude < 10_000) return `${plainNumber(Math.round(magnitude / 100) / 10)} s`;
  const seconds = Math.round(magnitude / 1000);
  const minutes = Math.floor(seconds / 60);
  const rest = seconds % 60;
  if (minutes === 0) return `${rest} s`;
  return rest === 0 ? `${minutes} min` : `${minutes} min ${rest} s`;
}

/** Up to four significant digits, a leading zero, no trailing zeros, never an exponent. */
export function plainNumber(value: number): string {
  if (!Number.isFinite(value)) return 'not a number';
  const rounded = Number(value.toPrecision(4));
  const text = Math.abs(rounded) < 1e-6 && rounded !== 0 ? rounded.toFixed(9) : rounded.toFixed(6);
  return text.includes('.') ? text.replace(/\.?0+$/, '') : text;
}

/** An amount with its unit in full: "150 micrograms", "0.5 mg". */
export function amountText(amount: number, unit: string): string {
  return `${plainNumber(amount)} ${unit}`;
}

/** The display name of an intervention; its id with the hyphens taken out when the library does not know it. */
export function interventionName(library: Library, id: string): string {
  return library.interventions.find((one) => one.id === id)?.name ?? id.replaceAll('-', ' ');
}

/** Several things in a sentence: "a", "a or b", "a, b or c". */
export function listText(items: readonly string[], word: 'and' | 'or'): string {
  if (items.length <= 1) return items[0] ?? '';
  return `${items.slice(0, -1).join(', ')} ${word} ${items[items.length - 1]}`;
}

/** First letter upper case. */
export function sentence(text: string): string {
  return text.slice(0, 1).toUpperCase() + text.slice(1);
}

/** A place on the body by its id, in words: "outer-mid-thigh" is the outer mid-thigh. */
export function siteText(id: string): string {
  return id.replaceAll('-', ' ').replace(/\bmid /g, 'mid-');
}

/** A route by its id: "IM", "IV" as they are said; "neb", "oral" stay words. */
export function routeText(id: string): string {
  return id.length <= 2 ? id.toUpperCase() : id;
}
