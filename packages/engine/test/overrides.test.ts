import { RHYTHMS } from '@breathline/patient';
import { describe, expect, it } from 'vitest';
import { VITALS } from '../src/index.ts';
import { definitionOf, scenarioOf, state, thread } from './fixtures.ts';
import { started } from './helpers.ts';

const WELL = definitionOf(scenarioOf([thread('t', [state('well')])]));

describe('overrides', () => {
  it('are a mask: the model runs on beneath, and is there again on release', () => {
    const plain = started(WELL).run;
    const { run, put } = started(WELL);
    run.advanceTo(5000);
    put({ kind: 'vital-overridden', vital: 'heartRatePerMin', to: 180, overMs: 0 });
    expect(run.view().trueVitals.heartRatePerMin).toBe(180);
    expect(run.view().overridden).toEqual(['heartRatePerMin']);
    run.advanceTo(20_000);
    put({ kind: 'vital-released', vital: 'heartRatePerMin', overMs: 0 });
    run.advanceTo(30_000);
    plain.advanceTo(30_000);
    expect(run.view().trueVitals).toEqual(plain.view().trueVitals);
    expect(run.view().overridden).toEqual([]);
  });

  it('ramp there and ramp back', () => {
    const { run, put } = started(WELL);
    const from = run.view().trueVitals.spo2Percent;
    put({ kind: 'vital-overridden', vital: 'spo2Percent', to: 80, overMs: 10_000 });
    run.advanceTo(5000);
    expect(run.view().trueVitals.spo2Percent).toBeCloseTo((from + 80) / 2, 1);
    run.advanceTo(12_000);
    expect(run.view().trueVitals.spo2Percent).toBe(80);
    put({ kind: 'vital-released', vital: 'spo2Percent', overMs: 4000 });
    run.advanceTo(14_000);
    expect(run.view().trueVitals.spo2Percent).toBeCloseTo((80 + from) / 2, 0);
    expect(run.view().overridden).toEqual(['spo2Percent']);
    run.advanceTo(16_000);
    expect(run.view().overridden).toEqual([]);
    expect(run.view().trueVitals.spo2Percent).toBeCloseTo(from, 0);
  });

  it('turn from where they are when redirected half-way', () => {
    const { run, put } = started(WELL);
    put({ kind: 'vital-overridden', vital: 'spo2Percent', to: 60, overMs: 10_000 });
    run.advanceTo(5000);
    const half = run.view().trueVitals.spo2Percent;
    put({ kind: 'vital-overridden', vital: 'spo2Percent', to: 90, overMs: 10_000 });
    expect(run.view().trueVitals.spo2Percent).toBe(half);
  });

  it('keep blood pressure one thing: systolic >= mean >= diastolic whichever is set', () => {
    for (const [vital, to] of [
      ['systolicMmHg', 60],
      ['diastolicMmHg', 90],
      ['meanMmHg', 40],
      ['systolicMmHg', 0],
      ['diastolicMmHg', 250],
    ] as const) {
      const { run, put } = started(WELL);
      put({ kind: 'vital-overridden', vital, to, overMs: 2000 });
      for (let at = 0; at <= 4000; at += 100) {
        run.advanceTo(at);
        const v = run.view().trueVitals;
        expect(v.systolicMmHg).toBeGreaterThanOrEqual(v.meanMmHg);
        expect(v.meanMmHg).toBeGreaterThanOrEqual(v.diastolicMmHg);
      }
      expect(run.view().trueVitals[vital]).toBeCloseTo(to, 6);
    }
  });

  it('let 90 over 50 be set as two numbers, and released as one', () => {
    const { run, put } = started(WELL);
    put({ kind: 'vital-overridden', vital: 'systolicMmHg', to: 90, overMs: 0 });
    put({ kind: 'vital-overridden', vital: 'diastolicMmHg', to: 50, overMs: 0 });
    run.advanceTo(1000);
    expect(run.view().trueVitals).toMatchObject({ systolicMmHg: 90, diastolicMmHg: 50 });
    put({ kind: 'vital-released', vital: 'systolicMmHg', overMs: 0 });
    run.advanceTo(2000);
    expect(run.view().overridden).toEqual([]);
  });

  it('show at once on an attached device, and hand back without a jump', () => {
    const { run, put } = started(WELL);
    put({ kind: 'device-attached', device: 'oximeter' });
    put({ kind: 'device-attached', device: 'ecg' });
    run.advanceTo(20_000);
    put({ kind: 'vital-overridden', vital: 'spo2Percent', to: 78, overMs: 0 });
    put({ kind: 'vital-overridden', vital: 'heartRatePerMin', to: 171, overMs: 0 });
    expect(run.view().shown).toMatchObject({ spo2Percent: 78, heartRatePerMin: 171, pulsePerMin: 171 });
    run.advanceTo(40_000);
    put({ kind: 'vital-released', vital: 'spo2Percent', overMs: 10_000 });
    let last = 78;
    while (run.clockMs < 120_000) {
      run.advanceTo(run.clockMs + 1000);
      const shown = run.view().shown.spo2Percent!;
      expect(Math.abs(shown - last)).toBeLessThanOrEqual(4);
      last = shown;
    }
    expect(last).toBeGreaterThan(94);
  });

  it('never sweep through rhythms nobody meant, there or back', () => {
    const { run, put } = started(WELL);
    put({ kind: 'device-attached', device: 'ecg' });
    run.advanceTo(run.clockMs + 5_000);
    const svt = RHYTHMS.find(({ id }) => id === 'supraventricular-tachycardia')!.code;
    const before = run.view().wave.rhythm;
    const seen = new Set<string | null>();
    const watch = (ms: number): void => {
      for (const until = run.clockMs + ms; run.clockMs < until;) {
        run.advanceTo(run.clockMs + 100);
        seen.add(run.view().wave.rhythm);
      }
    };
    put({ kind: 'vital-overridden', vital: 'rhythm', to: svt, overMs: 30_000 });
    watch(2_000);
    expect([...seen]).toEqual(['supraventricular-tachycardia']);
    put({ kind: 'vital-released', vital: 'rhythm', overMs: 30_000 });
    watch(2_000);
    expect([...seen]).toEqual(['supraventricular-tachycardia', before]);
  });

  it('stay within physical bounds and refuse nonsense without harm', () => {
    const { run, put } = started(WELL);
    put({ kind: 'vital-overridden', vital: 'spo2Percent', to: 900, overMs: 0 });
    expect(run.view().trueVitals.spo2Percent).toBe(VITALS.spo2Percent.high);
    put({ kind: 'vital-overridden', vital: 'spo2Percent', to: NaN, overMs: 0 });
    put({ kind: 'vital-overridden', vital: 'no-such' as never, to: 5, overMs: 0 });
    expect(run.view().faults).toHaveLength(2);
    expect(run.view().trueVitals.spo2Percent).toBe(100);
  });
});
