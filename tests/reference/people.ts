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
export function anyone(least = 0, most = 90): fc.Arbitrary<PatientProfile> {
  // In steps of a fortnight up to ten years, of a quarter above.
  const young = (top: number) =>
    fc.integer({ min: Math.ceil(least * 24), max: Math.floor(top * 24) }).map((n) => n / 24);
  const grown = (from: number) => fc.integer({ min: Math.ceil(from * 4), max: Math.floor(most * 4) }).map((n) => n / 4);
  const age = most <= 10 ? young(most) : least >= 10 ? grown(least) : fc.oneof(young(10), grown(10));
  return fc
    .tuple(age, fc.integer({ min: 75, max: 150 }), fc.constantFrom('female' as const, 'male' as const))
    .map(([ageYears, percent, sex]) => personAt(ageYears, percent / 100, sex));
}

/**
 * The same draws each time, so that a change of the model and nothing else turns a check red; another set with
 * COURSE_SEED=n in the environment.
 */
export const runs = (numRuns: number) => ({
  numRuns,
  seed: Number(process.env['COURSE_SEED'] ?? 1),
  endOnFailure: true,
});
