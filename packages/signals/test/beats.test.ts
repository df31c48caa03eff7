import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { createBeats, createTraces } from '../src/index.ts';
import { detectPeaks, deviation, fed, mean, sampled, WELL } from './helpers.ts';

const intervals = (times: readonly number[]): number[] => times.slice(1).map((t, i) => t - times[i]!);

describe('R-R intervals', () => {
  it.each([40, 60, 90, 128, 180, 220])('average what is asked for at %d beats a minute', (rate) => {
    const beats = createBeats(11);
    for (let t = 0; t <= 300_000; t += 250) {
      beats.push({ atMs: t, rhythm: 'sinus', ratePerMin: rate, pulsed: true });
      beats.around(t);
    }
    // The scheduler keeps the last 30 s.
    const rr = intervals(beats.between(271_000, 299_000).map((beat) => beat.atMs));
    expect(60_000 / mean(rr)).toBeGreaterThan(rate * 0.985);
    expect(60_000 / mean(rr)).toBeLessThan(rate * 1.015);
  });

  // McSharry et al. 2003: default spread 1 beat/min at 60/min (0.017). A resting child varies more: common practice.
  it('vary as a heart does at rest, less when fast, hardly in a re-entrant tachycardia', () => {
    const spread = (rhythm: string, rate: number): number => {
      const all: number[] = [];
      for (const seed of [1, 2, 3, 4, 5, 6]) {
        const beats = createBeats(seed);
        for (let t = 0; t <= 120_000; t += 250) {
          beats.push({ atMs: t, rhythm, ratePerMin: rate, pulsed: true });
          if (t % 20_000 === 0 && t > 0) {
            const rr = intervals(beats.between(t - 20_000, t).map((beat) => beat.atMs));
            all.push(...rr.map((x) => x / (60_000 / rate)));
          }
        }
      }
      return deviation(all);
    };
    expect(spread('sinus', 75)).toBeGreaterThan(0.017);
    expect(spread('sinus', 75)).toBeLessThan(0.045);
    expect(spread('sinus', 170)).toBeLessThan(0.012);
    expect(spread('svt', 240)).toBeLessThan(0.004);
  });

  // The two bands of the published RR spectrum: 0.1 Hz and 0.25 Hz, power ratio 0.5 (McSharry et al. 2003).
  it('carry their power near 0.1 and 0.25 Hz, the second band the stronger', () => {
    let low = 0;
    let high = 0;
    let between = 0;
    for (let seed = 1; seed <= 12; seed += 1) {
      const beats = createBeats(seed);
      const times: number[] = [];
      for (let t = 0; t <= 240_000; t += 250) {
        beats.push({ atMs: t, rhythm: 'sinus', ratePerMin: 80, pulsed: true });
        times.push(...beats.between(t - 250, t).map((beat) => beat.atMs));
      }
      const rr = intervals(times);
      const m = mean(rr);
      const power = (hz: number): number => {
        let re = 0;
        let im = 0;
        rr.forEach((x, i) => {
          const phase = (2 * Math.PI * hz * times[i]!) / 1000;
          re += (x - m) * Math.cos(phase);
          im += (x - m) * Math.sin(phase);
        });
        return re * re + im * im;
      };
      for (let hz = 0.07; hz < 0.13; hz += 0.002) low += power(hz);
      for (let hz = 0.22; hz < 0.28; hz += 0.002) high += power(hz);
      for (let hz = 0.145; hz < 0.205; hz += 0.002) between += power(hz);
    }
    expect(between).toBeLessThan(0.1 * low);
    expect(low / high).toBeGreaterThan(0.3);
    expect(low / high).toBeLessThan(0.8);
  });

  it('have early beats followed by a full pause when there are ectopics', () => {
    const beats = createBeats(3);
    const all = [];
    for (let t = 0; t <= 120_000; t += 250) {
      beats.push({ atMs: t, rhythm: 'ectopics', ratePerMin: 80, pulsed: true });
      all.push(...beats.between(t - 250, t));
    }
    const early = all.filter((beat, i) => beat.kind === 'ectopic' && i > 0 && i < all.length - 1);
    expect(early.length).toBeGreaterThan(8);
    for (const beat of early) {
      const i = all.indexOf(beat);
      const two = all[i + 1]!.atMs - all[i - 1]!.atMs;
      expect(beat.atMs - all[i - 1]!.atMs).toBeLessThan(0.75 * 750);
      // Two whole beats at 80 a minute, give or take the variation of any two: so the pause made up for the hurry.
      expect(two).toBeGreaterThan(1370);
      expect(two).toBeLessThan(1630);
      expect(beat.pulse).toBeLessThan(all[i - 1]!.pulse);
      expect(all[i + 1]!.pulse).toBeGreaterThan(1);
    }
  });

  it.each(['vf', 'asystole'])('do not exist in %s, whatever the rate says', (rhythm) => {
    const beats = createBeats(3);
    for (let t = 0; t <= 20_000; t += 250) beats.push({ atMs: t, rhythm, ratePerMin: 300, pulsed: false });
    expect(beats.between(0, 19_000)).toEqual([]);
  });

  it('come back within two seconds when a rhythm with beats returns', () => {
    const beats = createBeats(3);
    for (let t = 0; t <= 20_000; t += 250) {
      const stopped = t > 5000 && t < 12_000;
      beats.push({ atMs: t, rhythm: stopped ? 'asystole' : 'sinus', ratePerMin: stopped ? 0 : 90, pulsed: !stopped });
      beats.around(t);
    }
    expect(beats.between(5600, 11_900)).toEqual([]);
    expect(beats.between(12_000, 14_000).length).toBeGreaterThan(1);
  });
});

describe('two screens', () => {
  const changing = (t: number): { ecgRatePerMin: number; beatCount: number } => ({
    ecgRatePerMin: 90 + t / 1000,
    beatCount: (90 * t + (t * t) / 2000) / 60_000,
  });

  it('have the same beats when one joins late, given the count', () => {
    const first = fed(changing, 40_000);
    const late = fed(changing, 15_000, { fromMs: 25_000 });
    const a = first.beats.between(27_000, 39_000);
    const b = late.beats.between(27_000, 39_000);
    expect(b.map((beat) => beat.n)).toEqual(a.map((beat) => beat.n));
    b.forEach((beat, i) => expect(Math.abs(beat.atMs - a[i]!.atMs)).toBeLessThan(5));
  });

  it('have the same beats when one of them loses every other frame', () => {
    const whole = fed(changing, 40_000);
    const lossy = fed(changing, 40_000, { stepMs: 750 });
    const a = whole.beats.between(10_000, 39_000);
    const b = lossy.beats.between(10_000, 39_000);
    expect(b.length).toBe(a.length);
    b.forEach((beat, i) => expect(Math.abs(beat.atMs - a[i]!.atMs)).toBeLessThan(10));
  });

  it('draw the same samples for the same numbers, and others for another seed', () => {
    const a = fed({}, 10_000, { seed: 5 });
    const b = fed({}, 10_000, { seed: 5 });
    const c = fed({}, 10_000, { seed: 6 });
    for (const trace of ['ecg', 'pleth', 'breathing', 'co2'] as const) {
      const xs = sampled(a[trace], 3000, 9000, 10);
      expect(sampled(b[trace], 3000, 9000, 10)).toEqual(xs);
      expect(sampled(c[trace], 3000, 9000, 10)).not.toEqual(xs);
    }
  });
});

describe('what was drawn', () => {
  it('is never moved by a stamp that comes late', () => {
    fc.assert(
      fc.property(
        fc.integer({ min: 0, max: 1000 }),
        fc.integer({ min: 30, max: 220 }),
        fc.integer({ min: 30, max: 220 }),
        (seed, r1, r2) => {
          const traces = createTraces(seed, 7);
          traces.push(0, { ...WELL, ecgRatePerMin: r1 });
          traces.push(250, { ...WELL, ecgRatePerMin: r1 });
          // The screen ran on alone for two seconds, then the next stamp came.
          const before = traces.beats.between(0, 2200);
          traces.push(2000, { ...WELL, ecgRatePerMin: r2 });
          const after = traces.beats.between(0, 2200);
          expect(after).toEqual(before);
          // And the train goes on with no two beats crowded together.
          const rr = intervals(traces.beats.between(0, 6000).map((beat) => beat.atMs));
          expect(Math.min(...rr, Infinity)).toBeGreaterThan(0.25 * Math.min(60_000 / r1, 60_000 / r2));
        },
      ),
      { numRuns: 200, seed: 42 },
    );
  });

  it('starts again when the clock is wound back', () => {
    const traces = fed({}, 20_000);
    expect(traces.beats.between(15_000, 19_000).length).toBeGreaterThan(3);
    traces.push(4000, WELL);
    traces.push(4250, WELL);
    expect(traces.beats.between(0, 3000)).toEqual([]);
    expect(traces.beats.between(4000, 8000).length).toBeGreaterThan(3);
  });

  it('is finite whatever comes in', () => {
    const odd = fc.oneof(fc.double(), fc.constantFrom(0, -1, 1e9, NaN, Infinity, -Infinity), fc.constant(null));
    fc.assert(
      fc.property(
        fc.array(
          fc.record({
            at: fc.integer({ min: 0, max: 9000 }),
            rhythm: fc.oneof(
              fc.constantFrom('sinus', 'svt', 'vt', 'vf', 'pea', 'asystole', 'ectopics', 'nonsense'),
              fc.constant(null),
            ),
            rate: odd,
            count: odd,
            fraction: odd,
            breaths: odd,
            spasm: odd,
            co2: odd,
          }),
          { maxLength: 30 },
        ),
        (frames) => {
          const traces = createTraces(1, 7);
          for (const f of frames) {
            traces.push(f.at, {
              rhythm: f.rhythm,
              ecgRatePerMin: f.rate,
              pulsed: null,
              plethFraction: f.fraction,
              breathRatePerMin: f.breaths,
              breathDepthFraction: f.fraction,
              bronchospasmFraction: f.spasm,
              etco2MmHg: f.co2,
              beatCount: f.count,
              breathCount: f.count,
            });
            for (const trace of ['ecg', 'pleth', 'breathing', 'co2'] as const) {
              for (const t of [f.at - 400, f.at, f.at + 300]) expect(Number.isFinite(traces[trace](t))).toBe(true);
            }
          }
        },
      ),
      { numRuns: 300, seed: 42 },
    );
  });
});

describe('an independent detector', () => {
  it.each([
    ['sinus', 45],
    ['sinus', 72],
    ['sinus', 110],
    ['sinus', 150],
    ['sinus', 200],
    ['bradycardia', 38],
    ['svt', 230],
    ['vt', 180],
    ['pea', 50],
    ['ectopics', 85],
  ])('finds each beat of %s at %d and no others', (rhythm, rate) => {
    for (const seed of [1, 2, 3]) {
      const traces = fed({ rhythm, ecgRatePerMin: rate }, 26_000, { seed });
      const samples = sampled(traces.ecg, 2000, 26_000, 4);
      const found = detectPeaks(samples, 4, Math.min(180, 0.5 * (60_000 / rate))).map((t) => t + 2000);
      const beats = traces.beats.between(2000, 26_000).map((beat) => beat.atMs);
      const near = (t: number, others: readonly number[]): number => others.filter((o) => Math.abs(o - t) < 45).length;
      const inner = (t: number): boolean => t > 2400 && t < 25_600;
      for (const t of beats.filter(inner)) expect(near(t, found), `beat at ${t}`).toBe(1);
      for (const t of found.filter(inner)) expect(near(t, beats), `found at ${t}`).toBe(1);
      expect(found.length).toBeGreaterThan((0.9 * rate * 24) / 60);
    }
  });

  it('finds nothing in asystole and no steady train in fibrillation', () => {
    const flat = sampled(fed({ rhythm: 'asystole', ecgRatePerMin: 0 }, 20_000).ecg, 2000, 20_000, 4);
    expect(Math.max(...flat) - Math.min(...flat)).toBeLessThan(0.15);
    expect(detectPeaks(flat, 4)).toEqual([]);

    const vf = sampled(fed({ rhythm: 'vf', ecgRatePerMin: null }, 20_000).ecg, 2000, 20_000, 4);
    expect(deviation(vf)).toBeGreaterThan(0.1);
    // Crossings of the middle: 3 to 8 Hz is 6 to 16 crossings a second.
    const m = mean(vf);
    let crossings = 0;
    for (let i = 1; i < vf.length; i += 1) if (vf[i]! > m !== vf[i - 1]! > m) crossings += 1;
    expect(crossings / 18).toBeGreaterThan(5);
    expect(crossings / 18).toBeLessThan(16);
  });
});

describe('the shape of each rhythm', () => {
  // Dominant frequency 4.56 (SD 0.99) Hz and size 1.33 (SD 0.44) mV in fibrillation that a shock ended: Strohmenger HU et al. Chest
  // 1997;111:584-9; mean 4.8 Hz in Clayton RH et al. Eur Heart J 1995;16:1115-9 (abstracts seen). Bounds: one deviation.
  it('fibrillation has its dominant frequency and size where people have theirs', () => {
    const dominant: number[] = [];
    const size: number[] = [];
    for (const seed of [1, 2, 3]) {
      const xs = sampled(fed({ rhythm: 'vf', ecgRatePerMin: null }, 25_000, { seed }).ecg, 1000, 25_000, 10);
      for (let from = 0; from + 200 <= xs.length; from += 200) {
        const part = xs.slice(from, from + 200);
        const m = mean(part);
        const power = (hz: number): number => {
          let [re, im] = [0, 0];
          part.forEach((x, i) => {
            const hann = 0.5 - 0.5 * Math.cos((2 * Math.PI * i) / 200);
            re += hann * (x - m) * Math.cos((2 * Math.PI * hz * i) / 100);
            im += hann * (x - m) * Math.sin((2 * Math.PI * hz * i) / 100);
          });
          return re * re + im * im;
        };
        const all = Array.from({ length: 130 }, (_, i) => 1 + i / 10);
        dominant.push(all.reduce((best, hz) => (power(hz) > power(best) ? hz : best)));
        size.push(Math.max(...part) - Math.min(...part));
      }
    }
    expect(Math.abs(mean(dominant) - 4.56)).toBeLessThan(0.99);
    expect(Math.abs(mean(size) - 1.33)).toBeLessThan(0.44);
  });

  // Narrow and wide must be told apart at a glance; the main spike at half its height, ms. Bounds: common practice, no source.
  it.each([
    ['sinus', 'sinus', 90, 10, 40],
    ['bradycardia', 'sinus', 45, 10, 45],
    ['svt', 'narrow', 220, 10, 40],
    ['vt', 'wide', 180, 60, 120],
    ['ectopics', 'ectopic', 85, 60, 120],
    ['pea', 'pulseless', 50, 55, 120],
  ] as const)(
    '%s: the spike of a complex (%s) at %d a minute is %d to %d ms across',
    (rhythm, kind, rate, least, most) => {
      const still = { breathRatePerMin: 0, breathDepthFraction: 0 };
      const traces = fed({ rhythm, ecgRatePerMin: rate, ...still }, 28_000, { seed: 2 });
      const beats = traces.beats.between(4000, 26_000).filter((beat) => beat.kind === kind);
      expect(beats.length).toBeGreaterThan(0);
      const across = beats.map(({ atMs }) => {
        const base = traces.ecg(atMs - 120);
        const half = 0.5 * (traces.ecg(atMs) - base);
        const side = (step: 1 | -1): number => {
          let ms = 0;
          while (ms < 200 && traces.ecg(atMs + step * ms) - base > half) ms += 1;
          return ms;
        };
        return side(-1) + side(1);
      });
      expect(mean(across)).toBeGreaterThan(least);
      expect(mean(across)).toBeLessThan(most);
    },
  );

  it('no P wave where there is none to be seen: before R the leads are flat in SVT and PEA', () => {
    const bump = (rhythm: string, rate: number): number => {
      const still = { breathRatePerMin: 0, breathDepthFraction: 0 };
      const traces = fed({ rhythm, ecgRatePerMin: rate, ...still }, 20_000, { seed: 2 });
      const beats = traces.beats.between(4000, 18_000);
      const rr = mean(intervals(beats.map((beat) => beat.atMs)));
      // Height at P's place (70 degrees before R) above the line half way from there to the last T.
      return mean(
        beats.slice(1).map(({ atMs }) => traces.ecg(atMs - (70 / 360) * rr) - traces.ecg(atMs - (125 / 360) * rr)),
      );
    };
    expect(bump('sinus', 60)).toBeGreaterThan(0.12);
    expect(bump('bradycardia', 45)).toBeGreaterThan(0.12);
    expect(Math.abs(bump('pea', 50))).toBeLessThan(0.05);
    expect(bump('svt', 220)).toBeLessThan(0.05);
  });

  it('organised beats without a pulse leave the pleth flat (pulseless electrical activity)', () => {
    const traces = fed({ rhythm: 'pea', ecgRatePerMin: 50, pulsed: false, plethFraction: 0 }, 20_000);
    expect(traces.beats.between(4000, 18_000).length).toBeGreaterThan(9);
    const pleth = sampled(traces.pleth, 4000, 18_000, 20);
    expect(Math.max(...pleth) - Math.min(...pleth)).toBeLessThan(0.1);
  });
});

describe('the normal beat', () => {
  // ECGSYN defaults: heights a*b*b against R, angles of P and T in degrees of the cycle at 60/min.
  it('has its waves where and as high as the published program puts them', () => {
    const traces = fed({ ecgRatePerMin: 60, breathRatePerMin: 0, breathDepthFraction: 0 }, 20_000);
    const beat = traces.beats.between(8000, 10_000)[0]!;
    const next = traces.beats.around(beat.atMs + 1).after!;
    const rr = next.atMs - beat.atMs;
    // The same wander on both sides of each measure, so take heights from the line between waves.
    const at = (deg: number): number =>
      traces.ecg(beat.atMs + (deg / 360) * rr) - traces.ecg(beat.atMs + (200 / 360) * rr);
    expect(at(0)).toBeGreaterThan(0.9);
    expect(at(100)).toBeGreaterThan(0.3);
    expect(at(100)).toBeLessThan(0.5);
    expect(at(290)).toBeGreaterThan(0.17);
    expect(at(290)).toBeLessThan(0.33);
    expect(at(10)).toBeLessThan(0);
    expect(at(350)).toBeLessThan(0);
  });

  // Normal QRS: under 110 ms above 16 years, 100 from 4 to 16, 90 below 4 (Surawicz B et al. J Am Coll Cardiol 2009;53:976-81,
  // numbers seen in a summary); no normal complex is under 40 ms: common practice, no source. Rates: about the middle of each
  // age when well, then when ill.
  it.each([
    [60, 110],
    [75, 110],
    [90, 100],
    [130, 100],
    [120, 90],
    [170, 90],
  ] as const)(
    'at %d a minute a sinus complex lasts less than %d ms from its first to its last deflection',
    (rate, most) => {
      const traces = fed({ ecgRatePerMin: rate, breathRatePerMin: 0, breathDepthFraction: 0 }, 20_000, { seed: 3 });
      const lasting = traces.beats.between(4000, 16_000).map(({ atMs }) => {
        // Deflection: away by 0.025 mV (a quarter of a small square) within 4 ms; wander and noise stay below it. Ten still ms end it.
        const moves = (ms: number): boolean => Math.abs(traces.ecg(atMs + ms + 2) - traces.ecg(atMs + ms - 2)) > 0.025;
        const side = (step: 1 | -1): number => {
          let last = 0;
          for (let ms = 0; ms - last < 10; ms += 1) if (moves(step * ms)) last = ms;
          return last + 2;
        };
        return side(-1) + side(1);
      });
      expect(mean(lasting)).toBeLessThan(most);
      expect(mean(lasting)).toBeGreaterThan(40);
    },
  );
});
