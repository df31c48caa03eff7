import { describe, expect, it } from 'vitest';
import {
  breathPlaceAt,
  CAPNOGRAPH_DELAY_MS,
  expiredShare,
  pulseDelayMs,
  rhythmNamed,
  isKnownRhythm,
  RHYTHM_NAMES,
} from '../src/index.ts';
import { fed, mean, sampled } from './helpers.ts';

/** Share of expiration over which CO2 goes from a tenth to nine tenths. */
function riseWidth(b: number): number {
  const us = Array.from({ length: 2001 }, (_, i) => i / 2000);
  const from = us.find((u) => expiredShare(u, b) >= 0.1)!;
  const to = us.find((u) => expiredShare(u, b) >= 0.9)!;
  return to - from;
}
const plateauRise = (b: number): number => expiredShare(1, b) - expiredShare(0.7, b);

describe('capnogram', () => {
  // Obstruction widens the angle between upstroke and plateau and tilts the plateau ("shark fin"): time capnography,
  // e.g. capnography.com "Basic physiology of a capnogram"; openanesthesia.org "Capnogram waveform: obstruction".
  it('slopes more and rises more slowly as bronchospasm grows', () => {
    const bs = [0, 0.15, 0.3, 0.45, 0.6, 0.8, 1];
    for (let i = 1; i < bs.length; i += 1) {
      expect(plateauRise(bs[i]!)).toBeGreaterThan(plateauRise(bs[i - 1]!));
      expect(riseWidth(bs[i]!)).toBeGreaterThan(riseWidth(bs[i - 1]!));
    }
  });

  it('goes from none to all of its end-tidal value without a fall, whatever the obstruction', () => {
    for (const b of [0, 0.3, 0.6, 1]) {
      expect(expiredShare(0, b)).toBe(0);
      expect(expiredShare(1, b)).toBeCloseTo(1, 12);
      for (let u = 0; u < 1; u += 0.01) expect(expiredShare(u + 0.01, b)).toBeGreaterThanOrEqual(expiredShare(u, b));
    }
  });

  it.each([20, 38, 60])(
    'peaks at the end-tidal value of %d mmHg and returns to nothing in each breath',
    (etco2MmHg) => {
      const traces = fed({ etco2MmHg }, 20_000);
      const xs = sampled(traces.co2, 8000, 20_000, 5);
      expect(Math.max(...xs)).toBeGreaterThan(0.97 * etco2MmHg);
      expect(Math.max(...xs)).toBeLessThanOrEqual(etco2MmHg + 1e-9);
      expect(Math.min(...xs)).toBeLessThan(0.01 * etco2MmHg);
      // Counted by its rises through half way, the trace has the rate asked for: 18 a minute for 12 s.
      const rises = xs.filter((x, i) => i > 0 && x >= etco2MmHg / 2 && xs[i - 1]! < etco2MmHg / 2).length;
      expect(rises).toBeGreaterThanOrEqual(3);
      expect(rises).toBeLessThanOrEqual(4);
    },
  );

  it('is a flat line in apnoea, after the last breath', () => {
    const traces = fed((t) => (t < 8000 ? {} : { breathRatePerMin: 0, etco2MmHg: 0 }), 40_000);
    const xs = sampled(traces.co2, 20_000, 40_000, 20);
    expect(Math.max(...xs)).toBeLessThan(0.05);
    const chest = sampled(traces.breathing, 20_000, 40_000, 20);
    expect(Math.max(...chest) - Math.min(...chest)).toBeLessThan(0.15);
  });

  it('is flat while the chest still moves against a closed airway', () => {
    const traces = fed({ etco2MmHg: 0, breathRatePerMin: 30, breathDepthFraction: 0.8 }, 20_000);
    expect(Math.max(...sampled(traces.co2, 8000, 20_000, 20))).toBe(0);
    expect(Math.max(...sampled(traces.breathing, 8000, 20_000, 20))).toBeGreaterThan(0.5);
  });

  it('keeps time with the chest trace, less the delay of its line', () => {
    const traces = fed({}, 20_000);
    const breath = traces.breaths.between(8000, 12_000)[0]!;
    const place = breathPlaceAt(traces.breaths, breath.atMs + 1, 0)!;
    const upstroke = place.expirationStartMs + 0.1 * place.expirationMs + CAPNOGRAPH_DELAY_MS;
    expect(traces.co2(upstroke - 250)).toBeLessThan(6);
    expect(traces.co2(upstroke + 250)).toBeGreaterThan(25);
  });
});

describe('breathing', () => {
  it('spends longer breathing out as obstruction grows (I:E 1:2 to 1:4)', () => {
    const share = (b: number): number => {
      const traces = fed({ bronchospasmFraction: b }, 20_000);
      const breaths = traces.breaths.between(5000, 19_000);
      return mean(
        breaths.slice(0, -1).map((breath, i) => {
          const place = breathPlaceAt(traces.breaths, breath.atMs + 1, b)!;
          return (place.expirationStartMs - breath.atMs) / (breaths[i + 1]!.atMs - breath.atMs);
        }),
      );
    };
    expect(share(0)).toBeCloseTo(1 / 3, 6);
    expect(share(1)).toBeCloseTo(1 / 5, 6);
    expect(share(0)).toBeGreaterThan(share(0.5));
    expect(share(0.5)).toBeGreaterThan(share(1));
  });

  it('is as deep as asked', () => {
    const top = (depth: number): number =>
      Math.max(...sampled(fed({ breathDepthFraction: depth }, 40_000).breathing, 12_000, 38_000, 20));
    expect(top(0.4)).toBeLessThan(0.65 * top(1));
    expect(top(1.6)).toBeGreaterThan(1.3 * top(1));
  });
});

describe('pleth', () => {
  const swing = (drive: Parameters<typeof fed>[0]): number => {
    const xs = sampled(fed(drive, 20_000).pleth, 6000, 19_000, 10);
    return Math.max(...xs) - Math.min(...xs);
  };

  it('is as high as perfusion', () => {
    const full = swing({ plethFraction: 1 });
    for (const fraction of [0.75, 0.5, 0.3]) {
      expect(swing({ plethFraction: fraction }) / full).toBeGreaterThan(fraction * 0.9);
      expect(swing({ plethFraction: fraction }) / full).toBeLessThan(fraction * 1.1 + 0.04);
    }
  });

  it('is lost with perfusion, in arrest and when beats make no pulse', () => {
    expect(swing({ plethFraction: 0 })).toBeLessThan(0.08);
    expect(swing({ rhythm: 'pea', ecgRatePerMin: 60, pulsed: false })).toBeLessThan(0.08);
    expect(swing({ rhythm: 'vf', ecgRatePerMin: null, pulsed: false })).toBeLessThan(0.08);
  });

  it('has one pulse for each beat, after its R wave by the delay', () => {
    const traces = fed({ ecgRatePerMin: 100 }, 20_000);
    for (const beat of traces.beats.between(6000, 17_000)) {
      const { after } = traces.beats.around(beat.atMs + 1);
      const rr = after!.atMs - beat.atMs;
      const peak = beat.atMs + pulseDelayMs(7, 1) + 0.25 * rr;
      expect(traces.pleth(peak)).toBeGreaterThan(0.9);
      expect(traces.pleth(peak)).toBeGreaterThan(traces.pleth(peak - 0.2 * rr) + 0.5);
      expect(traces.pleth(peak)).toBeGreaterThan(traces.pleth(peak + 0.2 * rr) + 0.3);
    }
  });

  it('comes sooner in an infant and later in a cold hand', () => {
    expect(pulseDelayMs(0.5, 1)).toBeLessThan(pulseDelayMs(7, 1));
    expect(pulseDelayMs(7, 0.2)).toBeGreaterThan(pulseDelayMs(7, 1));
  });

  it('runs from the pulse rate when no lead is on', () => {
    const traces = fed({ rhythm: null, ecgRatePerMin: null, pulseRatePerMin: 120, pulsed: null }, 20_000);
    expect(traces.beats.between(5000, 15_000).length).toBeGreaterThanOrEqual(19);
  });
});

describe('rhythm names', () => {
  it('are known by their own words and common longer ones; another word is drawn as sinus', () => {
    for (const name of RHYTHM_NAMES) expect(rhythmNamed(name)).toBe(name);
    expect(rhythmNamed('Ventricular fibrillation')).toBe('vf');
    expect(rhythmNamed('pulseless_electrical_activity')).toBe('pea');
    expect(rhythmNamed('something else')).toBe('sinus');
    expect(isKnownRhythm('something else')).toBe(false);
    expect(rhythmNamed(null)).toBeNull();
  });
});
