/** Courses of anaphylaxis other than the plain one: coming back, standing up to muscle doses, going on for hours. */
import { describe, expect, it } from 'vitest';
import { DISEASES, PatientError, buildPatient, readFindings } from '../src/index.ts';
import type { PatientInput, PatientProfile } from '../src/index.ts';
import { SLOTS as X } from '../src/core/layout.ts';
import { adrenalineIm, course, fluid, reservoirMask } from './helpers.ts';
import type { Timed } from './helpers.ts';

const child = (pattern: string, more: object = {}): PatientProfile => ({
  ageYears: 8,
  weightKg: 26,
  sex: 'female',
  illness: [{ disease: 'anaphylaxis', pattern, severity: 0.9, ...more }],
});
const TWO_DOSES: readonly Timed[] = [
  [4, adrenalineIm(300)],
  [4.5, reservoirMask],
  [9, adrenalineIm(300)],
];
const infusion = (microgramsPerKgMin: number): PatientInput => ({
  kind: 'infusion',
  effect: 'adrenaline',
  ratePerMin: microgramsPerKgMin * 26,
});

describe('biphasic', () => {
  const settled: readonly Timed[] = [...TWO_DOSES, [10, fluid(260, 5)]];
  it('settles after treatment and comes back when the author says, without anything new being done', () => {
    for (const [pattern, after] of [
      ['biphasic', 25],
      ['biphasic', 45],
      ['venom', 40],
    ] as const) {
      const c = course(child(pattern, { returnsAfterMinutes: after }), settled, after + 25);
      const quiet = c.at(after - 1);
      expect(quiet.bronchospasmFraction, pattern).toBeLessThan(0.1);
      expect(c.at(after + 20).bronchospasmFraction, pattern).toBeGreaterThan(quiet.bronchospasmFraction + 0.15);
      expect(c.at(after + 25).systolicMmHg, pattern).toBeLessThan(quiet.systolicMmHg - 15);
      expect(c.state[X.SKIN]!, pattern).toBeGreaterThan(0.2);
    }
  });
  it('comes back at the published middle, 11 hours, when the author says nothing (Lee S 2015)', () => {
    const model = buildPatient(child('biphasic'));
    expect(model.p['returnsAfter']).toBe(660);
    expect(buildPatient(child('food')).p['returnsAfter']).toBe(0);
  });
  it('does not come back in a pattern that does not, and steroids do not keep the second wave away', () => {
    const plain = course(child('venom'), settled, 60);
    const back = course(child('venom', { returnsAfterMinutes: 40 }), settled, 60);
    expect(back.at(58).systolicMmHg).toBeLessThan(plain.at(58).systolicMmHg - 10);
    const steroid: Timed = [1, { kind: 'dose', effect: 'hydrocortisone', route: 'iv', amount: 100 }];
    const late = { returnsAfterMinutes: 200 };
    const without = course(child('biphasic', late), settled, 215);
    const with_ = course(child('biphasic', late), [...settled, steroid], 215);
    expect(with_.state[X.MED]!).toBeGreaterThan(0.9 * without.state[X.MED]!);
    expect(without.state[X.MED]!).toBeGreaterThan(0.3);
  });
  it('the second wave answers adrenaline as the first did', () => {
    const again = course(
      child('biphasic', { returnsAfterMinutes: 30 }),
      [...settled, [45, adrenalineIm(300)], [46, fluid(260, 5)]],
      60,
    );
    const left = course(child('biphasic', { returnsAfterMinutes: 30 }), settled, 60);
    expect(again.at(56).systolicMmHg).toBeGreaterThan(left.at(56).systolicMmHg + 20);
    expect(again.at(56).bronchospasmFraction).toBeLessThan(left.at(56).bronchospasmFraction - 0.15);
  });
  it('is refused for other illnesses and for times outside 1 min to 72 h', () => {
    expect(() => buildPatient({ ...child('food'), illness: [{ disease: 'asthma', returnsAfterMinutes: 20 }] })).toThrow(
      PatientError,
    );
    for (const wrong of [0, -5, 4321, NaN])
      expect(() => buildPatient(child('food', { returnsAfterMinutes: wrong }))).toThrow(PatientError);
  });
});

describe('refractory', () => {
  it('breathing and circulation stay bad after two doses into muscle that settle the plain course', () => {
    // Persistence of respiratory or cardiovascular features despite two appropriate intramuscular doses: Resuscitation
    // Council UK, Emergency treatment of anaphylaxis, 2021.
    const hard = course(child('refractory'), TWO_DOSES, 16);
    const plain = course(child('food'), TWO_DOSES, 16);
    expect(plain.at(14).systolicMmHg).toBeGreaterThan(100);
    expect(plain.at(14).bronchospasmFraction).toBeLessThan(0.25);
    expect(hard.at(14).systolicMmHg).toBeLessThan(75);
    expect(hard.at(14).bronchospasmFraction).toBeGreaterThan(0.5);
  });
  it('answers a low-dose infusion with fluid; fluid or infusion alone does less', () => {
    // 0.5 to 1 mL/kg/h of 10 micrograms/mL is 0.083 to 0.17 micrograms/kg/min (Resuscitation Council UK 2021).
    const bolus: readonly Timed[] = [
      [10, fluid(260, 5)],
      [16, fluid(260, 5)],
    ];
    const both = course(child('refractory'), [...TWO_DOSES, ...bolus, [12, infusion(0.1)]], 30);
    const drug = course(child('refractory'), [...TWO_DOSES, [12, infusion(0.1)]], 30);
    const water = course(child('refractory'), [...TWO_DOSES, ...bolus], 30);
    expect(both.at(26).systolicMmHg).toBeGreaterThan(95);
    expect(both.at(26).bronchospasmFraction).toBeLessThan(0.2);
    expect(drug.at(26).systolicMmHg).toBeLessThan(both.at(26).systolicMmHg - 5);
    expect(water.at(26).systolicMmHg).toBeLessThan(both.at(26).systolicMmHg - 10);
  });
});

describe('protracted', () => {
  it('each dose helps and wears off, over and over', () => {
    const c = course(
      child('protracted'),
      [
        [10, adrenalineIm(300)],
        [11, reservoirMask],
        [15, adrenalineIm(300)],
        [48, adrenalineIm(300)],
      ],
      110,
    );
    const b = (t: number) => c.at(t).bronchospasmFraction;
    expect(b(24)).toBeLessThan(0.2);
    expect(b(48)).toBeGreaterThan(b(24) + 0.1);
    expect(b(58)).toBeLessThan(b(49));
    expect(b(90)).toBeGreaterThan(b(58) + 0.15);
  });
});

describe('no rash', () => {
  it('never shows a weal, while breathing and pressure go the way of the others', () => {
    const c = course(child('no-rash'), [], 12);
    expect(readFindings(c.model, c.state).find((f) => f.id === 'rash')!.grade).toBe('none');
    expect(c.at(12).systolicMmHg).toBeLessThan(80);
    expect(c.at(12).spo2Percent).toBeLessThan(92);
  });
});

it('every course says what it does', () => {
  for (const [id, pattern] of Object.entries(DISEASES['anaphylaxis']!.patterns))
    expect(pattern.says.length, id).toBeGreaterThan(20);
});
