/** Limits that go by age, for conditions and for time in danger. */
import type { VitalId } from '@breathline/patient';
import type { Limit } from '@breathline/scenario';

/** Below this a systolic pressure is low for age, mmHg. */
export interface AgeLimits {
  readonly systolicLowMmHg: number;
  /** Limits by vital, where there is a published range for the age. */
  readonly byVital: Readonly<
    Partial<Record<VitalId, { readonly low: number; readonly median: number; readonly high: number }>>
  >;
  readonly source: string;
}

/**
 * Low systolic pressure for age: below 70 mmHg under 1 year, below 70 + 2 x age from 1 to 10 years, below 90 mmHg
 * from 11 years (Sampson HA et al., J Allergy Clin Immunol 2006;117:391-7, doi:10.1016/j.jaci.2005.12.1303; value from
 * memory). Between the 10th and 11th birthdays the rule would reach 90 and stays there.
 */
export function systolicLowMmHg(ageYears: number): number {
  if (ageYears < 1) return 70;
  if (ageYears < 10) return 70 + 2 * Math.floor(ageYears);
  return 90;
}

/** The limits used for an age. Vitals without a range have none, and a relative condition on them is unknown. */
export function ageLimits(ageYears: number): AgeLimits {
  return {
    systolicLowMmHg: systolicLowMmHg(ageYears),
    byVital: {},
    source: 'Sampson et al. 2006, low systolic pressure for age (from memory)',
  };
}

/** A limit as a number for this patient, or null when it can't be worked out. */
export function limitValue(limit: Limit, vital: VitalId, limits: AgeLimits): number | null {
  if ('value' in limit) return limit.value;
  const range = limits.byVital[vital];
  const factor = limit.factor ?? 1;
  if (limit.relative === 'low-limit-for-age') {
    if (vital === 'systolicMmHg') return limits.systolicLowMmHg * factor;
    return range ? range.low * factor : null;
  }
  if (!range) return null;
  return (limit.relative === 'high-limit-for-age' ? range.high : range.median) * factor;
}
