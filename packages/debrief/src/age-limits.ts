/** Limits that go by age, for conditions and for time in danger. The numbers are the patient package's own. */
import { ageNorms, type VitalId } from '@breathline/patient';
import type { Limit } from '@breathline/scenario';

export interface AgeRange {
  readonly low: number;
  readonly median: number;
  readonly high: number;
}

export interface AgeLimits {
  /** Below this a systolic pressure is low for age, mmHg. */
  readonly systolicLowMmHg: number;
  /** Usual ranges by vital, where there is one for the age. */
  readonly byVital: Readonly<Partial<Record<VitalId, AgeRange>>>;
  /** Where the ranges were published. */
  readonly source: string;
}

/** The limits for an age in years; an age outside 0 to 130 is read as the nearest. */
export function ageLimits(ageYears: number): AgeLimits {
  const norms = ageNorms(Number.isFinite(ageYears) ? Math.min(130, Math.max(0, ageYears)) : 40);
  return {
    systolicLowMmHg: norms.systolicLowMmHg,
    byVital: {
      heartRatePerMin: norms.heartRatePerMin,
      pulseRatePerMin: norms.heartRatePerMin,
      respiratoryRatePerMin: norms.respiratoryRatePerMin,
      systolicMmHg: { low: norms.systolicLowMmHg, median: norms.systolicMedianMmHg, high: norms.systolicHighMmHg },
    },
    source: norms.source,
  };
}

/** A limit as a number for this patient, or null when the age has no range for that vital. */
export function limitValue(limit: Limit, vital: VitalId, limits: AgeLimits): number | null {
  if ('value' in limit) return limit.value;
  const range = limits.byVital[vital];
  if (!range) return null;
  const part = { 'low-limit-for-age': 'low', 'high-limit-for-age': 'high', 'median-for-age': 'median' } as const;
  return range[part[limit.relative]] * (limit.factor ?? 1);
}
