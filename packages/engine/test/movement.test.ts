/** Movement, cold and the sampling line: what devices do to the truth, and that they never touch it. */
import { describe, expect, it } from 'vitest';
import { CUFF_MOVED } from '../src/devices/cuff.ts';
import type { Derived, EventBody, TrackRow } from '../src/index.ts';
import { definitionOf, give, INTERVENTIONS, scenarioOf, state, thread } from './fixtures.ts';
import { started } from './helpers.ts';

type Device = Extract<EventBody, { kind: 'device-attached' }>['device'];
const attach = (device: Device): EventBody => ({ kind: 'device-attached', device });

/** A well child, as restless as asked, with vitals scripted where a device is put before a known truth. */
const child = (agitation: number, vitals: Partial<Record<string, number>> = {}, seed = 7) => {
  const at = (id: string, add: number) =>
    state(id, {
      drives: [{ kind: 'drive', drive: 'agitation', to: agitation, overMs: 0 }],
      // Fractions stay as they are in both states.
      scripted: Object.entries(vitals).map(([vital, to]) => ({
        vital: vital as never,
        to: to! <= 1 ? to! : to! + add,
        overMs: 0,
      })),
    });
  const scenario = scenarioOf([thread('t', [at('s', 0), at('other', 20)])]);
  return definitionOf({ ...scenario, patient: { ...scenario.patient, illness: [] } }, seed);
};

type Reading = Extract<Derived, { kind: 'reading' }>;
const readings = (derived: readonly Derived[], device: string): Reading[] =>
  derived.filter((fact): fact is Reading => fact.kind === 'reading' && fact.device === device);

/** Rows once the oximeter has had time to find its number. */
const settled = (track: readonly TrackRow[]): TrackRow[] => track.filter((row) => row.atMs >= 15_000);

const watched = (agitation: number, vitals: Partial<Record<string, number>> = {}, seed = 7) => {
  const { run, put } = started(child(agitation, vitals, seed));
  put(attach('oximeter'));
  run.advanceTo(600_000);
  return run;
};

describe('movement', () => {
  it('a calm child disturbs nothing; a thrashing one freezes and unsettles the number, and truth is the same', () => {
    const messages = (agitation: number) =>
      settled(watched(agitation).track).filter((row) => row.shown.oximeterMessage?.startsWith('movement')).length;
    expect(messages(0)).toBe(0);
    const wild = messages(1);
    expect(wild).toBeGreaterThan(20);
    expect(wild).toBeLessThan(250); // a number is there most of the time
    const spread = (agitation: number): number => {
      const shown = settled(watched(agitation, { spo2Percent: 90 }).track).flatMap((row) =>
        row.atMs < 60_000 || row.shown.spo2Percent === null ? [] : [row.shown.spo2Percent - 90],
      );
      return Math.sqrt(shown.reduce((sum, error) => sum + error * error, 0) / shown.length);
    };
    expect(spread(1)).toBeGreaterThan(1.5 * spread(0));
    expect(spread(1)).toBeLessThan(2.5);
  });

  it('movement and a weak pulse together lose the number where neither does alone, and say why', () => {
    const lost = (agitation: number, perfusionFraction: number): Reading[] =>
      readings(watched(agitation, { perfusionFraction }).derived, 'oximeter').filter((each) => each.value === null);
    expect(lost(0, 0.25)).toEqual([]);
    const strong = lost(1, 0.9).length;
    const weak = lost(1, 0.25);
    expect(weak.length).toBeGreaterThan(strong);
    expect(weak[0]!.failed).toBe('movement, signal lost');
  });

  it('a cuff cycle takes longer on a moving arm, up to 15 s, and may read nothing', () => {
    const cycles = (agitation: number) => {
      const { run, put } = started(child(agitation, { systolicMmHg: 110 }));
      put(attach('bp-cuff'));
      const lengths: number[] = [];
      for (let i = 0; i < 40; i++) {
        const from = run.clockMs;
        put({ kind: 'cuff-pressed' });
        while (run.view().shown.cuff.inflating) run.advanceTo(run.clockMs + 100);
        lengths.push(run.clockMs - from);
      }
      return { lengths, failed: readings(run.derived, 'bp-cuff').filter((each) => each.failed === CUFF_MOVED) };
    };
    const calm = cycles(0);
    expect(new Set(calm.lengths)).toEqual(new Set([25_000]));
    expect(calm.failed).toEqual([]);
    const wild = cycles(1);
    expect(Math.min(...wild.lengths.slice(1))).toBe(40_000);
    expect(Math.max(...wild.lengths)).toBe(40_000);
    expect(wild.failed.length).toBeGreaterThan(4);
    expect(wild.failed.length).toBeLessThan(24);
    expect(wild.failed[0]).toMatchObject({ value: null });
    expect(wild.failed[0]!.trueValue).toBeCloseTo(110, 0);
  });

  it('belongs to the seed, and to no other device', () => {
    const shown = (seed: number, more: boolean) => {
      const { run, put } = started(child(1, {}, seed));
      put(attach('oximeter'));
      put(attach('ecg'));
      if (more) put(attach('capnography'));
      run.advanceTo(120_000);
      return run.track.map((row) => [row.shown.spo2Percent, row.shown.heartRatePerMin, row.shown.oximeterMessage]);
    };
    expect(shown(1, false)).toEqual(shown(1, false));
    expect(shown(1, true)).toEqual(shown(1, false));
    expect(shown(2, false)).not.toEqual(shown(1, false));
  });
});

describe('movement at the leads', () => {
  /** How much the traces are shaken at each quarter second of five minutes, with these devices on. */
  const shaken = (agitation: number, devices: readonly Device[], vitals = {}) => {
    const { run, put } = started(child(agitation, vitals));
    for (const device of devices) put(attach(device));
    const seen: (number | null | undefined)[] = [];
    while (run.clockMs < 300_000) {
      run.advanceTo(run.clockMs + 250);
      seen.push(run.view().wave.motionFraction);
    }
    return seen;
  };

  it('shows with leads alone, in bouts, and never in a calm child or with nothing on', () => {
    const wild = shaken(1, ['ecg']);
    const share = wild.filter((each) => each === 1).length / wild.length;
    expect(share).toBeGreaterThan(0.03);
    expect(share).toBeLessThan(0.5);
    expect(shaken(1, ['ecg'])).toEqual(wild);
    expect(new Set(shaken(0, ['ecg']))).toEqual(new Set([0]));
    expect(new Set(shaken(1, []))).toEqual(new Set([null]));
  });

  it('shakes the leads in the very bouts that the probe reports', () => {
    const { run, put } = started(child(1));
    put(attach('oximeter'));
    put(attach('ecg'));
    let bouts = 0;
    while (run.clockMs < 300_000) {
      run.advanceTo(run.clockMs + 250);
      const { shown, wave } = run.view();
      if (!shown.oximeterMessage?.startsWith('movement')) continue;
      bouts += 1;
      expect(wave.motionFraction).toBe(1);
    }
    expect(bouts).toBeGreaterThan(20);
  });

  it('chest compressions shake them throughout; with hands off they are still', () => {
    const one = (pulseRatePerMin: number) => shaken(0, ['ecg'], { arrested: 1, pulseRatePerMin }).slice(-400);
    expect(new Set(one(110))).toEqual(new Set([1]));
    expect(new Set(one(0))).toEqual(new Set([0]));
  });

  it('a fit shakes them', () => {
    const definition = child(0);
    const overdose = { ...INTERVENTIONS[1]!, id: 'much', effect: 'aminophylline', route: 'iv', amount: null } as const;
    const interventions = [...INTERVENTIONS, { ...overdose, overMs: 60_000 }];
    const { run, put } = started({ ...definition, library: { ...definition.library, interventions } });
    put(attach('ecg'));
    run.advanceTo(2000);
    expect(run.view().wave.motionFraction).toBe(0);
    put(give('much', 2000, 'mg'));
    run.advanceTo(300_000);
    expect(run.view().findings.find(({ id }) => id === 'seizure')?.text).toMatch(/jerk/i);
    expect(run.view().wave.motionFraction).toBe(1);
  });
});

describe('delays', () => {
  /** Seconds from a step in the truth until the shown value has gone half way. */
  const halfWay = (device: Device, vital: string, field: 'spo2Percent' | 'etco2MmHg', more = {}): number => {
    const { run, put } = started(child(0, { [vital]: 60, ...more }));
    put(attach(device));
    run.advanceTo(90_000);
    put({ kind: 'state-forced', thread: 't', state: 'other' });
    const from = run.clockMs;
    while (run.clockMs < from + 120_000) {
      run.advanceTo(run.clockMs + 100);
      const shown = run.view().shown[field];
      if (shown !== null && shown >= 70) return (run.clockMs - from) / 1000;
    }
    return Infinity;
  };

  it('gas is two seconds down the line before the number even begins to move', () => {
    const { run, put } = started(child(0, { etco2MmHg: 40 }));
    put(attach('capnography'));
    run.advanceTo(5900);
    expect(run.view().shown.etco2MmHg).toBeNull();
    run.advanceTo(60_000);
    expect(run.view().wave.etco2MmHg).toBeCloseTo(40);
    put({ kind: 'state-forced', thread: 't', state: 'other' });
    run.advanceTo(61_900);
    expect(run.view().trueVitals.etco2MmHg).toBeCloseTo(60);
    expect(run.view().wave.etco2MmHg).toBeCloseTo(40);
    run.advanceTo(62_200);
    expect(run.view().wave.etco2MmHg).toBeCloseTo(60);
    const half = halfWay('capnography', 'etco2MmHg', 'etco2MmHg');
    expect(half).toBeGreaterThan(3);
    expect(half).toBeLessThan(6);
  });

  it('a warm finger is about 15 s behind, a cold one about 15 to 30 s more', () => {
    const warm = halfWay('oximeter', 'spo2Percent', 'spo2Percent');
    expect(warm).toBeGreaterThan(15);
    expect(warm).toBeLessThan(22);
    // Finger 15 s behind the ear in vasoconstriction (Lindholm 2007), 85 s slower in mild hypothermia (MacLeod 2005).
    const cold = halfWay('oximeter', 'spo2Percent', 'spo2Percent', { perfusionFraction: 0.3 });
    expect(cold - warm).toBeGreaterThan(12);
    expect(cold - warm).toBeLessThan(30);
    const colder = halfWay('oximeter', 'spo2Percent', 'spo2Percent', { perfusionFraction: 0.2 });
    expect(colder).toBeGreaterThan(cold);
  });

  it('glucose is what was in the drop, not what came after it', () => {
    const { run, put } = started(child(0, { glucoseMmolPerL: 3 }));
    run.advanceTo(2000);
    put(attach('glucose-meter'));
    run.advanceTo(3000);
    put({ kind: 'state-forced', thread: 't', state: 'other' });
    run.advanceTo(30_000);
    expect(run.view().trueVitals.glucoseMmolPerL).toBeCloseTo(23);
    const [reading] = readings(run.derived, 'glucose-meter');
    expect(reading).toMatchObject({ atMs: 22_000, sampledAtMs: 2000 });
    expect(reading!.trueValue).toBeCloseTo(3);
    expect(Math.abs(reading!.value! - 3)).toBeLessThan(0.5);
    expect(run.view().shown.glucoseMmolPerL).toBe(reading!.value);
  });
});
