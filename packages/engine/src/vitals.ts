/**
 * What the engine knows about each vital: its words, its unit, the physical bounds no mask may leave, and the span that
 * counts as "far off" when a guard's closeness is shown.
 */
import type { AbcdeId, AgeNorms, TrueVitals, VitalId } from '@breathline/patient';

export interface VitalFacts {
  readonly label: string;
  readonly unit: string;
  /** Physical bounds of a mask or script, inclusive. */
  readonly low: number;
  readonly high: number;
  /** A distance from a limit at which a guard counts as not close at all. */
  readonly span: number;
  readonly digits: number;
  readonly letter: AbcdeId;
}

const facts = (
  label: string,
  unit: string,
  low: number,
  high: number,
  span: number,
  digits: number,
  letter: AbcdeId,
): VitalFacts => ({ label, unit, low, high, span, digits, letter });

/** Bounds are wider than anything survivable: they keep a typing slip physical, not plausible. Common practice, no source. */
export const VITALS: Readonly<Record<VitalId, VitalFacts>> = {
  heartRatePerMin: facts('Heart rate', '/min', 0, 350, 50, 0, 'circulation'),
  pulseRatePerMin: facts('Pulse rate', '/min', 0, 350, 50, 0, 'circulation'),
  respiratoryRatePerMin: facts('Breathing rate', '/min', 0, 150, 20, 0, 'breathing'),
  spo2Percent: facts('Oxygen saturation', '%', 0, 100, 12, 0, 'breathing'),
  systolicMmHg: facts('Systolic pressure', 'mmHg', 0, 320, 35, 0, 'circulation'),
  diastolicMmHg: facts('Diastolic pressure', 'mmHg', 0, 250, 25, 0, 'circulation'),
  meanMmHg: facts('Mean pressure', 'mmHg', 0, 280, 30, 0, 'circulation'),
  etco2MmHg: facts('End-tidal carbon dioxide', 'mmHg', 0, 200, 20, 0, 'breathing'),
  temperatureCelsius: facts('Temperature', '°C', 12, 46, 2, 1, 'exposure'),
  glucoseMmolPerL: facts('Glucose', 'mmol/L', 0, 80, 3, 1, 'disability'),
  capillaryRefillS: facts('Capillary refill', 's', 0, 30, 3, 0, 'circulation'),
  perfusionFraction: facts('Skin perfusion', '', 0, 1, 0.5, 2, 'circulation'),
  consciousnessFraction: facts('Consciousness', '', 0, 1, 0.5, 2, 'disability'),
  paco2MmHg: facts('Arterial carbon dioxide', 'mmHg', 0, 300, 25, 0, 'breathing'),
  pao2MmHg: facts('Arterial oxygen', 'mmHg', 0, 750, 40, 0, 'breathing'),
  arterialPh: facts('Arterial pH', '', 6, 8.2, 0.2, 2, 'circulation'),
  lactateMmolPerL: facts('Lactate', 'mmol/L', 0, 60, 3, 1, 'circulation'),
  ventilationRatio: facts('Ventilation against rest', '', 0, 20, 1, 2, 'breathing'),
  bronchospasmFraction: facts('Small-airway narrowing', '', 0, 1, 0.5, 2, 'breathing'),
  upperAirwayFraction: facts('Upper-airway narrowing', '', 0, 1, 0.5, 2, 'airway'),
  fio2Fraction: facts('Inhaled oxygen fraction', '', 0, 1, 0.4, 2, 'breathing'),
  rhythm: facts('Rhythm code', '', 0, 99, 1, 0, 'circulation'),
  arrested: facts('Arrest', '', 0, 1, 1, 0, 'circulation'),
};

/** Every vital in one fixed order: index into the mask slots and the order of hashing. */
export const VITAL_IDS = Object.keys(VITALS) as readonly VitalId[];
export const VITAL_INDEX: ReadonlyMap<string, number> = new Map(VITAL_IDS.map((id, index) => [id, index]));

/** Copies every vital; both objects are the caller's. */
export function copyVitals(from: Readonly<TrueVitals>, to: TrueVitals): void {
  for (let i = 0; i < VITAL_IDS.length; i++) {
    const id = VITAL_IDS[i]!;
    to[id] = from[id];
  }
}

export function clampVital(vital: VitalId, value: number): number {
  const { low, high } = VITALS[vital];
  return value < low ? low : value > high ? high : value;
}

/** "92 %", "128 /min", "0.35". */
export function vitalText(vital: VitalId, value: number): string {
  const { unit, digits } = VITALS[vital];
  const number = Number.isFinite(value) ? value.toFixed(digits) : 'unknown';
  return unit === '' ? number : `${number} ${unit}`;
}

/**
 * The number an age-relative limit stands for, in the vital's unit; null when no age table exists for that vital.
 * Pressures other than systolic have no published age limit in the norms, so they have none here.
 */
export function ageLimit(
  norms: AgeNorms,
  vital: VitalId,
  which: 'low-limit-for-age' | 'high-limit-for-age' | 'median-for-age',
): number | null {
  if (vital === 'systolicMmHg') {
    return which === 'low-limit-for-age'
      ? norms.systolicLowMmHg
      : which === 'high-limit-for-age'
        ? norms.systolicHighMmHg
        : norms.systolicMedianMmHg;
  }
  const range =
    vital === 'heartRatePerMin' || vital === 'pulseRatePerMin'
      ? norms.heartRatePerMin
      : vital === 'respiratoryRatePerMin'
        ? norms.respiratoryRatePerMin
        : null;
  if (range === null) return null;
  return which === 'low-limit-for-age' ? range.low : which === 'high-limit-for-age' ? range.high : range.median;
}
