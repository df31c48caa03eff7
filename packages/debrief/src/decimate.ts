/** Fewer points, same picture. */
import type { TimelinePoint } from './timeline-types.ts';

/**
 * Keeps, for every pixel column of [fromMs, toMs], the first, lowest, highest and last value, so that no dip is lost
 * however long the run. The neighbour on each side of the window is kept so that lines reach the edges. A gap (null)
 * stays a gap. Points must be in time order; `pixels` below 1 counts as 1.
 */
export function decimate(
  points: readonly TimelinePoint[],
  fromMs: number,
  toMs: number,
  pixels: number,
): readonly TimelinePoint[] {
  const columns = Math.max(1, Math.floor(pixels));
  const span = Math.max(1, toMs - fromMs);
  let first = lowerBound(points, fromMs);
  let last = lowerBound(points, toMs + 1);
  first = Math.max(0, first - 1);
  last = Math.min(points.length, last + 1);
  if (last - first <= columns * 4) return points.slice(first, last);
  const kept: TimelinePoint[] = [];
  let index = first;
  while (index < last) {
    const column = columnOf(points[index], fromMs, span, columns);
    let stop = index + 1;
    while (stop < last && columnOf(points[stop], fromMs, span, columns) === column) stop++;
    keepColumn(points, index, stop, kept);
    index = stop;
  }
  return kept;
}

function columnOf(point: TimelinePoint | undefined, fromMs: number, span: number, columns: number): number {
  return Math.floor((((point?.atMs ?? 0) - fromMs) * columns) / span);
}

function keepColumn(points: readonly TimelinePoint[], from: number, to: number, kept: TimelinePoint[]): void {
  const wanted = new Set<number>([from, to - 1]);
  let low = -1;
  let high = -1;
  for (let index = from; index < to; index++) {
    const value = points[index]?.value ?? null;
    if (value === null) {
      // One point is enough to break the line.
      if ((points[index - 1]?.value ?? null) !== null) wanted.add(index);
      continue;
    }
    if (low < 0 || value < (points[low]?.value ?? Infinity)) low = index;
    if (high < 0 || value > (points[high]?.value ?? -Infinity)) high = index;
  }
  if (low >= 0) wanted.add(low).add(high);
  for (const index of [...wanted].sort((a, b) => a - b)) {
    const point = points[index];
    if (point) kept.push(point);
  }
}

function lowerBound(points: readonly TimelinePoint[], atMs: number): number {
  let low = 0;
  let high = points.length;
  while (low < high) {
    const middle = (low + high) >> 1;
    if ((points[middle]?.atMs ?? 0) < atMs) low = middle + 1;
    else high = middle;
  }
  return low;
}

/** The last value at or before a time, or null in a gap or before the first. */
export function valueAt(points: readonly TimelinePoint[], atMs: number): number | null {
  return points[lowerBound(points, atMs + 1) - 1]?.value ?? null;
}
