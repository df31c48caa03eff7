/** Age norms against their published anchors. */
import { describe, expect, it } from 'vitest';
import { CENTILES, ageNorms, airwayRadiusMm } from '@breathline/patient';

describe('heart and breathing rate by age', () => {
  // Fleming S et al. Lancet 2011;377:1011-18, doi 10.1016/S0140-6736(10)62226-X. Rows: age, heart 1/10/50/90/99,
  // breathing 1/10/50/90/99 (bands as typed into public research tables; the paper's own table not opened).
  const rows: readonly [number, readonly number[], readonly number[]][] = [
    [0.1, [107, 123, 143, 164, 181], [25, 34, 43, 57, 66]],
    [0.4, [104, 120, 140, 159, 175], [24, 33, 41, 55, 64]],
    [1.2, [88, 103, 123, 140, 156], [21, 28, 35, 46, 53]],
    [2.5, [76, 92, 110, 128, 142], [18, 22, 28, 34, 38]],
    [5, [65, 81, 98, 117, 131], [17, 20, 23, 27, 29]],
    [7, [59, 74, 91, 111, 123], [16, 18, 21, 24, 27]],
    [10, [52, 67, 84, 103, 115], [14, 16, 19, 22, 25]],
    [17, [43, 58, 73, 92, 104], [11, 13, 16, 19, 22]],
  ];
  it.each(rows)('at %d years', (age, heart, breathing) => {
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
  it('bands meet without gap or overlap', () => {
    for (let i = 1; i < CENTILES.length; i++) expect(CENTILES[i]!.fromYears).toBe(CENTILES[i - 1]!.toYears);
  });
});

describe('pressure by age', () => {
  // Low: 60 first month, 70 to one year, 70 + 2 x age to ten, 90 after (paediatric advanced life support; 1-10 y seen at
  // journalfeed.org, infants from memory). Median 90 + 2 x age (paediatric life-support teaching, from memory).
  it.each([
    [0.02, 60],
    [0.5, 70],
    [1, 72],
    [5, 80],
    [9, 88],
    [10, 90],
    [15, 90],
    [40, 90],
  ])('low limit at %d years is %d', (age, low) => {
    expect(ageNorms(age).systolicLowMmHg).toBe(low);
  });
  it('median at five years is 100', () => expect(ageNorms(5).systolicMedianMmHg).toBe(100));
});

describe('airway size', () => {
  // Cole F. Anesthesiology 1957: uncuffed tube age/4 + 4 mm: a four-year-old takes 5.0.
  it('four years: 5 mm across', () => expect(2 * airwayRadiusMm(4)).toBe(5));
});
