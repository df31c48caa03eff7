/** The course of a vital as a small line: where its points stand in a box of one by one. Pure. */
import type { RehearsedCheck, VitalCourse } from '@breathline/debrief';

/** A point of the box: 0,0 is left and top. */
export interface Spot {
  readonly x: number;
  readonly y: number;
}

export interface Line {
  /** For `points` of a polyline in a box of 1000 by 100. */
  readonly path: string;
  readonly low: number;
  readonly high: number;
  /** Where the rehearsal looked at this vital, and whether what it asked for held. */
  readonly looked: readonly (Spot & { readonly ok: boolean })[];
}

/** Left free above and below the line, as a share of the box. */
const EDGE = 0.1;
/** A course that hardly moves is drawn flat, not as noise: the least span, by share of its highest value. */
const LEAST_SHARE = 0.08;

/** @param endMs How long the rehearsal lasted: the right edge. */
export function lineOf(course: VitalCourse, checks: readonly RehearsedCheck[], endMs: number): Line {
  const values = course.points.map(([, value]) => value);
  const low = Math.min(...values);
  const high = Math.max(...values);
  const span = Math.max(high - low, Math.abs(high) * LEAST_SHARE, Number.EPSILON);
  const middle = (low + high) / 2;
  const spot = (atMs: number, value: number): Spot => ({
    x: endMs > 0 ? atMs / endMs : 0,
    y: Math.min(1, Math.max(0, 0.5 - ((value - middle) / span) * (1 - 2 * EDGE))),
  });
  return {
    path: course.points
      .map(([atMs, value]) => spot(atMs, value))
      .map(({ x, y }) => `${(x * 1000).toFixed(1)},${(y * 100).toFixed(1)}`)
      .join(' '),
    low,
    high,
    looked: checks.flatMap(({ vital, ok }) =>
      vital?.id === course.vital && vital.value !== null ? [{ ...spot(vital.atMs, vital.value), ok }] : [],
    ),
  };
}

/** "98 to 176 /min", or one number where it hardly moved. */
export function rangeText({ low, high }: Pick<Line, 'low' | 'high'>, unit: string): string {
  const [a, b] = [Math.round(low), Math.round(high)];
  return `${a === b ? a : `${a} to ${b}`} ${unit}`.trim();
}

/** Where a line of a text begins and ends, for a field that shows it. Lines count from 1. */
export function lineSpan(text: string, line: number): { readonly from: number; readonly to: number } {
  const lines = text.split('\n');
  const at = Math.min(Math.max(1, line), lines.length) - 1;
  const from = lines.slice(0, at).reduce((sum, each) => sum + each.length + 1, 0);
  return { from, to: from + lines[at]!.length };
}
