/** Sums of the soak. Pure. */

/** Random numbers in [0, 1) that are the same for the same seed (mulberry32, public domain). */
export function seeded(seed: number): () => number {
  let state = seed >>> 0;
  return () => {
    state = (state + 0x6d2b79f5) >>> 0;
    let mixed = state;
    mixed = Math.imul(mixed ^ (mixed >>> 15), mixed | 1);
    mixed ^= mixed + Math.imul(mixed ^ (mixed >>> 7), mixed | 61);
    return ((mixed ^ (mixed >>> 14)) >>> 0) / 4294967296;
  };
}

export function median(values: readonly number[]): number {
  const sorted = [...values].sort((a, b) => a - b);
  const middle = Math.floor(sorted.length / 2);
  if (sorted.length === 0) return NaN;
  return sorted.length % 2 === 1 ? sorted[middle]! : (sorted[middle - 1]! + sorted[middle]!) / 2;
}

export const percentile = (values: readonly number[], share: number): number => {
  const sorted = [...values].sort((a, b) => a - b);
  return sorted[Math.min(sorted.length - 1, Math.max(0, Math.ceil(share * sorted.length) - 1))] ?? NaN;
};

export interface At {
  readonly minutes: number;
  readonly value: number;
}

/** Least-squares slope, units an hour; NaN for fewer than three points. */
export function slopePerHour(points: readonly At[]): number {
  if (points.length < 3) return NaN;
  const meanX = points.reduce((sum, { minutes }) => sum + minutes, 0) / points.length;
  const meanY = points.reduce((sum, { value }) => sum + value, 0) / points.length;
  const above = points.reduce((sum, { minutes, value }) => sum + (minutes - meanX) * (value - meanY), 0);
  const below = points.reduce((sum, { minutes }) => sum + (minutes - meanX) ** 2, 0);
  return (above / below) * 60;
}

/** By how much the last third stands above the first (its middle values): one odd reading moves neither. */
export function rise(points: readonly At[]): number {
  const third = Math.max(1, Math.floor(points.length / 3));
  return (
    median(points.slice(-third).map(({ value }) => value)) - median(points.slice(0, third).map(({ value }) => value))
  );
}

/** One look at a monitor: the clock all pages of this machine share, and the run clock its traces have reached, ms. */
export interface Look {
  readonly wall: number;
  readonly head: number;
  /** It says nothing of being alone, lost or paused. */
  readonly inTouch: boolean;
}

/** How far two monitors were apart at each look of the one that has a look of the other within 150 ms, ms. */
export function apart(one: readonly Look[], two: readonly Look[]): { wall: number; ms: number; inTouch: boolean }[] {
  const found: { wall: number; ms: number; inTouch: boolean }[] = [];
  let at = 0;
  for (const look of one) {
    while (at + 1 < two.length && Math.abs(two[at + 1]!.wall - look.wall) <= Math.abs(two[at]!.wall - look.wall))
      at += 1;
    const near = two[at];
    if (!near || Math.abs(near.wall - look.wall) > 150) continue;
    // Set right for the two looks not falling on the same instant.
    const ms = Math.abs(near.head - look.head - (near.wall - look.wall));
    found.push({ wall: look.wall, ms, inTouch: look.inTouch && near.inTouch });
  }
  return found;
}
