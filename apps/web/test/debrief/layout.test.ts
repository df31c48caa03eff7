/** Every treatment keeps its words, on a phone and on the room's wall; a wall's words are never small. */
import { describe, expect, it } from 'vitest';
import fc from 'fast-check';
import { buildTimeline, scoreRun, type TimelineModel } from '@breathline/debrief';
import { adrenaline, build, end, s } from '../../../../packages/debrief/test/build-run.ts';
import { dodge, textWidth } from '../../src/lib/debrief/draw.ts';
import { WALL_WIDTH, layOut, wallScale } from '../../src/lib/debrief/layout.ts';

const crowded = build({ lines: [...[100, 110, 125, 140, 150, 400, 410].map((at) => adrenaline(s(at))), end(s(600))] });
const model: TimelineModel = buildTimeline(crowded, scoreRun(crowded));
const whole = { fromMs: model.fromMs, toMs: model.toMs };

describe('the treatment lane', () => {
  for (const [name, width, glance] of [
    ['a phone', 358, null],
    ['a tablet', 992, null],
    ['a desk', 1700, null],
    ['a wall of 1366 px', 1240, { height: 570 }],
    ['a wall of 1920 px', 1240, { height: 610 }],
  ] as const) {
    it(`keeps the words of every dose on ${name}, and none over another`, () => {
      const { treatments, left, right, sizes } = layOut(model, whole, width, glance);
      expect(treatments.marks).toHaveLength(7);
      if (treatments.key.length === 0) {
        for (const { text, item } of treatments.marks) expect(text).toBe(item.label);
        return;
      }
      expect(treatments.key.map(({ n }) => n)).toEqual([1, 2, 3, 4, 5, 6, 7]);
      for (const { lines, item, x } of treatments.key) {
        expect(lines.join(' ')).toContain(item.label);
        for (const text of lines) expect(x + textWidth(text, sizes.dose)).toBeLessThanOrEqual(right);
      }
      const places = treatments.key.map(({ x, y }) => `${x} ${y}`);
      expect(new Set(places).size).toBe(places.length);
      for (const mark of treatments.marks) {
        expect(mark.x).toBeGreaterThanOrEqual(left);
        expect(mark.x).toBeLessThanOrEqual(right);
      }
    });
  }

  it('sets numbered marks side by side, in order, inside, for any crowd', () => {
    fc.assert(
      fc.property(fc.array(fc.integer({ min: 0, max: 382 }), { maxLength: 40 }), (places) => {
        const xs = [...places].sort((a, b) => a - b);
        const out = dodge(xs, { left: 4, right: 386 }, 26);
        expect(out).toHaveLength(xs.length);
        for (const row of new Set(out.map((one) => one.row))) {
          const mine = out.filter((one) => one.row === row).map(({ x }) => x);
          mine.forEach((x, index) => {
            expect(x).toBeGreaterThanOrEqual(4 - 1e-9);
            expect(x).toBeLessThanOrEqual(386 + 1e-9);
            if (index > 0) expect(x - mine[index - 1]!).toBeGreaterThanOrEqual(26 - 1e-9);
          });
        }
      }),
    );
  });
});

describe('the desk', () => {
  it('writes nothing under 16 px at 1920 and at 1366, and reads the same at both', () => {
    // Inside the page's margins.
    const [large, small] = [1920 - 160, 1366 - 64].map((width) => layOut(model, whole, width).sizes);
    expect(large).toEqual(small);
    expect(Math.min(...[large!.small, large!.label, large!.dose, large!.gap, large!.now])).toBeGreaterThanOrEqual(16);
  });
});

describe('the room’s wall', () => {
  it('writes numbers, drug names and times 28 px high at 1920 and 20 px at 1366', () => {
    const { sizes } = layOut(model, whole, WALL_WIDTH, { height: 600 });
    const least = Math.min(sizes.small, sizes.label, sizes.dose);
    expect(least * wallScale(1920 - 77)).toBeGreaterThanOrEqual(28);
    expect(least * wallScale(1366 - 55)).toBeGreaterThanOrEqual(20);
  });

  it('leaves out what does not fit rather than shrink: the three vitals that matter most stay, inside the height', () => {
    for (const height of [520, 600, 700]) {
      const at = layOut(model, whole, WALL_WIDTH, { height });
      expect(at.panels.length).toBeGreaterThanOrEqual(3);
      expect(at.panels.map(({ panel }) => panel.id).slice(0, 3)).toEqual(['spo2', 'pressure', 'pulse']);
      if (height >= 600) expect(at.height).toBeLessThanOrEqual(height + 1);
    }
    // Under a replayed monitor there is less: fewer vitals then, and the time that was lost still stands under them.
    for (const height of [340, 380, 430]) {
      const at = layOut({ ...model, doses: model.doses.slice(0, 3) }, whole, WALL_WIDTH, { height });
      expect(at.panels[0]?.panel.id).toBe('spo2');
      expect(at.panelsBottom + at.sizes.gap + 11).toBeLessThanOrEqual(height);
    }
  });

  it('on a phone names take rows of their own: a target that is drawn is drawn whole, or not named at all', () => {
    const three = { ...model, targets: Array.from({ length: 3 }, () => model.targets[0]!) };
    const shown = [560, 700, 860, 1000, 1200].map((height) => {
      const at = layOut(three, whole, 358 / 0.8, { height });
      if (at.targets.length > 0) expect(at.height, `${height} px`).toBeLessThanOrEqual(height + 1);
      return at.targets.length;
    });
    expect(shown[0]).toBe(0);
    expect(shown.at(-1)).toBe(3);
  });
});
