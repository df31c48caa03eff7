/** Too much of a medicine, and too little flow: courses against what is published. */
import { describe, expect, it } from 'vitest';
import { explain, readFindings, readSign } from '../src/index.ts';
import type { PatientProfile } from '../src/index.ts';
import { adrenalineIm, course, drive, reservoirMask } from './helpers.ts';

const CHILD: PatientProfile = { ageYears: 7, weightKg: 23, sex: 'female' };
const ADULT: PatientProfile = { ageYears: 30, weightKg: 70, sex: 'male' };
const amino = (mg: number) => ({ kind: 'dose', effect: 'aminophylline', route: 'iv', amount: mg, overMs: 300_000 }) as const; // prettier-ignore
const said = (c: ReturnType<typeof course>, id: string) =>
  readFindings(c.model, c.state).find((f) => f.id === id)?.text ?? '';

describe('adrenaline, ten times the muscle dose in a child', () => {
  // Three children given 0.16-1.1 mg/kg: hypertension, then hypotension, ischaemia, failing heart, oedema (Tidsskr Nor Laegeforen
  // 1998;118:1080-1, abstract seen). Bounds of pressure and rate: common practice, no source.
  it('severe pressure that the heart itself limits, a racing heart, ectopics, water in the lungs, then a worn heart', () => {
    const c = course(CHILD, [[1, adrenalineIm(3000)]], 40);
    const most = (vital: 'systolicMmHg' | 'heartRatePerMin') =>
      Math.max(...Array.from({ length: 400 }, (_, i) => c.at(i / 10)[vital]));
    expect(most('systolicMmHg')).toBeGreaterThan(170);
    expect(most('systolicMmHg')).toBeLessThan(250);
    expect(most('heartRatePerMin')).toBeGreaterThan(170);
    expect(c.at(6).rhythm).toBe(3);
    expect(c.least('spo2Percent')).toBeLessThan(93);
    expect(explain(c.model, c.state, 'meanMmHg').text).toMatch(/heart muscle worn by adrenaline/);
    const usual = course(CHILD, [[1, adrenalineIm(300)]], 40);
    expect(explain(usual.model, usual.state, 'meanMmHg').text).not.toMatch(/worn/);
    expect(c.at(40).systolicMmHg).toBeLessThan(usual.at(8).systolicMmHg);
  });
});

describe('theophylline', () => {
  // Major toxicity above 100 mg/L after acute poisoning: Shannon M. Ann Intern Med 1993;119:1161-7 (abstract seen). 350 mg = 10 mg/L.
  it('fast at 40 mg/L without a fit; a fit near 100, which an anaesthetic ends', () => {
    const some = course(ADULT, [[0, amino(1500)]], 20);
    expect(some.at(20).heartRatePerMin).toBeGreaterThan(some.at(0).heartRatePerMin + 15);
    expect(some.at(20).consciousnessFraction).toBeGreaterThan(0.95);
    const much = course(ADULT, [[0, amino(3750)]], 20);
    expect(said(much, 'seizure')).toMatch(/Jerking/);
    expect(said(much, 'avpu')).toMatch(/unresponsive/);
    expect(explain(much.model, much.state, 'consciousnessFraction').text).toMatch(/fitting 100 %/);
    expect(much.at(20).lactateMmolPerL).toBeGreaterThan(4);
    const slept = course(ADULT, [[0, amino(3750)], [18, { kind: 'dose', effect: 'propofol', route: 'iv', amount: 140 }]], 20); // prettier-ignore
    expect(said(slept, 'seizure')).toBe('');
  });
});

describe('too little flow', () => {
  it('a septic child no longer alert at a systolic of 62', () => {
    const illness = [{ disease: 'pneumonia', pattern: 'septic', startedMinutesAgo: 30 }];
    const c = course({ ageYears: 4, weightKg: 16, sex: 'male', illness }, [], 22);
    expect(c.at(22).systolicMmHg).toBeGreaterThan(58);
    expect(readSign(c.model, c.state, 'drowsiness')).toBeGreaterThanOrEqual(2);
  });
  it('a third of the blood lost: lactate up within half an hour, mind dulled', () => {
    // Spahn DR et al. Crit Care 2019;23:98, table 3: 31-40 % lost, Glasgow score falls, base deficit 6-10 mmol/L.
    const c = course(ADULT, [[0, drive('bleeding', 1.55)], [15, drive('bleeding', 0)]], 45); // prettier-ignore
    expect(c.at(45).lactateMmolPerL).toBeGreaterThan(4);
    expect(readSign(c.model, c.state, 'drowsiness')).toBeGreaterThanOrEqual(1);
  });
});

it('an untreated morphine-like overdose on oxygen is not rousable to voice within two hours', () => {
  const illness = [{ disease: 'opioid-toxicity', pattern: 'morphine-like', severity: 0.85 }];
  const c = course({ ...ADULT, illness }, [[0, reservoirMask]], 120, 200);
  expect(readSign(c.model, c.state, 'drowsiness')).toBeGreaterThanOrEqual(3);
  expect(c.at(120).arrested).toBe(0);
});

it('salbutamol quickens the heart in acute severe asthma while it opens the airways', () => {
  // Higher than saline at 15 min (Cureus 2021;13:e13672, volunteers, abstract seen).
  const illness = [{ disease: 'asthma', pattern: 'acute-severe', startedMinutesAgo: 20 }];
  const neb = { kind: 'dose', effect: 'salbutamol', route: 'neb', amount: 5, overMs: 480_000 } as const;
  const c = course(
    { ageYears: 8, weightKg: 26, sex: 'male', illness },
    [
      [0, reservoirMask],
      [5, neb],
    ],
    25,
  );
  expect(c.at(25).heartRatePerMin).toBeGreaterThan(c.at(5).heartRatePerMin + 2);
});

it('a nebulised dose told late is where it would have got to', () => {
  const who: PatientProfile = { ageYears: 2, weightKg: 12, sex: 'male' };
  const neb = { kind: 'dose', effect: 'adrenaline', route: 'neb', amount: 4800 } as const;
  const prompt = course(who, [[0, neb]], 21);
  const late = course(who, [[20, { ...neb, lagMs: 20 * 60_000 }]], 21);
  const at = (c: ReturnType<typeof course>) => c.state[64]!;
  expect(at(late) / at(prompt)).toBeCloseTo(1, 1);
});
