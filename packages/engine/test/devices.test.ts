import { describe, expect, it } from 'vitest';
import { CUFF_FAILED } from '../src/devices/cuff.ts';
import type { EventBody } from '../src/index.ts';
import { definitionOf, give, REACTION, scenarioOf, state, thread } from './fixtures.ts';
import { started } from './helpers.ts';

const WELL = definitionOf(scenarioOf([thread('t', [state('well')])]));
const attach = (
  device: 'oximeter' | 'ecg' | 'bp-cuff' | 'capnography' | 'thermometer' | 'glucose-meter',
): EventBody => ({
  kind: 'device-attached',
  device,
});
const readings = (run: ReturnType<typeof started>['run'], device: string) =>
  run.derived.filter((fact) => fact.kind === 'reading' && fact.device === device);

/** A state that scripts vitals, to put a device before a known truth. */
const scripted = (values: Partial<Record<string, number>>) =>
  definitionOf(
    scenarioOf([
      thread('t', [
        state('s', {
          scripted: Object.entries(values).map(([vital, to]) => ({
            vital: vital as never,
            to: to as number,
            overMs: 0,
          })),
        }),
      ]),
    ]),
  );

describe('devices', () => {
  it('show nothing until attached, and nothing once removed', () => {
    const { run, put } = started(WELL);
    run.advanceTo(60_000);
    const off = run.view();
    expect(off.shown).toMatchObject({
      spo2Percent: null,
      pulsePerMin: null,
      heartRatePerMin: null,
      respiratoryRatePerMin: null,
      etco2MmHg: null,
      bloodPressure: null,
      plethFraction: 0,
      attached: [],
    });
    const { seed, ...wave } = off.wave;
    expect(seed).toBe(7);
    expect(Object.values(wave).every((value) => value === null)).toBe(true);
    for (const device of ['oximeter', 'ecg', 'bp-cuff', 'capnography'] as const) put(attach(device));
    run.advanceTo(90_000);
    expect(run.view().shown.spo2Percent).toBeGreaterThan(94);
    for (const device of ['oximeter', 'ecg', 'bp-cuff', 'capnography'] as const)
      put({ kind: 'device-removed', device });
    expect(run.view().shown.attached).toEqual([]);
    expect(run.view().shown.spo2Percent).toBeNull();
    expect(run.view().wave.ecgRatePerMin).toBeNull();
  });

  it('the oximeter needs some seconds, then lags behind the arteries', () => {
    const { run, put } = started(scripted({ spo2Percent: 70 }));
    put(attach('oximeter'));
    run.advanceTo(4900);
    expect(run.view().shown).toMatchObject({ spo2Percent: null, oximeterMessage: 'measuring' });
    run.advanceTo(6000);
    expect(run.view().trueVitals.spo2Percent).toBeCloseTo(70);
    expect(run.view().shown.spo2Percent).toBeGreaterThan(90); // blood that left the lungs before is still arriving
    run.advanceTo(60_000);
    expect(Math.abs(run.view().shown.spo2Percent! - 70)).toBeLessThanOrEqual(2);
  });

  it('a cold finger lags longer than a warm one', () => {
    const halfway = (perfusionFraction: number): number => {
      const { run, put } = started(scripted({ perfusionFraction }));
      put(attach('oximeter'));
      run.advanceTo(20_000);
      put({ kind: 'state-forced', thread: 't', state: 's' });
      const definition = scripted({ perfusionFraction, spo2Percent: 60 });
      const other = started(definition);
      other.put(attach('oximeter'));
      while (other.run.clockMs < 90_000) {
        other.run.advanceTo(other.run.clockMs + 500);
        const shown = other.run.view().shown.spo2Percent;
        if (shown !== null && shown < 80) return other.run.clockMs;
      }
      return Infinity;
    };
    const [warm, cold] = [halfway(1), halfway(0.25)];
    expect(cold).toBeGreaterThan(warm + 5000);
    expect(cold).toBeLessThan(60_000);
  });

  it('loses the signal in poor perfusion, with a message, and finds it again', () => {
    const definition = definitionOf(
      scenarioOf([
        thread('t', [
          state('cold', { scripted: [{ vital: 'perfusionFraction', to: 0.05, overMs: 0 }] }),
          state('warm', { scripted: [{ vital: 'perfusionFraction', to: 0.9, overMs: 0 }] }),
        ]),
      ]),
    );
    const { run, put } = started(definition);
    put({ kind: 'state-forced', thread: 't', state: 'warm' });
    put(attach('oximeter'));
    run.advanceTo(20_000);
    expect(run.view().shown.spo2Percent).not.toBeNull();
    put({ kind: 'state-forced', thread: 't', state: 'cold' });
    run.advanceTo(40_000);
    expect(run.view().shown).toMatchObject({ spo2Percent: null, pulsePerMin: null });
    expect(run.view().shown.oximeterMessage).toContain('low perfusion');
    expect(run.view().shown.plethFraction).toBeLessThan(0.01);
    put({ kind: 'state-forced', thread: 't', state: 'warm' });
    run.advanceTo(60_000);
    expect(run.view().shown.spo2Percent).not.toBeNull();
    expect(readings(run, 'oximeter').map((fact) => (fact as { value: number | null }).value === null)).toEqual([
      false,
      true,
      false,
    ]);
  });

  it('the cuff shows nothing before a cycle ends, then a mean that goes stale with its time', () => {
    const { run, put } = started(scripted({ systolicMmHg: 110 }));
    put(attach('bp-cuff'));
    run.advanceTo(5000);
    put({ kind: 'cuff-pressed' });
    run.advanceTo(29_900);
    expect(run.view().shown.bloodPressure).toBeNull();
    expect(run.view().shown.cuff.inflating).toBe(true);
    run.advanceTo(30_000);
    const first = run.view().shown.bloodPressure!;
    expect(first.takenAtMs).toBe(30_000);
    expect(Math.abs(first.systolicMmHg! - 110)).toBeLessThanOrEqual(7);
    expect(first.systolicMmHg).toBeGreaterThanOrEqual(first.meanMmHg!);
    expect(first.meanMmHg).toBeGreaterThanOrEqual(first.diastolicMmHg!);
    run.advanceTo(300_000);
    expect(run.view().shown.bloodPressure).toEqual(first);
  });

  it('takes longer when the pressure is low, and fails in deep shock', () => {
    const low = started(scripted({ systolicMmHg: 55, diastolicMmHg: 35 }));
    low.put(attach('bp-cuff'));
    low.run.advanceTo(1000);
    low.put({ kind: 'cuff-pressed' });
    low.run.advanceTo(40_000);
    const taken = low.run.view().shown.bloodPressure!.takenAtMs - 1000;
    expect(taken).toBeGreaterThan(27_000);
    expect(taken).toBeLessThanOrEqual(35_000);
    expect(low.run.view().shown.bloodPressure!.systolicMmHg).not.toBeNull();
    const deep = started(scripted({ systolicMmHg: 35, diastolicMmHg: 18 }));
    deep.put(attach('bp-cuff'));
    deep.run.advanceTo(1000);
    deep.put({ kind: 'cuff-pressed' });
    deep.run.advanceTo(45_000);
    expect(deep.run.view().shown.bloodPressure).toMatchObject({ systolicMmHg: null, failed: CUFF_FAILED });
    expect(readings(deep.run, 'bp-cuff')).toMatchObject([{ value: null, failed: CUFF_FAILED }]);
  });

  it('cycles by itself at its interval, and says when next', () => {
    const { run, put } = started(WELL);
    put(attach('bp-cuff'));
    put({ kind: 'cuff-interval', everyMs: 60_000 });
    run.advanceTo(150_000);
    expect(readings(run, 'bp-cuff').map((fact) => fact.atMs)).toEqual([25_000, 85_000, 145_000]);
    expect(run.view().shown.cuff).toEqual({ inflating: false, everyMs: 60_000, nextAtMs: 180_000 });
    put({ kind: 'cuff-interval', everyMs: null });
    run.advanceTo(400_000);
    expect(readings(run, 'bp-cuff')).toHaveLength(3);
  });

  it('a press without a cuff is answered in words', () => {
    const { run, put } = started(WELL);
    put({ kind: 'cuff-pressed' });
    expect(readings(run, 'bp-cuff')).toMatchObject([{ value: null, failed: 'the cuff is not on' }]);
  });

  it('in arrest the leads may still count, the finger reads nothing', () => {
    const { run, put } = started(
      scripted({ arrested: 1, pulseRatePerMin: 0, heartRatePerMin: 40, perfusionFraction: 0 }),
    );
    put(attach('ecg'));
    put(attach('oximeter'));
    run.advanceTo(60_000);
    expect(run.view().shown).toMatchObject({ spo2Percent: null, pulsePerMin: null });
    expect(Math.abs(run.view().shown.heartRatePerMin! - 40)).toBeLessThanOrEqual(2);
    expect(run.view().wave).toMatchObject({ pulsed: false });
    expect(run.derived.some((fact) => fact.kind === 'arrest' && fact.on)).toBe(true);
  });

  it('thermometer and glucose meter read once, after their time', () => {
    const { run, put } = started(WELL);
    put(attach('thermometer'));
    put(attach('glucose-meter'));
    run.advanceTo(9900);
    expect(run.view().shown.temperatureCelsius).toBeNull();
    run.advanceTo(30_000);
    const { shown } = run.view();
    expect(Math.abs(shown.temperatureCelsius! - run.view().trueVitals.temperatureCelsius)).toBeLessThan(0.5);
    expect(shown.glucoseMmolPerL).toBeGreaterThan(3);
    run.advanceTo(60_000);
    expect(run.view().shown.glucoseMmolPerL).toBe(shown.glucoseMmolPerL);
  });

  it('capnography reads zero some time after the last breath', () => {
    const { run, put } = started(scripted({ respiratoryRatePerMin: 0 }));
    put(attach('capnography'));
    run.advanceTo(60_000);
    expect(run.view().shown).toMatchObject({ etco2MmHg: 0, respiratoryRatePerMin: 0 });
  });

  it('noise belongs to the seed: the same seed the same numbers, another seed others; and truth is untouched', () => {
    const trace = (seed: number) => {
      const { run, put } = started({ ...REACTION, seed });
      for (const device of ['oximeter', 'ecg', 'capnography', 'bp-cuff'] as const) put(attach(device));
      put({ kind: 'cuff-interval', everyMs: 60_000 });
      run.advanceTo(180_000);
      return run.track;
    };
    const [one, again, two] = [trace(1), trace(1), trace(2)];
    expect(again).toEqual(one);
    expect(two.map((row) => row.shown)).not.toEqual(one.map((row) => row.shown));
    expect(two.map((row) => row.true)).toEqual(one.map((row) => row.true));
  });

  it('attaching one device never alters the noise of another', () => {
    const rates = (more: boolean) => {
      const { run, put } = started(REACTION);
      put(attach('ecg'));
      if (more) put(attach('oximeter'));
      run.advanceTo(60_000);
      return run.track.map((row) => row.shown.heartRatePerMin);
    };
    expect(rates(true)).toEqual(rates(false));
  });

  it('oxygen and a posture are answered by the patient', () => {
    const { run, put } = started(WELL);
    put(give('oxygen', null));
    run.advanceTo(60_000);
    expect(run.view().trueVitals.fio2Fraction).toBeGreaterThan(0.5);
    put({ kind: 'intervention-stopped', intervention: 'oxygen' });
    run.advanceTo(240_000);
    expect(run.view().trueVitals.fio2Fraction).toBeCloseTo(0.21);
  });
});
