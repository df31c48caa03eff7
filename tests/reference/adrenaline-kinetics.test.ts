/**
 * Adrenaline in plasma after each way of giving it, against published studies.
 *
 * Simons FER et al. J Allergy Clin Immunol 1998;101:33-7, doi 10.1016/S0091-6749(98)70190-3 (abstract seen): children 4-12 y,
 * 0.3 mg. Into thigh muscle: peak at 8 ± 2 min (SEM, n = 8), 2136 ± 351 pg/mL. Under the skin of the arm: 34 ± 14 min (range 5
 * to 120), 1802 ± 214 pg/mL.
 * Simons FER et al. J Allergy Clin Immunol 2001;108:871-3, doi 10.1067/mai.2001.119409 (abstract seen): in men, peak higher into
 * thigh muscle than into arm muscle or under the skin of the arm.
 * Dreborg S, Kim H. Allergy Asthma Clin Immunol 2021;17:25, doi 10.1186/s13223-021-00511-y (abstract seen): across six adult
 * studies two peaks, at 5-10 and 30-50 min; peak rises with dose.
 * Abboud I et al. Crit Care 2009;13:R120, doi 10.1186/cc7972 (abstract seen): half-life 3.5 min, clearance 127 L/h at 70 kg.
 */
import { describe, expect, it } from 'vitest';
import { applyInput, buildPatient, createState, stepPatient } from '@breathline/patient';
import type { PatientInput, PatientProfile } from '@breathline/patient';
import { SLOTS as X } from '../../packages/patient/src/core/layout.ts';

const CHILD: PatientProfile = { ageYears: 8, weightKg: 26, sex: 'male' };
const ADULT: PatientProfile = { ageYears: 30, weightKg: 70, sex: 'male' };
const give = (route: 'im' | 'iv' | 'io' | 'subcutaneous', amount: number, site?: string): PatientInput => ({
  kind: 'dose',
  effect: 'adrenaline',
  route,
  amount,
  ...(site === undefined ? {} : { site }),
});

/** Plasma level (ng/mL) every 6 s for so many minutes. */
function plasma(who: PatientProfile, input: PatientInput, minutes: number): number[] {
  const model = buildPatient(who);
  const s = createState(model);
  applyInput(model, s, input);
  const levels: number[] = [];
  for (let i = 0; i < minutes * 600; i++) {
    if (i % 60 === 0) levels.push(s[X.AD_C]!);
    stepPatient(model, s, 100);
  }
  return levels;
}
const peakOf = (levels: readonly number[]) => {
  const level = Math.max(...levels);
  return { level, minute: levels.indexOf(level) / 10 };
};

describe('children', () => {
  const thigh = plasma(CHILD, give('im', 300), 60);
  const skin = plasma(CHILD, give('subcutaneous', 300), 60);
  it('thigh muscle: time of the peak within 8 ± 2 SEM of 2, height within 2136 ± 2 SD', () => {
    const { minute, level } = peakOf(thigh);
    expect(minute).toBeGreaterThanOrEqual(4);
    expect(minute).toBeLessThanOrEqual(12);
    expect(Math.abs(level - 2.136)).toBeLessThan(2 * 0.351 * Math.sqrt(8));
  });
  it('under the skin: peak at 34 ± 1 SEM of 14, lower and far later than into muscle', () => {
    const { minute, level } = peakOf(skin);
    expect(minute).toBeGreaterThan(20);
    expect(minute).toBeLessThan(48);
    // Published 84 % of the muscle's peak; with a half-life of 3.5 min no single curve has both that and the 34 min.
    expect(level).toBeLessThan(0.84 * peakOf(thigh).level);
    expect(skin[80]!).toBeLessThan(0.25 * thigh[80]!);
  });
  it('under the skin nothing is lost: as much is taken up as from muscle, later', () => {
    const area = (levels: readonly number[]) => levels.reduce((sum, c) => sum + c, 0);
    const long = (route: 'im' | 'subcutaneous') => area(plasma(CHILD, give(route, 300), 360));
    expect(Math.abs(long('subcutaneous') / long('im') - 1)).toBeLessThan(0.02);
  });
});

describe('adults', () => {
  const thigh = plasma(ADULT, give('im', 300), 40);
  it('thigh muscle: the first peak at 5-10 min', () => {
    const { minute } = peakOf(thigh);
    expect(minute).toBeGreaterThanOrEqual(5);
    expect(minute).toBeLessThanOrEqual(10);
  });
  it('thigh above upper arm above under the skin, and 500 micrograms above 300', () => {
    const arm = peakOf(plasma(ADULT, give('im', 300, 'upper arm'), 40)).level;
    const skin = peakOf(plasma(ADULT, give('subcutaneous', 300), 40)).level;
    expect(peakOf(thigh).level).toBeGreaterThan(1.5 * arm);
    expect(arm).toBeGreaterThan(skin);
    expect(peakOf(plasma(ADULT, give('im', 500), 40)).level).toBeCloseTo((5 / 3) * peakOf(thigh).level, 6);
  });
  it('into a vein: half is gone in 3.5 min, and what it takes to hold a level is the published clearance within 3 %', () => {
    const vein = plasma(ADULT, give('iv', 50), 12);
    expect(vein[35]! / vein[0]!).toBeCloseTo(0.5, 1);
    const model = buildPatient(ADULT);
    const s = createState(model);
    applyInput(model, s, { kind: 'infusion', effect: 'adrenaline', ratePerMin: 7 });
    for (let i = 0; i < 40 * 600; i++) stepPatient(model, s, 100);
    // Clearance = rate / level: 7 micrograms/min over ng/mL is L/min.
    expect(7 / s[X.AD_C]!).toBeGreaterThan(0.97 * (127 / 60));
    expect(7 / s[X.AD_C]!).toBeLessThan(1.03 * (127 / 60));
  });
  it('a bone is as good as a vein, to the last bit', () => {
    expect(plasma(ADULT, give('io', 50), 5)).toEqual(plasma(ADULT, give('iv', 50), 5));
  });
  it('a bolus and the same amount run in over a minute end at nearly the same level', () => {
    const slow = plasma(ADULT, { ...give('iv', 50), overMs: 60_000 } as PatientInput, 4);
    const fast = plasma(ADULT, give('iv', 50), 4);
    expect(Math.abs(slow[20]! / fast[20]! - 1)).toBeLessThan(0.12);
  });
});

it('a dose under the skin told late is where it would have got to', () => {
  const model = buildPatient(CHILD);
  const prompt = createState(model);
  const late = createState(model);
  applyInput(model, prompt, give('subcutaneous', 300));
  for (let i = 0; i < 20 * 600; i++) {
    stepPatient(model, prompt, 100);
    stepPatient(model, late, 100);
  }
  applyInput(model, late, { ...give('subcutaneous', 300), lagMs: 20 * 60_000 } as PatientInput);
  expect(late[X.AD_C]! / prompt[X.AD_C]!).toBeCloseTo(1, 1);
});
