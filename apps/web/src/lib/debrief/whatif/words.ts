/** Differences between two courses in words: "2 min to 4 min less", never one number where the model has a range. */
import { clockText, durationText, plainNumber } from '@breathline/debrief';
import type { Difference } from '@breathline/engine';

const WAY: Readonly<Record<Difference['unit'], readonly [down: string, up: string]>> = {
  ms: ['less', 'more'],
  'run-clock ms': ['earlier', 'later'],
  '%': ['lower', 'higher'],
  mmHg: ['lower', 'higher'],
  '/min': ['lower', 'higher'],
  fraction: ['lower', 'higher'],
};
/** Smaller than this is no difference anyone could see, in the outcome's own unit. */
const LEAST: Readonly<Record<Difference['unit'], number>> = {
  ms: 1000,
  'run-clock ms': 1000,
  '%': 0.5,
  mmHg: 0.5,
  '/min': 0.5,
  fraction: 0.005,
};

function size(value: number, unit: Difference['unit']): string {
  const much = Math.abs(value);
  if (unit === 'ms' || unit === 'run-clock ms') return durationText(Math.round(much / 1000) * 1000);
  if (unit === 'fraction') return plainNumber(Math.round(much * 100) / 100);
  const whole = Math.round(much);
  if (unit === '%') return `${whole} ${whole === 1 ? 'point' : 'points'}`;
  return `${whole}${unit === '/min' ? '/min' : ` ${unit}`}`;
}

/** What the edit does to one outcome. */
export function changeText(one: Difference): string {
  const { unit, change, changeRange } = one;
  if (change === null) return oneSided(one);
  const least = LEAST[unit];
  const [low, high] = changeRange ?? [change, change];
  const [down, up] = WAY[unit];
  const none = (value: number): boolean => Math.abs(value) < least;
  if (none(low) && none(high)) return 'no difference';
  if (low < 0 && high > 0 && !none(low) && !none(high)) {
    return `between ${size(low, unit)} ${down} and ${size(high, unit)} ${up}`;
  }
  // Both ends are on one side of nothing, or one of them is as good as nothing.
  const way = low + high < 0 ? down : up;
  const [near, far] = way === down ? [high, low] : [low, high];
  if (none(near)) return `up to ${size(far, unit)} ${way}`;
  const [a, b] = [size(near, unit), size(far, unit)];
  if (a === b) return `${a} ${way}`;
  return `${shared(a, b)} to ${b} ${way}`;
}

/** What has a value in one course alone; never as certain as the model's constants are not. */
function oneSided({ id, base, alternative, happens, without }: Difference): string {
  if (base === null && alternative === null) return 'in neither course';
  if (id === 'recoveryAtMs') {
    if (alternative === null)
      return without?.alternative === 'never-in-danger' ? 'never in danger' : 'still in danger at the end';
    return without?.base === 'never-in-danger'
      ? 'in danger in the what-if alone'
      : 'out of danger in the what-if alone';
  }
  if (base === null)
    return happens.base > 0
      ? 'only in the what-if; in the run with some constants of the model'
      : 'only in the what-if';
  return happens.alternative > 0
    ? 'no longer happens; with some constants of the model it still does'
    : 'no longer happens in the what-if';
}

/** "2 min" to "4 min" is "2 to 4 min". */
function shared(a: string, b: string): string {
  const [first, second] = [/^([\d.]+)( ?\D+)$/.exec(a), /^([\d.]+)( ?\D+)$/.exec(b)];
  return first && second && first[2] === second[2] ? (first[1] ?? a) : a;
}

/** A value of an outcome: a clock time, a length of time or a number with its unit. */
export function valueText(value: number | null, unit: Difference['unit']): string {
  if (value === null) return 'never';
  if (unit === 'ms') return durationText(Math.round(value / 1000) * 1000);
  if (unit === 'run-clock ms') return clockText(value);
  if (unit === 'fraction') return plainNumber(Math.round(value * 100) / 100);
  return `${Math.round(value)}${unit === '/min' ? '/min' : ` ${unit}`}`;
}

/** The value of one course, or why there is none. */
export function courseText(one: Difference, course: 'base' | 'alternative'): string {
  const why = one.without?.[course];
  if (why !== undefined) return why === 'never-in-danger' ? 'never in danger' : 'not by the end';
  return valueText(one[course], one.unit);
}

/** Whether an outcome is worth a line: it happened, or could have. */
export const worthSaying = (one: Difference): boolean =>
  !(one.base === null && one.alternative === null) &&
  !(one.id === 'arrestMs' && one.base === 0 && one.alternative === 0);
