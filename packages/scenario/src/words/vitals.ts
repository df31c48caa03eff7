/** The names authors use for vitals, with their units and what is physically possible. */
import type { BaselineId, VitalId } from '@breathline/patient';
import type { QuantityKind } from './quantity.ts';

export interface VitalWord {
  readonly id: VitalId;
  /** Kinds of quantity accepted; null means a plain number without a unit. */
  readonly kind: QuantityKind | null;
  /** Written value to the model's own unit (percent to fraction). */
  readonly scale: number;
  /** Physically possible range, in the written base unit. */
  readonly min: number;
  readonly max: number;
  readonly example: string;
  readonly says: string;
  /** May be compared with a limit for the patient's age. */
  readonly byAge?: boolean;
  readonly baseline?: BaselineId;
}

const row = (
  id: VitalId,
  kind: QuantityKind | null,
  min: number,
  max: number,
  example: string,
  says: string,
  more: Partial<VitalWord> = {},
): VitalWord => ({ id, kind, scale: 1, min, max, example, says, ...more });

/** Author-facing name to model vital. A `Map`, so that a hostile name can never reach a prototype. */
export const VITALS: ReadonlyMap<string, VitalWord> = new Map<string, VitalWord>([
  ['spo2', row('spo2Percent', 'percent', 0, 100, '94 %', 'arterial oxygen saturation', { baseline: 'spo2Percent' })],
  [
    'heart-rate',
    row('heartRatePerMin', 'rate', 0, 350, '140 /min', 'heart rate (ECG)', {
      byAge: true,
      baseline: 'heartRatePerMin',
    }),
  ],
  ['pulse-rate', row('pulseRatePerMin', 'rate', 0, 350, '140 /min', 'pulses that reach the finger')],
  [
    'respiratory-rate',
    row('respiratoryRatePerMin', 'rate', 0, 150, '32 /min', 'breaths a minute', {
      byAge: true,
      baseline: 'respiratoryRatePerMin',
    }),
  ],
  [
    'systolic',
    row('systolicMmHg', 'pressure', 0, 300, '92 mmHg', 'systolic blood pressure', {
      byAge: true,
      baseline: 'systolicMmHg',
    }),
  ],
  [
    'diastolic',
    row('diastolicMmHg', 'pressure', 0, 250, '55 mmHg', 'diastolic blood pressure', { baseline: 'diastolicMmHg' }),
  ],
  ['mean-pressure', row('meanMmHg', 'pressure', 0, 250, '65 mmHg', 'mean arterial pressure')],
  ['etco2', row('etco2MmHg', 'pressure', 0, 200, '5.3 kPa', 'end-tidal carbon dioxide')],
  [
    'temperature',
    row('temperatureCelsius', 'temperature', 15, 45, '37.2 °C', 'body temperature', { baseline: 'temperatureCelsius' }),
  ],
  ['glucose', row('glucoseMmolPerL', 'molar', 0, 80, '5.4 mmol/L', 'blood glucose', { baseline: 'glucoseMmolPerL' })],
  [
    'capillary-refill',
    row('capillaryRefillS', 'duration', 0, 20_000, '4 s', 'central capillary refill time', { scale: 0.001 }),
  ],
  [
    'perfusion',
    row('perfusionFraction', 'percent', 0, 100, '60 %', 'what reaches the skin, 100 % = full', { scale: 0.01 }),
  ],
  [
    'consciousness',
    row('consciousnessFraction', 'percent', 0, 100, '70 %', '100 % = alert, 0 % = unresponsive', { scale: 0.01 }),
  ],
  ['paco2', row('paco2MmHg', 'pressure', 0, 250, '5.3 kPa', 'arterial carbon dioxide')],
  ['pao2', row('pao2MmHg', 'pressure', 0, 700, '12 kPa', 'arterial oxygen')],
  ['ph', row('arterialPh', null, 6.3, 8, '7.35', 'arterial pH, no unit')],
  ['lactate', row('lactateMmolPerL', 'molar', 0, 40, '2 mmol/L', 'blood lactate')],
  [
    'bronchospasm',
    row('bronchospasmFraction', 'percent', 0, 100, '50 %', 'small-airway narrowing, 100 % = closed', { scale: 0.01 }),
  ],
  [
    'upper-airway-narrowing',
    row('upperAirwayFraction', 'percent', 0, 100, '50 %', 'upper-airway narrowing, 100 % = closed', { scale: 0.01 }),
  ],
  ['inspired-oxygen', row('fio2Fraction', 'percent', 21, 100, '40 %', 'inspired oxygen', { scale: 0.01 })],
]);

export const VITAL_NAMES: readonly string[] = [...VITALS.keys()];

/** Baselines an author may set, by author-facing name. */
export const BASELINES: ReadonlyMap<
  string,
  { readonly id: BaselineId; readonly kind: QuantityKind; readonly min: number; readonly max: number }
> = new Map([
  ...[...VITALS].flatMap(([name, word]) =>
    word.baseline && word.kind
      ? [[name, { id: word.baseline, kind: word.kind, min: word.min, max: word.max }] as const]
      : [],
  ),
  ['haemoglobin', { id: 'haemoglobinGPerDl' as const, kind: 'haemoglobin' as const, min: 2, max: 25 }] as const,
]);

/** The author's name of a model vital, for messages. */
export function vitalName(id: VitalId): string {
  for (const [name, word] of VITALS) if (word.id === id) return name;
  return id;
}
