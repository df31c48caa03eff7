import { describe, expect, it } from 'vitest';
import { columnPoints, secondsAcross, Sweep } from '../../src/lib/monitor/sweep.ts';

/** A canvas that keeps which pixel columns hold ink, and how high it reached. */
function fakeCanvas() {
  const ink = new Map<number, { top: number; foot: number }>();
  let path: [number, number][] = [];
  const context = {
    clearRect(x: number, _y: number, width: number) {
      for (let k = x; k < x + width; k += 1) ink.delete(k);
    },
    beginPath: () => (path = []),
    moveTo: (x: number, y: number) => path.push([x, y]),
    lineTo: (x: number, y: number) => path.push([x, y]),
    stroke() {
      for (let i = 1; i < path.length; i += 1) {
        const [x0, y0] = path[i - 1]!;
        const [x1, y1] = path[i]!;
        const x = Math.floor((x0 + x1) / 2);
        const was = ink.get(x) ?? { top: Infinity, foot: -Infinity };
        ink.set(x, { top: Math.min(was.top, y0, y1), foot: Math.max(was.foot, y0, y1) });
      }
    },
    fill: () => undefined,
    fillRect: () => undefined,
  };
  const canvas = { width: 0, height: 0, getContext: () => context };
  return { canvas: canvas as unknown as HTMLCanvasElement, ink };
}

const LOOK = { low: 0, high: 1, lineWidth: 2, fillTo: null, levels: [] };

describe('a swept trace', () => {
  it('inks every column once and keeps a clear gap ahead of the pen', () => {
    const { canvas, ink } = fakeCanvas();
    const sweep = new Sweep(canvas, () => 0.5, LOOK);
    sweep.fit(900, 100, 1);
    const columnMs = (secondsAcross(900) * 1000) / 900;
    let calls = 0;
    for (let t = 0; t < 15_000; t += 16.7) {
      sweep.sweepTo(t);
      calls += 1;
    }
    const head = Math.floor((16.7 * (calls - 1)) / columnMs) - 1;
    expect(sweep.drawn).toBeGreaterThan(head - 3);
    expect(sweep.drawn).toBeLessThan(head + 3);
    for (let k = 2; k < 20; k += 1) expect(ink.has((head + k) % 900)).toBe(false);
    for (let k = 25; k < 900; k += 1) expect(ink.has((head + k) % 900), `column ${k} ahead`).toBe(true);
  });

  it('keeps a spike a hundredth of a column wide', () => {
    const columns = new Float32Array([0, 0, 1, 0]);
    const ys = columnPoints(columns, 10, (v) => 100 - 100 * v).map(([, y]) => y);
    expect(Math.min(...ys)).toBe(0);
  });

  it('leaves a gap, not an invented stretch, when the clock jumps', () => {
    const { canvas, ink } = fakeCanvas();
    const sweep = new Sweep(canvas, () => 0.5, LOOK);
    sweep.fit(900, 100, 1);
    for (let t = 0; t < 1000; t += 16.7) sweep.sweepTo(t);
    const before = sweep.drawn;
    sweep.sweepTo(4000);
    expect(sweep.drawn).toBe(before);
    sweep.sweepTo(4100);
    const columnMs = (secondsAcross(900) * 1000) / 900;
    expect(ink.has(Math.floor(2500 / columnMs))).toBe(false);
    expect(ink.has(Math.floor(4050 / columnMs))).toBe(true);
  });

  it('draws what is past again after a change of size, and not from before its device came on', () => {
    const { canvas, ink } = fakeCanvas();
    const sweep = new Sweep(canvas, () => 0.5, LOOK);
    sweep.fit(900, 100, 1);
    for (let t = 2000; t < 4000; t += 16.7) sweep.sweepTo(t);
    ink.clear();
    expect(sweep.fit(600, 100, 1)).toBe(true);
    sweep.sweepTo(4000);
    const columnMs = (secondsAcross(600) * 1000) / 600;
    expect(ink.has(Math.floor(3000 / columnMs))).toBe(true);
    expect(ink.has(Math.floor(1500 / columnMs))).toBe(false);
  });

  it('draws a still picture with the newest at the right', () => {
    const { canvas, ink } = fakeCanvas();
    const sweep = new Sweep(canvas, (t) => (t > 9000 ? 1 : 0), LOOK);
    sweep.fit(900, 100, 1);
    sweep.still(1000);
    sweep.still(10_000);
    expect(ink.get(899)!.top).toBeLessThan(5);
    expect(ink.get(500)!.top).toBeGreaterThan(90);
  });
});

describe('seconds across', () => {
  it('keep one speed on wide screens and never squeeze out a breath on narrow ones', () => {
    expect(secondsAcross(1200)).toBe(8);
    expect(secondsAcross(220)).toBe(5);
    expect(secondsAcross(4000)).toBe(12);
  });
});
