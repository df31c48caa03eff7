/** Numbers of many runs, as they are read. */
import {
  FEWER,
  NOT_WATCHED,
  durationText,
  hiddenWords,
  type Agreement,
  type ProgrammePage,
  type ShownEstimate,
  type ShownFaults,
  type ShownShare,
} from '@breathline/debrief';

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

/** "2 min 5 s", "2 min", "45 s": whole seconds. */
export const secondsText = (ms: number): string => durationText(Math.round(ms / 1000) * 1000);

/** A share in whole per cent. */
export const percentText = (share: number): string => `${Math.round(share * 100)} %`;

export const intervalText = (interval: readonly [number, number] | null, of: (value: number) => string): string =>
  interval === null ? 'no interval' : `95 % interval ${of(interval[0])} to ${of(interval[1])}`;

/** "31 %", "none judged", or why there is no share. */
export function shareText({ count, of, hidden }: ShownShare): string {
  if (hidden !== null) return hiddenWords(hidden);
  return count === null || of === null || of === 0 ? 'none judged' : `${percentText(count / of)} (${count})`;
}

/** "31 %" of a curve, why there is none, or why it is not shown. */
export const estimateText = ({ share, hidden }: ShownEstimate): string =>
  hidden !== null ? hiddenWords(hidden) : share === null ? NOT_WATCHED : percentText(share);

/**
 * "In 15 an adequate dose was given; half had it by 4 min 22 s, those who never did counted as well." A count of one to four
 * is not shown, nor all but one to four.
 */
export function givenText({ givenInAll, overall, suppressed }: ProgrammePage): string {
  const { count, hidden } = givenInAll;
  const given =
    hidden === 'few' || hidden === 'all-but-few'
      ? `In ${hiddenWords(hidden)} an adequate dose was given`
      : hidden !== null || count === null
        ? 'In how many an adequate dose was given is not shown'
        : `In ${count} an adequate dose was given`;
  if (suppressed || overall.n === 0) return `${given}.`;
  return overall.medianMs === null
    ? `${given}: fewer than half of all.`
    : `${given}; half of all had it by ${secondsText(overall.medianMs)}, those who never did counted as well.`;
}

/** "In 12 of 60 runs the first adrenaline was not adequate: wrong dose 7, wrong route 5." */
export function faultsText({ count, of, hidden, kinds }: ShownFaults): string {
  if (hidden === null && (of ?? 0) === 0) return '';
  if (hidden === null && count === 0) return `In none of ${of} runs was the first adrenaline other than adequate.`;
  const few = hidden === 'few' || hidden === 'all-but-few';
  const runs =
    hidden === null || few
      ? `In ${few ? hiddenWords(hidden) : count} of ${of} runs the first adrenaline was not adequate`
      : `${of === null ? 'Runs' : `Of ${of} runs, those`} in which the first adrenaline was not adequate: ${hiddenWords(hidden)}`;
  const named = kinds.map(({ says, count: n }) => (n === null ? says : `${says} ${n}`)).join(', ');
  const apart =
    kinds.length > 1 && kinds.some(({ count: n }) => n === null)
      ? ' (the kinds are not counted apart, as one is small)'
      : '';
  return named === '' ? `${runs}.` : `${runs}: ${named}${apart}.`;
}

/** A number of runs, "fewer than 5" where it is not told. */
export const runsText = (n: number | null): string => (n === null ? FEWER : String(n));

/** "Mar 2026" of "2026-03". */
export function monthText(month: string): string {
  const at = new Date(`${month}-01T00:00:00Z`);
  return Number.isNaN(at.getTime())
    ? month
    : at.toLocaleDateString('en-GB', { month: 'short', year: 'numeric', timeZone: 'UTC' });
}

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
