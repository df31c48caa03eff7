/** Intervals that say how little a few runs can tell. */
import { Z95, mean } from './numbers.ts';

/** Wilson's 95 % interval of a share, without continuity correction (Wilson 1927; Newcombe, Stat Med 1998;17:857-72). */
export function wilson(count: number, of: number): readonly [number, number] | null {
  if (of <= 0 || count < 0 || count > of) return null;
  const share = count / of;
  const z2 = Z95 * Z95;
  const middle = share + z2 / (2 * of);
  const half = Z95 * Math.sqrt((share * (1 - share)) / of + z2 / (4 * of * of));
  const whole = 1 + z2 / of;
  // Rounding may leave a hair below 0 or above 1 at the ends.
  return [count === 0 ? 0 : (middle - half) / whole, count === of ? 1 : (middle + half) / whole];
}

export interface Bootstrap {
  readonly estimate: number;
  readonly standardError: number;
  /** Percentile interval, 95 %. */
  readonly interval: readonly [number, number];
  readonly resamples: number;
  readonly seed: number;
  readonly n: number;
  /** Fewer than ten values: the interval is too narrow to be believed. */
  readonly few: boolean;
}

/** A small seeded generator (mulberry32), so that the same seed prints the same interval everywhere. */
function uniform(seed: number): () => number {
  let state = seed >>> 0;
  return () => {
    state = (state + 0x6d2b79f5) >>> 0;
    let t = state;
    t = Math.imul(t ^ (t >>> 15), t | 1);
    t ^= t + Math.imul(t ^ (t >>> 7), t | 61);
    return ((t ^ (t >>> 14)) >>> 0) / 4294967296;
  };
}

/**
 * Percentile bootstrap (Efron & Tibshirani, An Introduction to the Bootstrap, 1993) of any statistic. Null for no values.
 */
export function bootstrap(
  values: readonly number[],
  statistic: (sample: readonly number[]) => number,
  options: { readonly resamples?: number; readonly seed?: number } = {},
): Bootstrap | null {
  const n = values.length;
  if (n === 0) return null;
  const resamples = options.resamples ?? 10_000;
  const seed = options.seed ?? 1;
  const next = uniform(seed);
  const sample = new Array<number>(n);
  const found: number[] = [];
  for (let r = 0; r < resamples; r++) {
    for (let i = 0; i < n; i++) sample[i] = values[Math.floor(next() * n)]!;
    found.push(statistic(sample));
  }
  return summed(found, statistic(values), { n, resamples, seed });
}

/**
 * The same of the median, without sorting each resample: how often each of the ordered values was drawn is enough. Gives
 * what `bootstrap` gives for the ordered values, draw for draw, in a tenth of the time for thousands of values.
 */
export function bootstrapMedian(
  values: readonly number[],
  options: { readonly resamples?: number; readonly seed?: number } = {},
): Bootstrap | null {
  const n = values.length;
  if (n === 0) return null;
  const resamples = options.resamples ?? 10_000;
  const seed = options.seed ?? 1;
  const next = uniform(seed);
  const ordered = Float64Array.from(values).sort();
  const drawn = new Int32Array(n);
  const found: number[] = [];
  for (let r = 0; r < resamples; r++) {
    drawn.fill(0);
    for (let i = 0; i < n; i++) drawn[Math.floor(next() * n)]! += 1;
    found.push(middleOf(ordered, drawn));
  }
  return summed(found, middleOf(ordered, new Int32Array(n).fill(1)), { n, resamples, seed });
}

/** Middle of ordered values that were drawn so many times each. */
function middleOf(ordered: Float64Array, drawn: Int32Array): number {
  const [low, high] = [(ordered.length - 1) >> 1, ordered.length >> 1];
  let [passed, at] = [0, 0];
  while (passed + drawn[at]! <= low) passed += drawn[at++]!;
  const below = ordered[at]!;
  while (passed + drawn[at]! <= high) passed += drawn[at++]!;
  return below + (ordered[at]! - below) * (high === low ? 0 : 0.5);
}

function summed(
  found: number[],
  estimate: number,
  { n, resamples, seed }: Pick<Bootstrap, 'n' | 'resamples' | 'seed'>,
): Bootstrap {
  const middle = mean(found);
  const sorted = found.sort((a, b) => a - b);
  const rank = (share: number): number =>
    sorted[Math.min(resamples - 1, Math.max(0, Math.ceil(share * resamples) - 1))]!;
  return {
    estimate,
    standardError: Math.sqrt(found.reduce((so, x) => so + (x - middle) ** 2, 0) / (resamples - 1)),
    interval: [rank(0.025), rank(0.975)],
    resamples,
    seed,
    n,
    few: n < 10,
  };
}
