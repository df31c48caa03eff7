/** Age norms against their published anchors; sources in published.ts where not named here. */
import { describe, expect, it } from 'vitest';
import {
  CENTILES,
  ageNorms,
  airwayRadiusMm,
  buildPatient,
  createState,
  createVitals,
  pressureAnchors,
  rateCentile,
  readVitals,
} from '@breathline/patient';
import { HAQUE, LOW_SYSTOLIC, RATES_BY_AGE } from './published.ts';
import { personAt } from './people.ts';

describe('heart and breathing rate by age', () => {
  it.each(RATES_BY_AGE)('at %d years', (age, heart, breathing) => {
    const band = CENTILES.find((b) => age >= b.fromYears && age < b.toYears)!;
    expect(band.heart).toEqual(heart);
    expect(band.breathing).toEqual(breathing);
    const norms = ageNorms(age);
    expect(norms.heartRatePerMin).toEqual({ low: heart[1], median: heart[2], high: heart[3] });
    expect(norms.respiratoryRatePerMin).toEqual({ low: breathing[1], median: breathing[2], high: breathing[3] });
  });
  it('the abstract’s anchors: 127 at birth, peak about 145 at one month, about 113 at two years; breathing 44 at birth', () => {
    expect(ageNorms(0.01).heartRatePerMin.median).toBe(127);
    expect(Math.abs(ageNorms(1 / 12).heartRatePerMin.median - 145)).toBeLessThanOrEqual(2);
    const atTwo = (ageNorms(1.99).heartRatePerMin.median + ageNorms(2).heartRatePerMin.median) / 2;
    expect(atTwo).toBe(113);
    expect(ageNorms(0).respiratoryRatePerMin.median).toBe(44);
  });
  it.each(RATES_BY_AGE)('a rate on a published centile is said to be there, at %d years', (age, heart, breathing) => {
    for (const [kind, anchors] of [
      ['heart', heart],
      ['breathing', breathing],
    ] as const)
      anchors.forEach((rate, i) => {
        const found = rateCentile(kind, age, rate)!;
        expect(found.centile).toBeCloseTo([1, 10, 50, 90, 99][i]!, 2);
        expect(found.beyond).toBe(null);
        // Between two anchors lies between their centiles.
        if (i > 0) {
          const between = rateCentile(kind, age, (rate + anchors[i - 1]!) / 2)!.centile;
          expect(between).toBeGreaterThan([1, 10, 50, 90][i - 1]!);
          expect(between).toBeLessThan(found.centile);
        }
      });
    expect(rateCentile('heart', age, heart[0]! - 1)!.beyond).toBe('below-1st');
    expect(rateCentile('breathing', age, breathing[4]! + 1)!.beyond).toBe('above-99th');
  });
  it.each(RATES_BY_AGE)('a well patient of %d years runs at the published medians', (age, heart, breathing) => {
    const model = buildPatient(personAt(age));
    const v = readVitals(model, createState(model), createVitals());
    expect(Math.abs(v.heartRatePerMin / heart[2]! - 1)).toBeLessThan(0.01);
    expect(Math.abs(v.respiratoryRatePerMin / breathing[2]! - 1)).toBeLessThan(0.01);
  });
  it('bands meet without gap or overlap', () => {
    for (let i = 1; i < CENTILES.length; i++) expect(CENTILES[i]!.fromYears).toBe(CENTILES[i - 1]!.toYears);
  });
});

describe('pressure by age', () => {
  it.each(LOW_SYSTOLIC)('low limit at %d years is %d', (age, low) => {
    expect(ageNorms(age).systolicLowMmHg).toBe(low);
  });
  it('median at five years is 100 (90 + 2 x age; paediatric life-support teaching, from memory)', () =>
    expect(ageNorms(5).systolicMedianMmHg).toBe(100));
});

describe('pressure centiles of children', () => {
  it.each(HAQUE)('at %d years', (age, mean5, mean50, systolic5) => {
    const found = pressureAnchors(age, 'male')!;
    expect(found.mean5thMmHg).toBe(mean5);
    expect(found.mean50thMmHg).toBe(mean50);
    expect(found.systolic5thMmHg).toBe(systolic5);
  });
  it('a well child lies above the 5th centile and below the 95th, systolic and mean, and on the taught median', () => {
    for (let age = 1; age < 18; age += 0.5)
      for (const sex of ['female', 'male'] as const) {
        const model = buildPatient(personAt(age, 1, sex));
        const v = readVitals(model, createState(model), createVitals());
        const found = pressureAnchors(age, sex)!;
        expect(v.systolicMmHg).toBeGreaterThan(found.systolic5thMmHg);
        if (found.systolic95thMmHg !== null) expect(v.systolicMmHg).toBeLessThan(found.systolic95thMmHg);
        expect(v.meanMmHg).toBeGreaterThan(found.mean5thMmHg);
        if (age <= 10) expect(Math.abs(v.systolicMmHg - (90 + 2 * age))).toBeLessThan(1.5);
      }
  });
});

describe('airway size', () => {
  // Cole F. Anesthesiology 1957: uncuffed tube age/4 + 4 mm: a four-year-old takes 5.0.
  it('four years: 5 mm across', () => expect(2 * airwayRadiusMm(4)).toBe(5));
});
