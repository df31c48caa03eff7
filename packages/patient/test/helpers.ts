import { expect } from 'vitest';
import type { PatientInput, PatientModel, PatientProfile, PatientState, TrueVitals } from '../src/index.ts';
import { bundled } from './bundled.ts';

const { applyInput, buildPatient, createState, createVitals, readVitals, stepPatient } = await bundled();

export type Timed = readonly [minute: number, input: PatientInput];

export interface Course {
  /** Vitals at each whole minute asked for, and at the end. */
  at(minute: number): TrueVitals;
  readonly arrestMin: number;
  readonly state: PatientState;
  readonly model: PatientModel;
  /** Least, over the whole course, of a vital. */
  least(vital: keyof TrueVitals): number;
  /** Minutes spent with a vital below a limit. */
  minutesBelow(vital: keyof TrueVitals, limit: number): number;
}

/** Runs a patient with inputs at given minutes, keeping vitals every 0.1 min. */
export function course(
  who: PatientProfile | PatientModel,
  inputs: readonly Timed[],
  minutes: number,
  dtMs = 100,
): Course {
  const model = 'p' in who ? who : buildPatient(who);
  const state = createState(model);
  const sorted = [...inputs].sort((a, b) => a[0] - b[0]);
  const kept: TrueVitals[] = [];
  const perKeep = 6000 / dtMs;
  let next = 0;
  let arrestMin = Infinity;
  const steps = Math.round((minutes * 60000) / dtMs);
  for (let i = 0; i <= steps; i++) {
    const t = (i * dtMs) / 60000;
    while (next < sorted.length && sorted[next]![0] <= t + 1e-9) applyInput(model, state, sorted[next++]![1]);
    if (i % perKeep === 0) {
      const v = readVitals(model, state, createVitals());
      kept.push(v);
      if (v.arrested && arrestMin === Infinity) arrestMin = t;
    }
    stepPatient(model, state, dtMs);
  }
  return {
    at: (minute) => kept[Math.min(Math.round(minute * 10), kept.length - 1)]!,
    arrestMin,
    state,
    model,
    least: (vital) => kept.reduce((least, v) => Math.min(least, v[vital]), Infinity),
    minutesBelow: (vital, limit) => kept.filter((v) => v[vital] < limit).length / 10,
  };
}

export const drive = (id: string, to: number, overMin = 0): PatientInput => ({
  kind: 'drive',
  drive: id,
  to,
  overMs: overMin * 60000,
});
export const adrenalineIm = (micrograms: number, site = 'thigh'): PatientInput => ({
  kind: 'dose',
  effect: 'adrenaline',
  route: 'im',
  site,
  amount: micrograms,
});
export const reservoirMask: PatientInput = { kind: 'oxygen', device: 'non-rebreathe-mask', flowLPerMin: 15 };
export const fluid = (mL: number, overMin: number): PatientInput => ({
  kind: 'dose',
  effect: 'crystalloid',
  route: 'iv',
  amount: mL,
  overMs: overMin * 60000,
});

export const CHILD: PatientProfile = {
  ageYears: 7,
  weightKg: 23,
  sex: 'female',
  illness: [{ disease: 'anaphylaxis', pattern: 'food' }],
};
export const ADULT: PatientProfile = {
  ageYears: 48,
  weightKg: 82,
  sex: 'male',
  illness: [{ disease: 'anaphylaxis', pattern: 'venom' }],
};

/** Physical bounds no output may leave. */
export const BOUNDS: Readonly<Record<keyof TrueVitals, readonly [number, number]>> = {
  heartRatePerMin: [0, 300],
  pulseRatePerMin: [0, 300],
  respiratoryRatePerMin: [0, 100],
  spo2Percent: [0, 100],
  systolicMmHg: [0, 450],
  diastolicMmHg: [0, 260],
  meanMmHg: [0, 260],
  etco2MmHg: [0, 300],
  temperatureCelsius: [28, 43],
  glucoseMmolPerL: [0, 100],
  capillaryRefillS: [0, 12],
  perfusionFraction: [0, 1],
  consciousnessFraction: [0, 1],
  paco2MmHg: [0, 300],
  pao2MmHg: [0, 800],
  arterialPh: [5.5, 8.2],
  lactateMmolPerL: [0, 30],
  ventilationRatio: [0, 12],
  bronchospasmFraction: [0, 1],
  upperAirwayFraction: [0, 1],
  fio2Fraction: [0.2, 1],
  rhythm: [0, 8],
  arrested: [0, 1],
};

export function expectInBounds(v: TrueVitals): void {
  for (const key of Object.keys(BOUNDS) as (keyof TrueVitals)[]) {
    const [lo, hi] = BOUNDS[key];
    if (!(v[key] >= lo && v[key] <= hi)) expect.fail(`${key} = ${v[key]} is outside ${lo}..${hi}`);
  }
  expect(v.systolicMmHg).toBeGreaterThanOrEqual(v.meanMmHg);
  expect(v.meanMmHg).toBeGreaterThanOrEqual(v.diastolicMmHg);
}
