import { describe, expect, it } from 'vitest';
import fc from 'fast-check';
import {
  clampWindow,
  clip,
  linePath,
  placeLabels,
  textWidth,
  timeTicks,
  zoomAround,
} from '../../src/lib/debrief/draw.ts';

const run = { fromMs: 0, toMs: 1_200_000 };
const windows = fc.tuple(fc.integer({ min: -1e6, max: 2e6 }), fc.integer({ min: -1e6, max: 2e6 }));

describe('the window on the run', () => {
  it('always lies inside the run, in order, and never shrinks to nothing', () => {
    fc.assert(
      fc.property(
        windows,
        fc.integer({ min: -1e6, max: 2e6 }),
        fc.double({ min: 0.01, max: 100, noNaN: true }),
        ([a, b], about, factor) => {
          const view = clampWindow(Math.min(a, b), Math.max(a, b), run);
          for (const one of [view, zoomAround(view, about, factor, run)]) {
            expect(one.fromMs).toBeGreaterThanOrEqual(run.fromMs);
            expect(one.toMs).toBeLessThanOrEqual(run.toMs + 1e-6);
            expect(one.toMs - one.fromMs).toBeGreaterThanOrEqual(10_000 - 1e-6);
          }
        },
      ),
    );
  });

  it('keeps the moment zoomed about where it was', () => {
    const closer = zoomAround({ fromMs: 0, toMs: 1_000_000 }, 250_000, 0.5, run);
    expect((250_000 - closer.fromMs) / (closer.toMs - closer.fromMs)).toBeCloseTo(0.25, 12);
  });

  it('a run shorter than the least window shows whole', () => {
    expect(clampWindow(0, 1, { fromMs: 0, toMs: 4000 })).toEqual({ fromMs: 0, toMs: 4000 });
  });
});

describe('time ticks', () => {
  it('are round, inside, and never crowded', () => {
    fc.assert(
      fc.property(
        fc.integer({ min: 0, max: 3_600_000 }),
        fc.integer({ min: 5000, max: 7_200_000 }),
        fc.integer({ min: 80, max: 1800 }),
        (from, span, width) => {
          const ticks = timeTicks(from, from + span, width);
          for (const [index, tick] of ticks.entries()) {
            expect(tick % 1000).toBe(0);
            expect(tick).toBeGreaterThanOrEqual(from);
            expect(tick).toBeLessThanOrEqual(from + span);
            if (index > 0) expect(((tick - (ticks[index - 1] ?? 0)) * width) / span).toBeGreaterThanOrEqual(79.99);
          }
        },
      ),
    );
  });
});

describe('labels', () => {
  const items = fc.array(
    fc.record({ x: fc.integer({ min: 100, max: 900 }), text: fc.string({ maxLength: 40 }), first: fc.boolean() }),
    { maxLength: 30 },
  );

  it('never cover one another, keep every mark, and stay inside', () => {
    fc.assert(
      fc.property(items, (all) => {
        const placed = placeLabels(
          all.map((one, item) => ({ ...one, item })),
          3,
          { left: 100, right: 900 },
          14,
        );
        expect(placed.map((one) => one.item)).toEqual(all.map((_, index) => index));
        const spans = placed
          .filter((one) => one.text !== '')
          .map((one) => {
            const width = textWidth(one.text, 14);
            return {
              row: one.row,
              from: one.anchor === 'end' ? one.x - width : one.x,
              to: one.anchor === 'end' ? one.x : one.x + width,
            };
          });
        for (const [index, a] of spans.entries()) {
          expect(a.from).toBeGreaterThanOrEqual(100 - 12);
          expect(a.to).toBeLessThanOrEqual(900 + 12);
          for (const b of spans.slice(index + 1)) expect(a.row === b.row && a.from < b.to && b.from < a.to).toBe(false);
        }
      }),
    );
  });

  it('clip to the room there is', () => {
    expect(clip('Adrenaline', 1000, 14)).toBe('Adrenaline');
    expect(clip('Adrenaline, intramuscular', 100, 14)).toMatch(/…$/);
    expect(textWidth(clip('Adrenaline, intramuscular', 100, 14), 14)).toBeLessThanOrEqual(100);
    expect(clip('Adrenaline', 5, 14)).toBe('');
  });
});

describe('a line', () => {
  it('breaks where nothing was shown', () => {
    const points = [
      { atMs: 0, value: 1 },
      { atMs: 1000, value: 2 },
      { atMs: 2000, value: null },
      { atMs: 3000, value: 4 },
    ];
    const path = linePath(
      points,
      { fromMs: 0, toMs: 3000 },
      (ms) => ms / 1000,
      (v) => v,
      100,
    );
    expect(path).toBe('M0.0 1.0L1.0 2.0M3.0 4.0');
  });
});
