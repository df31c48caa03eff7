/** How long children and adults take to desaturate when breathing stops, against published times. */
import { describe, expect, it } from 'vitest';
import { applyInput, buildPatient, createState, createVitals, readVitals, stepPatient } from '@breathline/patient';
import type { PatientProfile } from '@breathline/patient';

/**
 * Seconds from stopping breathing until saturation falls below a limit. Anaesthetised and paralysed, as in the studies:
 * lung volume is then the lower, asleep one. Pre-oxygenation is 3 min by mask until the lung holds about 0.9 oxygen.
 */
function secondsTo(profile: PatientProfile, limit: number, preoxygenateMin: number, blocked = false): number {
  const model = buildPatient(profile);
  const s = createState(model);
  const v = createVitals();
  applyInput(model, s, { kind: 'drive', drive: 'paralysis', to: 1, overMs: 0 });
  applyInput(model, s, { kind: 'procedure', procedure: 'breaths-given', amount: 30, on: true });
  applyInput(model, s, { kind: 'oxygen', device: 'tube', fio2Fraction: preoxygenateMin > 0 ? 0.97 : 0.21 });
  for (let i = 0; i < Math.max(preoxygenateMin, 2) * 600; i++) stepPatient(model, s, 100);
  applyInput(model, s, { kind: 'procedure', procedure: 'breaths-given', on: false });
  applyInput(model, s, { kind: 'oxygen', device: 'none' });
  if (blocked) applyInput(model, s, { kind: 'drive', drive: 'airway-block', to: 1, overMs: 0 });
  for (let i = 0; i < 9000; i++) {
    if (readVitals(model, s, v).spo2Percent < limit) return i / 10;
    stepPatient(model, s, 100);
  }
  return Infinity;
}

describe('apnoea after pre-oxygenation, seconds to 90 %', () => {
  // Patel R, Lenczyk M, Hannallah RS, McGill WA. Can J Anaesth 1994;41:771-4: mean ± SD by age. Accepted: mean ± 2 SD.
  it.each([
    ['0-6 months', { ageYears: 0.25, weightKg: 6, sex: 'female' }, 96.5, 12.7],
    ['2-5 years', { ageYears: 3.5, weightKg: 15.5, sex: 'male' }, 160.4, 30.7],
    ['11-18 years', { ageYears: 14.5, weightKg: 52, sex: 'female' }, 382.4, 79.9],
  ] as const)('%s', (_name, profile, mean, sd) => {
    const seconds = secondsTo(profile, 90, 3);
    expect(seconds, `${seconds} s`).toBeGreaterThan(mean - 2 * sd);
    expect(seconds, `${seconds} s`).toBeLessThan(mean + 2 * sd);
  });
  it('adult, to 80 %: about 8 to 9 minutes read off the figure (Benumof JL et al. Anesthesiology 1997;87:979-82, from memory); accepted 6 to 10', () => {
    const seconds = secondsTo({ ageYears: 40, weightKg: 70, sex: 'male' }, 80, 3);
    expect(seconds).toBeGreaterThan(360);
    expect(seconds).toBeLessThan(600);
  });
  it('younger is faster; air is faster than oxygen; a blocked airway is faster than an open one (Hardman JG, Wills JS. Br J Anaesth 2006;97:564-70)', () => {
    const people: PatientProfile[] = [
      { ageYears: 0.25, weightKg: 6, sex: 'female' },
      { ageYears: 3.5, weightKg: 15.5, sex: 'male' },
      { ageYears: 8, weightKg: 26, sex: 'male' },
      { ageYears: 14.5, weightKg: 52, sex: 'female' },
    ];
    let last = 0;
    for (const who of people) {
      const open = secondsTo(who, 90, 3);
      expect(open).toBeGreaterThan(last);
      expect(secondsTo(who, 90, 0)).toBeLessThan(open);
      expect(secondsTo(who, 90, 3, true)).toBeLessThan(open);
      last = open;
    }
  });
});

describe('carbon dioxide in apnoea', () => {
  // Cook TM, Wolf AR, Henderson AJW. Br J Anaesth 1998;81:338-42: 4.2 mmHg/min (CI 3.7-4.7) after a larger first minute.
  it('rises 3.3 to 5 mmHg a minute in a child after the first minute, more in the first', () => {
    const model = buildPatient({ ageYears: 4, weightKg: 16, sex: 'male' });
    const s = createState(model);
    const v = createVitals();
    applyInput(model, s, { kind: 'oxygen', device: 'tube', fio2Fraction: 1 });
    for (let i = 0; i < 1800; i++) stepPatient(model, s, 100);
    const start = readVitals(model, s, v).paco2MmHg;
    applyInput(model, s, { kind: 'drive', drive: 'paralysis', to: 1, overMs: 0 });
    const after = [0, 1, 2, 3].map(() => {
      const now = readVitals(model, s, v).paco2MmHg;
      for (let i = 0; i < 600; i++) stepPatient(model, s, 100);
      return now;
    });
    const first = after[1]! - start;
    const later = (after[3]! - after[1]!) / 2;
    expect(first).toBeGreaterThan(later);
    expect(later).toBeGreaterThan(3.3);
    expect(later).toBeLessThan(5);
  });
});
