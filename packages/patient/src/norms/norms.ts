import type { AgeNorms } from '../types.ts';
import { requireNumber } from '../errors.ts';
import { ADULT_SYSTOLIC, bandFor, interpolate } from './tables.ts';

/**
 * Median systolic pressure, mmHg. Children 1-10 y: 90 + 2 x age (paediatric life-support courses); below 1 y from
 * about 65 at birth to 92 (from memory); adults rise slowly with age (common practice, no source).
 */
export function medianSystolic(ageYears: number): number {
  if (ageYears < 1)
    return interpolate(
      [
        [0, 65],
        [0.08, 76],
        [0.5, 88],
        [1, 92],
      ],
      ageYears,
    );
  if (ageYears <= 10) return 90 + 2 * ageYears;
  return ageYears < 18
    ? interpolate(
        [
          [10, 110],
          [18, 118],
        ],
        ageYears,
      )
    : interpolate(ADULT_SYSTOLIC, ageYears);
}

/**
 * Diastolic over systolic in the well: one profile per patient, so that mean pressure follows from the two and is never
 * derived twice. 0.55 in childhood to 0.62 in adults, then falling as arteries stiffen (chosen here).
 */
export function diastolicShare(ageYears: number): number {
  return interpolate(
    [
      [0, 0.55],
      [10, 0.55],
      [18, 0.62],
      [60, 0.62],
      [80, 0.56],
    ],
    ageYears,
  );
}

/**
 * Systolic below which pressure is low for age, mmHg: 60 in the first month, 70 to 1 year, 70 + 2 x age to 10 years,
 * 90 from then on (paediatric advanced life support definition of hypotension; first two rows from memory).
 */
export function lowSystolic(ageYears: number): number {
  if (ageYears < 1 / 12) return 60;
  if (ageYears < 1) return 70;
  if (ageYears < 10) return 70 + 2 * ageYears;
  return 90;
}

/** Usual ranges at an age: 10th to 90th centile of heart and breathing rate, and pressure limits. */
export function ageNorms(ageYears: number): AgeNorms {
  requireNumber('ageYears', ageYears, 0, 130);
  const band = bandFor(ageYears);
  const median = medianSystolic(ageYears);
  const adult = ageYears >= 18;
  return {
    heartRatePerMin: { low: band.heart[1], median: band.heart[2], high: band.heart[3] },
    respiratoryRatePerMin: { low: band.breathing[1], median: band.breathing[2], high: band.breathing[3] },
    systolicLowMmHg: lowSystolic(ageYears),
    systolicMedianMmHg: median,
    systolicHighMmHg: adult ? 140 : median * 1.2,
    source: adult
      ? 'Rates: scoring 0 in NEWS2 (Royal College of Physicians 2017). Pressure: below 90 low for age; median and upper limit common practice, no source.'
      : 'Rates: 10th, 50th, 90th centile, Fleming S et al. Lancet 2011;377:1011-18. Pressure: 90 + 2 x age median and 70 + 2 x age lower limit (paediatric advanced life support); upper limit median x 1.2, common practice, no source.',
  };
}

/** Internal radius of the airway at the cricoid, mm, from the tube-size rule age/4 + 4 (Cole F. Anesthesiology 1957). */
export function airwayRadiusMm(ageYears: number): number {
  if (ageYears < 1)
    return interpolate(
      [
        [0, 1.75],
        [1, 2.1],
      ],
      ageYears,
    );
  const diameter = ageYears / 4 + 4;
  return (diameter > 10 ? 10 : diameter) / 2;
}

/** Upper-airway swelling (1 = radius halved) made by a ring of oedema of this thickness, mm, at this radius, mm. */
export function oedemaFraction(thicknessMm: number, radiusMm: number): number {
  return (2 * thicknessMm) / radiusMm;
}
