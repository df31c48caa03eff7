/**
 * True and shown vitals side by side, each flagged against what is usual for the patient's age. Flags are words and a
 * mark, never colour alone.
 */
import { RHYTHMS, type AgeNorms, type TrueVitals, type VitalId } from '@breathline/patient';
import type { RunView, ShownVitals } from '@breathline/engine';
import type { DeviceId } from '@breathline/scenario';
import { plainNumber, spanText } from './format.ts';
import { shortCentile } from './why.ts';

export type Flag = 'low' | 'high' | null;

export interface VitalRow {
  readonly id: VitalId;
  readonly label: string;
  /** For the narrow column; `label` is spoken. */
  readonly short: string;
  readonly unit: string;
  /** As printed: "124", "72/38". */
  readonly trueText: string;
  readonly trueFlag: Flag;
  /** Where a flagged rate lies among well children of that age, in few letters; null for the rest. */
  readonly trueCentile: string | null;
  /** As the learners' monitor prints it, or null when it prints nothing. */
  readonly shownText: string | null;
  readonly shownFlag: Flag;
  /** Why nothing is shown, or how old the reading is. */
  readonly shownNote: string | null;
  /** The usual range for this age, in words. */
  readonly usual: string;
  /** Shown is far enough from the truth that faculty should know. */
  readonly differs: boolean;
  /** A member of faculty holds this value: the model is not followed. */
  readonly held: boolean;
}

/**
 * Saturation below 94 % counts among the breathing signs of anaphylaxis (Resuscitation Council UK, Emergency treatment
 * of anaphylaxis, 2021, recognition).
 */
export const SPO2_LOW_PERCENT = 94;
/** Common practice, no source: normal end-tidal carbon dioxide 35 to 45 mmHg. */
export const ETCO2_LOW_MMHG = 35;
export const ETCO2_HIGH_MMHG = 45;
/** Common practice, no source. */
export const TEMPERATURE_LOW_CELSIUS = 36;
export const TEMPERATURE_HIGH_CELSIUS = 38;
/** From memory: central refill over 2 s is slow (Resuscitation Council UK, ABCDE approach). */
export const REFILL_SLOW_S = 2;

/** Against whole numbers, as the range is printed. */
function band(value: number, low: number, high: number): Flag {
  return value < Math.round(low) ? 'low' : value > Math.round(high) ? 'high' : null;
}

/** Judged as it is printed: no "94" beside "≥ 94" is called low. */
function flagOf(spec: RowSpec, value: number, norms: AgeNorms): Flag {
  return spec.flag(Number(value.toFixed(spec.places)), norms);
}

interface RowSpec {
  readonly id: VitalId;
  readonly label: string;
  readonly short: string;
  readonly unit: string;
  readonly places: number;
  readonly devices: readonly DeviceId[];
  readonly notShown: string;
  readonly flag: (value: number, norms: AgeNorms) => Flag;
  readonly usual: (norms: AgeNorms) => string;
  readonly shown: (shown: ShownVitals) => number | null;
  /** Difference between shown and true worth pointing out, in the unit. */
  readonly apart: number;
}

const ROWS: readonly RowSpec[] = [
  {
    id: 'heartRatePerMin',
    label: 'Heart rate',
    short: 'Heart',
    unit: '/min',
    places: 0,
    devices: ['ecg', 'oximeter'],
    notShown: 'no leads or probe on',
    flag: (value, norms) => band(value, norms.heartRatePerMin.low, norms.heartRatePerMin.high),
    usual: (norms) => `${plainNumber(norms.heartRatePerMin.low, 0)}–${plainNumber(norms.heartRatePerMin.high, 0)}`,
    shown: (shown) => shown.heartRatePerMin ?? shown.pulsePerMin,
    apart: 10,
  },
  {
    id: 'spo2Percent',
    label: 'SpO2',
    short: 'SpO2',
    unit: '%',
    places: 0,
    devices: ['oximeter'],
    notShown: 'no probe on',
    flag: (value) => (value < SPO2_LOW_PERCENT ? 'low' : null),
    usual: () => `≥ ${SPO2_LOW_PERCENT}`,
    shown: (shown) => shown.spo2Percent,
    apart: 4,
  },
  {
    id: 'systolicMmHg',
    label: 'Blood pressure',
    short: 'BP',
    unit: 'mmHg',
    places: 0,
    devices: ['bp-cuff'],
    notShown: 'no cuff on',
    flag: (value, norms) => band(value, norms.systolicLowMmHg, norms.systolicHighMmHg),
    usual: (norms) => `≥ ${plainNumber(norms.systolicLowMmHg, 0)}`,
    shown: (shown) => shown.bloodPressure?.systolicMmHg ?? null,
    apart: 15,
  },
  {
    id: 'respiratoryRatePerMin',
    label: 'Breathing rate',
    short: 'Breaths',
    unit: '/min',
    places: 0,
    devices: ['ecg', 'capnography'],
    notShown: 'no leads or line on',
    flag: (value, norms) => band(value, norms.respiratoryRatePerMin.low, norms.respiratoryRatePerMin.high),
    usual: (norms) =>
      `${plainNumber(norms.respiratoryRatePerMin.low, 0)}–${plainNumber(norms.respiratoryRatePerMin.high, 0)}`,
    shown: (shown) => shown.respiratoryRatePerMin,
    apart: 6,
  },
  {
    id: 'etco2MmHg',
    label: 'End-tidal CO2',
    short: 'EtCO2',
    unit: 'mmHg',
    places: 0,
    devices: ['capnography'],
    notShown: 'no line on',
    flag: (value) => band(value, ETCO2_LOW_MMHG, ETCO2_HIGH_MMHG),
    usual: () => `${ETCO2_LOW_MMHG}–${ETCO2_HIGH_MMHG}`,
    shown: (shown) => shown.etco2MmHg,
    apart: 6,
  },
  {
    id: 'capillaryRefillS',
    label: 'Capillary refill',
    short: 'Refill',
    unit: 's',
    places: 0,
    devices: [],
    notShown: 'felt, not shown',
    flag: (value) => (value > REFILL_SLOW_S ? 'high' : null),
    usual: () => `≤ ${REFILL_SLOW_S}`,
    shown: () => null,
    apart: Infinity,
  },
  {
    id: 'temperatureCelsius',
    label: 'Temperature',
    short: 'Temp',
    unit: '°C',
    places: 1,
    devices: ['thermometer'],
    notShown: 'not taken',
    flag: (value) => band(value, TEMPERATURE_LOW_CELSIUS, TEMPERATURE_HIGH_CELSIUS),
    usual: () => `${TEMPERATURE_LOW_CELSIUS}–${TEMPERATURE_HIGH_CELSIUS}`,
    shown: (shown) => shown.temperatureCelsius,
    apart: 0.7,
  },
];

/** Blood pressure is held as one, whichever of its numbers was overridden. */
const PRESSURES: readonly VitalId[] = ['systolicMmHg', 'diastolicMmHg', 'meanMmHg'];

function held(id: VitalId, overridden: readonly VitalId[]): boolean {
  return id === 'systolicMmHg' ? overridden.some((each) => PRESSURES.includes(each)) : overridden.includes(id);
}

function whyNotShown(spec: RowSpec, shown: ShownVitals): string | null {
  if (spec.devices.length === 0) return spec.notShown;
  const on = spec.devices.some((device) => shown.attached.includes(device));
  if (!on) return spec.notShown;
  if (spec.id === 'systolicMmHg') {
    if (shown.cuff.inflating) return 'cuff inflating';
    return shown.bloodPressure?.failed ?? 'not cycled yet';
  }
  return shown.oximeterMessage !== null && spec.devices.includes('oximeter') ? shown.oximeterMessage : 'reading…';
}

/** Rows for the vitals panel, in the order they are read out. With an age, a flagged rate says its centile. */
export function vitalRows(view: RunView, norms: AgeNorms, ageYears?: number): readonly VitalRow[] {
  return ROWS.map((spec) => {
    const truth = view.trueVitals[spec.id];
    const value = spec.shown(view.shown);
    const pressure = spec.id === 'systolicMmHg';
    const bp = view.shown.bloodPressure;
    const number = (each: number) => plainNumber(each, spec.places);
    let note = value === null ? whyNotShown(spec, view.shown) : null;
    if (value !== null && pressure && bp) {
      note = view.shown.cuff.inflating ? 'cuff inflating' : `${spanText(view.clockMs - bp.takenAtMs)} ago`;
    }
    return {
      id: spec.id,
      label: spec.label,
      short: spec.short,
      unit: spec.unit,
      trueText: pressure ? `${number(truth)}/${number(view.trueVitals.diastolicMmHg)}` : number(truth),
      trueFlag: flagOf(spec, truth, norms),
      trueCentile:
        ageYears !== undefined && flagOf(spec, truth, norms) !== null ? shortCentile(spec.id, ageYears, truth) : null,
      shownText:
        value === null ? null : pressure ? `${number(value)}/${number(bp?.diastolicMmHg ?? NaN)}` : number(value),
      shownFlag: value === null ? null : flagOf(spec, value, norms),
      shownNote: note,
      usual: spec.usual(norms),
      differs: value !== null && Math.abs(value - truth) >= spec.apart,
      held: held(spec.id, view.overridden),
    };
  });
}

/** Vitals faculty may hold by hand, with the bounds of the slider and its step. */
export const HOLDABLE: readonly {
  readonly id: VitalId;
  readonly label: string;
  readonly unit: string;
  readonly min: number;
  readonly max: number;
  readonly step: number;
}[] = [
  { id: 'heartRatePerMin', label: 'Heart rate', unit: '/min', min: 0, max: 240, step: 5 },
  { id: 'spo2Percent', label: 'SpO2', unit: '%', min: 40, max: 100, step: 1 },
  { id: 'systolicMmHg', label: 'Systolic pressure', unit: 'mmHg', min: 0, max: 220, step: 5 },
  { id: 'diastolicMmHg', label: 'Diastolic pressure', unit: 'mmHg', min: 0, max: 140, step: 5 },
  { id: 'respiratoryRatePerMin', label: 'Breathing rate', unit: '/min', min: 0, max: 90, step: 2 },
  { id: 'etco2MmHg', label: 'End-tidal CO2', unit: 'mmHg', min: 0, max: 110, step: 2 },
  { id: 'temperatureCelsius', label: 'Temperature', unit: '°C', min: 33, max: 42, step: 0.1 },
  { id: 'glucoseMmolPerL', label: 'Glucose', unit: 'mmol/L', min: 1, max: 25, step: 0.1 },
  { id: 'capillaryRefillS', label: 'Capillary refill', unit: 's', min: 1, max: 8, step: 0.5 },
  { id: 'consciousnessFraction', label: 'Consciousness', unit: '(1 awake, 0 none)', min: 0, max: 1, step: 0.1 },
];

export interface HeldRhythm {
  /** Code of the patient's `RHYTHMS`. */
  readonly code: number;
  readonly label: string;
  /** Rate it is shown at; null leaves the patient's own. */
  readonly ratePerMin: number | null;
}

/**
 * Rhythms with a pulse that faculty may lay over the patient. Those without one come by an arrest, which is asked about.
 * Supraventricular tachycardia is usually at 220 a minute or more in infants and 180 or more in children (American Heart
 * Association, Pediatric Advanced Life Support, tachycardia with a pulse, as summed up by Lamberg 2018); in adults about 180, and ventricular
 * tachycardia at 180: common practice, no source.
 */
export function holdableRhythms(ageYears: number): readonly HeldRhythm[] {
  const codeOf = (id: (typeof RHYTHMS)[number]['id']): number => RHYTHMS.find((each) => each.id === id)!.code;
  return [
    {
      code: codeOf('supraventricular-tachycardia'),
      label: 'Supraventricular tachycardia',
      ratePerMin: ageYears < 1 ? 240 : ageYears < 18 ? 210 : 180,
    },
    { code: codeOf('ventricular-ectopics'), label: 'Ectopic beats', ratePerMin: null },
    { code: codeOf('ventricular-tachycardia'), label: 'Ventricular tachycardia, with a pulse', ratePerMin: 180 },
  ];
}

/** A short line for a screen reader and for the head of the phone layout. */
export function headline(vitals: Readonly<TrueVitals>): string {
  return `heart rate ${plainNumber(vitals.heartRatePerMin, 0)}, SpO2 ${plainNumber(vitals.spo2Percent, 0)} per cent, blood pressure ${plainNumber(vitals.systolicMmHg, 0)} over ${plainNumber(vitals.diastolicMmHg, 0)}, breathing ${plainNumber(vitals.respiratoryRatePerMin, 0)} a minute`;
}
