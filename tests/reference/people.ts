/** People of any age, of about the median weight, for laws that must hold at each. */
import fc from 'fast-check';
import type { PatientProfile } from '@breathline/patient';

/** Age in years, median weight in kg: WHO child growth standards to 10 y (rounded, from memory), adults chosen here. */
const WEIGHTS: readonly (readonly [number, number])[] = [
  [0, 3.3],
  [0.1, 4.5],
  [0.5, 7.6],
  [1, 9.3],
  [2, 11.8],
  [5, 18],
  [7, 23],
  [10, 32],
  [14, 50],
  [18, 65],
  [40, 75],
  [90, 65],
];

export function medianWeightKg(ageYears: number): number {
  const after = Math.max(
    WEIGHTS.findIndex(([age]) => age >= ageYears),
    1,
  );
  const [a0, w0] = WEIGHTS[after - 1]!;
  const [a1, w1] = WEIGHTS[after]!;
  return w0 + ((w1 - w0) * (ageYears - a0)) / (a1 - a0);
}

/** A well person of that age; `stretch` 1 is the median weight. */
export function personAt(ageYears: number, stretch = 1, sex: 'female' | 'male' = 'male'): PatientProfile {
  return { ageYears, weightKg: Math.max(medianWeightKg(ageYears) * stretch, 1.6), sex };
}

/** Anyone from birth to 90 years, as many below ten as above, at 0.75 to 1.5 times the median weight. */
export const anyone = (least = 0, most = 90): fc.Arbitrary<PatientProfile> =>
  fc
    .tuple(
      fc.oneof(
        fc.double({ min: least, max: Math.max(Math.min(most, 10), least), noNaN: true }),
        fc.double({ min: least, max: most, noNaN: true }),
      ),
      fc.double({ min: 0.75, max: 1.5, noNaN: true }),
      fc.constantFrom('female' as const, 'male' as const),
    )
    .map(([ageYears, stretch, sex]) => personAt(ageYears, stretch, sex));
