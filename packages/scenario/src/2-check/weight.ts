/**
 * Usual weight for age, kg: infants 0.5 x months + 4; 1 to 5 years 2 x age + 8; 6 to 12 years 3 x age + 7 (Advanced Life
 * Support Group estimation formulas, from memory); then a straight line to 65 kg at 18 and 75 kg in adults (common
 * practice, no source). Only for "check the digits", never for a dose.
 */
export function usualWeightKg(ageYears: number): number {
  if (ageYears < 1) return 0.5 * ageYears * 12 + 4;
  if (ageYears < 6) return 2 * ageYears + 8;
  if (ageYears <= 12) return 3 * ageYears + 7;
  if (ageYears < 18) return 43 + ((ageYears - 12) / 6) * 22;
  return 75;
}

/** Outside this share of the usual weight a typing slip is likely (common practice, no source). */
export function isUnlikelyWeight(ageYears: number, weightKg: number): boolean {
  const share = weightKg / usualWeightKg(ageYears);
  return share < 0.55 || share > 2;
}
