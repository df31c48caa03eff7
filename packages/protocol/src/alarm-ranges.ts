/** What is usual at an age, as the alarms of every screen and of the server take it. For a drill, never for a patient. */
import { ageNorms, CENTILES } from '@breathline/patient';

export interface AlarmRange {
  readonly low: number;
  readonly high: number;
}

/**
 * Heart and breathing rate at the 1st and 99th centile (Fleming S et al. Lancet 2011;377:1011-18; adults as kept in the same
 * table), systolic pressure as in the patient's norms. An age that is no number counts as 0; over 120 as 120.
 */
export function alarmRanges(ageYears: number): {
  readonly heartRatePerMin: AlarmRange;
  readonly respiratoryRatePerMin: AlarmRange;
  readonly systolicMmHg: AlarmRange;
} {
  const age = Math.min(120, Math.max(0, Number.isFinite(ageYears) ? ageYears : 0));
  const band = CENTILES.find(({ toYears }) => age < toYears) ?? CENTILES.at(-1)!;
  const norms = ageNorms(age);
  return {
    heartRatePerMin: { low: band.heart[0], high: band.heart[4] },
    respiratoryRatePerMin: { low: band.breathing[0], high: band.breathing[4] },
    systolicMmHg: { low: norms.systolicLowMmHg, high: norms.systolicHighMmHg },
  };
}
