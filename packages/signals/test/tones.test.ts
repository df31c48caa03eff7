import { describe, expect, it } from 'vitest';
import { alarmBurst, burstLengthMs, PULSE_TONE_MS, pulseToneHz, toneEnvelope, type AlarmBurst } from '../src/index.ts';

const gaps = (burst: AlarmBurst): number[] =>
  burst.pulses.slice(1).map((pulse, i) => pulse.startMs - burst.pulses[i]!.startMs - burst.pulses[i]!.lengthMs);

describe('pulse tone', () => {
  it('falls half a semitone for each point of saturation', () => {
    for (let s = 100; s > 61; s -= 1) expect(pulseToneHz(s) / pulseToneHz(s - 1)).toBeCloseTo(2 ** (1 / 24), 6);
    // Twelve points are half an octave's worth of semitones: six.
    expect(pulseToneHz(100) / pulseToneHz(88)).toBeCloseTo(Math.SQRT2, 6);
  });

  it('stays where it can be heard, whatever comes in', () => {
    for (const s of [-5, 0, 20, 50, 100, 140, NaN, Infinity]) {
      expect(pulseToneHz(s)).toBeGreaterThanOrEqual(150);
      expect(pulseToneHz(s)).toBeLessThanOrEqual(880);
    }
  });

  it('is 60 to 80 ms long and has no click in it', () => {
    expect(PULSE_TONE_MS).toBeGreaterThanOrEqual(60);
    expect(PULSE_TONE_MS).toBeLessThanOrEqual(80);
    expect(toneEnvelope(0)).toBe(0);
    expect(toneEnvelope(PULSE_TONE_MS)).toBe(0);
    expect(toneEnvelope(PULSE_TONE_MS / 2)).toBe(1);
    for (let t = 0; t < PULSE_TONE_MS; t += 0.1)
      expect(Math.abs(toneEnvelope(t + 0.1) - toneEnvelope(t))).toBeLessThan(0.02);
  });
});

/*
 * Ranges of IEC 60601-1-8 table 3, as given by an open tone-generator script that cites the standard (p. 17) and by
 * a chip maker's public notes; medium and low spacing and the third gap are from memory.
 */
describe('alarm bursts', () => {
  it('high: ten pulses of 75 to 200 ms in a 3+2 rhythm twice', () => {
    const burst = alarmBurst('high');
    expect(burst.pulses).toHaveLength(10);
    const td = burst.pulses[0]!.lengthMs;
    for (const pulse of burst.pulses) expect(pulse.lengthMs).toBe(td);
    expect(td).toBeGreaterThanOrEqual(75);
    expect(td).toBeLessThanOrEqual(200);
    const g = gaps(burst);
    const x = g[0]!;
    expect(x).toBeGreaterThanOrEqual(50);
    expect(x).toBeLessThanOrEqual(125);
    expect([...g.slice(0, 4), ...g.slice(5)]).toEqual([x, x, 2 * x + td, x, x, x, 2 * x + td, x]);
    expect(g[4]).toBeGreaterThanOrEqual(350);
    expect(g[4]).toBeLessThanOrEqual(1300);
    expect(burst.restMs).toBeGreaterThanOrEqual(2500);
    expect(burst.restMs).toBeLessThanOrEqual(15_000);
    // 5 pulses of 150 ms with 3 gaps of 100 and one of 350.
    expect(burst.pulses[4]!.startMs + td).toBe(1400);
    expect(burstLengthMs(burst)).toBe(1400 + 600 + 1400);
  });

  it('medium: three even pulses of 125 to 250 ms', () => {
    const burst = alarmBurst('medium');
    expect(burst.pulses).toHaveLength(3);
    for (const pulse of burst.pulses) {
      expect(pulse.lengthMs).toBeGreaterThanOrEqual(125);
      expect(pulse.lengthMs).toBeLessThanOrEqual(250);
    }
    const [a, b] = gaps(burst);
    expect(a).toBe(b);
    expect(a).toBeGreaterThanOrEqual(125);
    expect(a).toBeLessThanOrEqual(250);
    expect(burst.restMs).toBeGreaterThanOrEqual(2500);
    expect(burst.restMs).toBeLessThanOrEqual(30_000);
  });

  it('low: one or two pulses, more than 15 s apart', () => {
    const burst = alarmBurst('low');
    expect(burst.pulses.length).toBeGreaterThanOrEqual(1);
    expect(burst.pulses.length).toBeLessThanOrEqual(2);
    expect(burst.restMs).toBeGreaterThan(15_000);
  });

  it('keeps its pitch at 150 to 1000 Hz with four harmonics in 300 to 4000 Hz within 15 dB', () => {
    for (const priority of ['high', 'medium', 'low'] as const) {
      const burst = alarmBurst(priority);
      expect(burst.fundamentalHz).toBeGreaterThanOrEqual(150);
      expect(burst.fundamentalHz).toBeLessThanOrEqual(1000);
      const inBand = burst.partials.filter(
        (p) =>
          p.multiple > 1 &&
          p.multiple * burst.fundamentalHz >= 300 &&
          p.multiple * burst.fundamentalHz <= 4000 &&
          Math.abs(p.dB) <= 15,
      );
      expect(inBand.length).toBeGreaterThanOrEqual(4);
    }
  });

  // High 1.4 to 2.8 Hz, medium 0.4 to 0.8 Hz (IEC 60073 rates); never above the three a second of WCAG 2.3.1.
  it('flashes no faster than is safe', () => {
    expect(alarmBurst('high').flashHz).toBeGreaterThanOrEqual(1.4);
    expect(alarmBurst('high').flashHz).toBeLessThanOrEqual(2.8);
    expect(alarmBurst('medium').flashHz).toBeGreaterThanOrEqual(0.4);
    expect(alarmBurst('medium').flashHz).toBeLessThanOrEqual(0.8);
    expect(alarmBurst('low').flashHz).toBeNull();
  });
});
