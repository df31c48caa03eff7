import { describe, expect, it } from 'vitest';
import type { RehearsedCheck, VitalCourse } from '@breathline/debrief';
import { lineOf, lineSpan, rangeText } from '../src/lib/rehearse/lines.ts';

const course = (...points: [number, number][]): VitalCourse => ({
  vital: 'spo2Percent',
  label: 'Oxygen saturation',
  unit: '%',
  points,
});
const looked = (atMs: number, value: number | null, ok: boolean): RehearsedCheck => ({
  place: { line: 1, column: 1 },
  says: '',
  found: '',
  ok,
  vital: { id: 'spo2Percent', atMs, value },
});

describe('the small line of a vital', () => {
  it('goes from the left edge to the right, high values above', () => {
    const line = lineOf(course([0, 98], [300_000, 76], [600_000, 90]), [], 600_000);
    expect(line.path).toBe('0.0,10.0 500.0,90.0 1000.0,39.1');
    expect(rangeText(line, '%')).toBe('76 to 98 %');
  });

  it('is flat where the vital hardly moves', () => {
    const line = lineOf(course([0, 98], [600_000, 98.4]), [], 600_000);
    for (const point of line.path.split(' ')) expect(Math.abs(Number(point.split(',')[1]) - 50)).toBeLessThan(5);
    expect(rangeText(line, '%')).toBe('98 %');
  });

  it('marks where it was looked at, on the line, inside the box, and only of this vital', () => {
    const other = { ...looked(1, 1, true), vital: { id: 'systolicMmHg' as const, atMs: 1, value: 1 } };
    const line = lineOf(
      course([0, 98], [600_000, 76]),
      [looked(300_000, 87, true), looked(600_000, 20, false), looked(700_000, null, false), other],
      600_000,
    );
    expect(line.looked).toEqual([
      { x: 0.5, y: 0.5, ok: true },
      { x: 1, y: 1, ok: false },
    ]);
  });
});

it('finds a line of a text, and the nearest where there is none', () => {
  const text = 'one\ntwo\n\nfour';
  const at = (line: number) => {
    const { from, to } = lineSpan(text, line);
    return text.slice(from, to);
  };
  expect([1, 2, 3, 4, 99, 0].map(at)).toEqual(['one', 'two', '', 'four', 'four', 'one']);
});
