/** Numbers of many runs, as they are read. */
import type { Agreement } from '@breathline/debrief';

export const RULES = [
  { value: 'run-chart', label: 'Run chart (median)' },
  { value: 'runs-only', label: 'Runs analysis (median)' },
  { value: 'control-chart', label: 'Control chart (mean, limits)' },
  { value: 'xmr-four-rules', label: 'XmR chart, four rules (mean, limits)' },
] as const;

export const GROUPS = [
  { value: 'none', label: 'All together' },
  { value: 'ward', label: 'Ward' },
  { value: 'team', label: 'Team (pseudonym)' },
  { value: 'scenario', label: 'Scenario' },
  { value: 'month', label: 'Month' },
] as const;

/** "2 min 5 s", "45 s". */
export function secondsText(ms: number): string {
  const seconds = Math.round(ms / 1000);
  const minutes = Math.floor(seconds / 60);
  return minutes === 0 ? `${seconds} s` : `${minutes} min ${seconds % 60} s`;
}

/** A share in whole per cent. */
export const percentText = (share: number): string => `${Math.round(share * 100)} %`;

export const intervalText = (interval: readonly [number, number] | null, of: (value: number) => string): string =>
  interval === null ? 'no interval' : `95 % interval ${of(interval[0])} to ${of(interval[1])}`;

/** "12 Mar 2026". */
export function dayText(iso: string): string {
  const at = new Date(iso);
  return Number.isNaN(at.getTime())
    ? iso
    : at.toLocaleDateString('en-GB', { day: 'numeric', month: 'short', year: 'numeric' });
}

/** The number with its interval and counts, or why there is none. */
export function agreementText(one: Agreement): string {
  if (!one.ok) return `No number: ${one.because}.`;
  const two = (value: number) => value.toFixed(2).replace('-', '−');
  return `${two(one.value)}, ${intervalText(one.interval, two)}, ${one.subjects} rated by ${one.raters}`;
}
