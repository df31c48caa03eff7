import { describe, expect, it } from 'vitest';
import { createTraces } from '../src/index.ts';
import { detectPeaks, deviation, fed, mean, sampled, WELL } from './helpers.ts';

/** A patient who moves from 10 s to 16 s. */
const bout = (t: number) => ({ motionFraction: t >= 10_000 && t < 16_000 ? 1 : 0 });

/** Pearson correlation of two series. */
function correlation(a: readonly number[], b: readonly number[]): number {
  const [ma, mb] = [mean(a), mean(b)];
  return mean(a.map((x, i) => (x - ma) * (b[i]! - mb))) / (deviation(a) * deviation(b));
}

describe('a patient who moves', () => {
  it('swamps the pleth and shakes the leads, and both are as they were when it is over', () => {
    const moved = fed(bout, 30_000);
    const still = fed({}, 30_000);
    for (const trace of ['pleth', 'ecg', 'breathing'] as const) {
      const [a, b] = [moved, still].map((traces) => sampled(traces[trace], 10_500, 15_500, 10));
      expect(correlation(a!, b!), trace).toBeLessThan(trace === 'ecg' ? 0.88 : 0.7);
      expect(sampled(moved[trace], 17_000, 29_000, 10)).toEqual(sampled(still[trace], 17_000, 29_000, 10));
    }
    // The bout is larger than the pulse it hides.
    const pleth = sampled(moved.pleth, 10_500, 15_500, 10);
    expect(deviation(pleth)).toBeGreaterThan(0.8 * deviation(sampled(still.pleth, 10_500, 15_500, 10)));
    // Gas from the airway does not care about an arm.
    expect(sampled(moved.co2, 10_000, 16_000, 20)).toEqual(sampled(still.co2, 10_000, 16_000, 20));
  });

  it('moves no beat: what lies under the disturbance stays in step', () => {
    const moved = fed(bout, 30_000);
    const still = fed({}, 30_000);
    expect(moved.beats.between(2000, 28_000)).toEqual(still.beats.between(2000, 28_000));
    // A detector that knows nothing of it still finds the quiet parts, beat for beat.
    const found = detectPeaks(sampled(moved.ecg, 17_000, 29_000, 4), 4).map((t) => t + 17_000);
    for (const beat of moved.beats.between(17_500, 28_500))
      expect(found.filter((t) => Math.abs(t - beat.atMs) < 45)).toHaveLength(1);
  });

  it('is the same on two screens, and stays drawable', () => {
    const [a, b] = [fed(bout, 20_000), fed(bout, 20_000)];
    expect(sampled(a.pleth, 9000, 17_000, 7)).toEqual(sampled(b.pleth, 9000, 17_000, 7));
    const xs = sampled(a.pleth, 9000, 17_000, 7);
    expect(Math.min(...xs)).toBeGreaterThanOrEqual(-0.06);
    expect(Math.max(...xs)).toBeLessThan(2.9);
  });
});

describe('a probe that comes off', () => {
  it('leaves nothing of a pulse within half a second, and the leads go on beating', () => {
    const traces = fed((t) => (t < 10_000 ? {} : { plethFraction: null, pulsed: null }), 24_000);
    expect(deviation(sampled(traces.pleth, 6000, 10_000, 10))).toBeGreaterThan(0.2);
    expect(deviation(sampled(traces.pleth, 10_500, 23_000, 10))).toBeLessThan(0.03);
    const found = detectPeaks(sampled(traces.ecg, 11_000, 23_000, 4), 4);
    expect(found.length).toBeGreaterThanOrEqual(17);
  });
});

describe('R-R statistics, measured from the trace by the detector', () => {
  // Rates as asked; spread of SVT, VT and PEA below that of sinus at rest (variation of a re-entrant rhythm is small:
  // textbook, no figure looked up). Hypoxic bradycardia is a slow sinus with a child's variation.
  it.each([
    ['sinus', 90, 0.004, 0.05],
    ['bradycardia', 42, 0.004, 0.06],
    ['svt', 220, 0, 0.02],
    ['vt', 180, 0, 0.03],
    ['pea', 50, 0, 0.03],
  ] as const)('%s at %d', (rhythm, rate, least, most) => {
    for (const seed of [3, 8]) {
      const traces = fed({ rhythm, ecgRatePerMin: rate }, 29_000, { seed });
      const found = detectPeaks(sampled(traces.ecg, 2000, 29_000, 2), 2, Math.min(180, 0.5 * (60_000 / rate)));
      const rr = found.slice(1).map((t, i) => t - found[i]!);
      expect(60_000 / mean(rr)).toBeGreaterThan(rate * 0.97);
      expect(60_000 / mean(rr)).toBeLessThan(rate * 1.03);
      const spread = deviation(rr) / mean(rr);
      expect(spread).toBeGreaterThanOrEqual(least);
      expect(spread).toBeLessThan(most);
    }
  });

  it('ectopics: an interval cut short is made up by the next', () => {
    const traces = fed({ rhythm: 'ectopics', ecgRatePerMin: 85 }, 29_500, { seed: 1 });
    const found = detectPeaks(sampled(traces.ecg, 500, 29_500, 2), 2);
    const rr = found.slice(1).map((t, i) => t - found[i]!);
    const early = rr.map((x, i) => [x, rr[i + 1]] as const).filter(([x]) => x < 0.75 * (60_000 / 85));
    expect(early.length).toBeGreaterThan(0);
    for (const [x, next] of early) {
      if (next === undefined) continue;
      expect((x + next) / (2 * (60_000 / 85))).toBeGreaterThan(0.88);
      expect((x + next) / (2 * (60_000 / 85))).toBeLessThan(1.12);
    }
  });
});

describe('capnogram, measured from the trace', () => {
  /** Mean slope of the last third of each hump above 60 % of its top, and the time from a tenth to 60 %, per hump. */
  function humps(bronchospasmFraction: number) {
    const traces = fed({ bronchospasmFraction, breathRatePerMin: 15 }, 28_000);
    const step = 10;
    const xs = sampled(traces.co2, 6000, 28_000, step);
    const out: { slope: number; rise: number }[] = [];
    for (let i = 1; i < xs.length; i += 1) {
      if (!(xs[i - 1]! < 3.8 && xs[i]! >= 3.8)) continue;
      let up = i;
      while (up < xs.length && xs[up]! < 22.8) up += 1;
      let end = up;
      while (end + 1 < xs.length && xs[end + 1]! >= xs[end]! - 0.5) end += 1;
      if (end + 1 >= xs.length) break;
      const from = Math.round(end - (end - i) / 3);
      out.push({ slope: (xs[end]! - xs[from]!) / (((end - from) * step) / 1000), rise: (up - i) * step });
    }
    return {
      count: out.length,
      slopeMmHgPerS: mean(out.map((h) => h.slope)),
      riseMs: mean(out.map((h) => h.rise)),
    };
  }

  // Obstruction: slower upstroke, steeper plateau, the angle between them widens (time capnography; Yaron M et al. Ann
  // Emerg Med 1996;28:403-7 for the slope in asthma, from memory).
  it('is flat-topped in the well and a sloped fin in bronchospasm, step by step', () => {
    const all = [0, 0.3, 0.6, 0.9].map(humps);
    for (const each of all) expect(each.count).toBeGreaterThanOrEqual(4);
    for (let i = 1; i < all.length; i += 1) {
      expect(all[i]!.slopeMmHgPerS).toBeGreaterThan(all[i - 1]!.slopeMmHgPerS * 1.2);
      expect(all[i]!.riseMs).toBeGreaterThan(all[i - 1]!.riseMs * 1.2);
    }
    expect(all[0]!.slopeMmHgPerS).toBeLessThan(3);
    expect(all[3]!.slopeMmHgPerS).toBeGreaterThan(3 * all[0]!.slopeMmHgPerS);
  });
});

it('odd numbers for movement draw something finite', () => {
  const traces = createTraces(1, 7);
  for (const [i, motionFraction] of [NaN, -1, Infinity, 9, null].entries()) {
    traces.push(i * 250, { ...WELL, motionFraction });
    expect(Number.isFinite(traces.pleth(i * 250))).toBe(true);
    expect(Number.isFinite(traces.ecg(i * 250))).toBe(true);
  }
});
