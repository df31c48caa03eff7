/**
 * Alarm limits for one patient. Numbers come in (the usual ranges at an age); nothing here knows a table of its own.
 *
 * The limits, and what counts as far outside them, are common practice, no source: they are there so that a drill sounds
 * as a ward does, and every one can be changed by faculty. Training only, not for patient care.
 */

/** What has limits, by the name the rest of the run gives it. */
export const LIMITED = [
  'heartRatePerMin',
  'spo2Percent',
  'respiratoryRatePerMin',
  'systolicMmHg',
  'etco2MmHg',
  'temperatureCelsius',
  'glucoseMmolPerL',
] as const;
export type Limited = (typeof LIMITED)[number];

/** Null: no limit on that side. Past `farLow` or `farHigh` the alarm is of high priority. */
export interface AlarmLimit {
  readonly low: number | null;
  readonly high: number | null;
  readonly farLow: number | null;
  readonly farHigh: number | null;
}

export type AlarmLimits = Readonly<Record<Limited, AlarmLimit>>;

/** Usual ranges at an age, from whoever keeps the tables. */
export interface AgeRanges {
  readonly heartRatePerMin: { readonly low: number; readonly high: number };
  readonly respiratoryRatePerMin: { readonly low: number; readonly high: number };
  readonly systolicMmHg: { readonly low: number; readonly high: number };
}

/** A limit somebody set by hand. */
export interface LimitOverride {
  readonly vital: string;
  readonly low: number | null;
  readonly high: number | null;
}

/** How far past a limit is "far", as a share of it; null: never far on that side. */
const FAR: Readonly<Record<Limited, { readonly low: number | null; readonly high: number | null }>> = {
  heartRatePerMin: { low: 0.8, high: 1.25 },
  spo2Percent: { low: 0.925, high: null },
  respiratoryRatePerMin: { low: 0.6, high: 1.5 },
  systolicMmHg: { low: 0.88, high: 1.25 },
  etco2MmHg: { low: 0.6, high: 1.4 },
  temperatureCelsius: { low: null, high: null },
  glucoseMmolPerL: { low: 0.7, high: null },
};

function withFar(vital: Limited, low: number | null, high: number | null): AlarmLimit {
  const far = FAR[vital];
  return {
    low,
    high,
    farLow: low === null || far.low === null ? null : low * far.low,
    farHigh: high === null || far.high === null ? null : high * far.high,
  };
}

/**
 * Limits for an age with what faculty changed. An override for something that has no alarm, or with a number that is not
 * one, is passed over; limits the wrong way round are taken as they stand (both then alarm), since faculty may want that.
 */
export function alarmLimits(ranges: AgeRanges, overrides: readonly LimitOverride[] = []): AlarmLimits {
  const limits: Record<Limited, AlarmLimit> = {
    heartRatePerMin: withFar('heartRatePerMin', ranges.heartRatePerMin.low, ranges.heartRatePerMin.high),
    spo2Percent: withFar('spo2Percent', 92, null),
    respiratoryRatePerMin: withFar(
      'respiratoryRatePerMin',
      ranges.respiratoryRatePerMin.low,
      ranges.respiratoryRatePerMin.high,
    ),
    systolicMmHg: withFar('systolicMmHg', ranges.systolicMmHg.low, ranges.systolicMmHg.high),
    etco2MmHg: withFar('etco2MmHg', 28, 52),
    temperatureCelsius: withFar('temperatureCelsius', 35.5, 38.9),
    glucoseMmolPerL: withFar('glucoseMmolPerL', 4, 15),
  };
  const clean = (value: number | null): number | null => (value !== null && Number.isFinite(value) ? value : null);
  for (const { vital, low, high } of overrides) {
    const known = LIMITED.find((id) => id === vital);
    if (known) limits[known] = withFar(known, clean(low), clean(high));
  }
  return limits;
}
