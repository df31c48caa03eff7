/**
 * The public shapes of the patient package: what goes into a patient, what comes out.
 *
 * A patient is pure maths. State is one flat `Float64Array`, so it can be copied, compared and hashed bit for bit,
 * and the inner loop allocates nothing. All units are in the names. Nothing here is treatment advice: it is a
 * teaching model of a simulated patient.
 */

/** Sex used for sizing only (blood volume, height). */
export type Sex = 'female' | 'male';

/** How one person is sized and how they are when well. Ages are decimal years (0.5 = 6 months). */
export interface PatientProfile {
  readonly ageYears: number;
  readonly weightKg: number;
  readonly sex: Sex;
  readonly heightCm?: number;
  /** What this patient is like before the illness; anything left out comes from the age norms. */
  readonly baseline?: Readonly<Partial<Record<BaselineId, number>>>;
  /** How the illness behaves in this patient (see DISEASES). */
  readonly illness?: readonly IllnessSpec[];
  /** Overrides of the model's uncertain constants, by id, as multipliers of the default (1 = default). */
  readonly uncertain?: Readonly<Record<string, number>>;
}

export type BaselineId =
  | 'heartRatePerMin'
  | 'respiratoryRatePerMin'
  | 'systolicMmHg'
  | 'diastolicMmHg'
  | 'spo2Percent'
  | 'temperatureCelsius'
  | 'glucoseMmolPerL'
  | 'haemoglobinGPerDl';

/** One disease this patient carries, with its pattern and tempo. `pattern` is one of the disease's own presets. */
export interface IllnessSpec {
  readonly disease: string;
  readonly pattern?: string;
  /** 0 to 1. */
  readonly severity?: number;
  /** Multiplies every rate of the disease; 1 is the pattern's own speed. */
  readonly tempo?: number;
  /** Minutes the illness has been running untreated, in its pattern's own way, when the run starts (0 to 30; default 0). */
  readonly startedMinutesAgo?: number;
  /**
   * Anaphylaxis only: minutes from the first signs until it comes back without a second exposure (1 to 4320). Any pattern
   * then returns; left out, only the pattern `biphasic` does, at its own time.
   */
  readonly returnsAfterMinutes?: number;
}

/** Opaque, mutable model state. Copy with `copyState`; never index it outside this package. */
export type PatientState = Float64Array & { readonly __patientState?: never };

/** Immutable numbers computed once from a profile. */
export interface PatientModel {
  readonly profile: PatientProfile;
  /** Package-internal parameters. */
  readonly p: Readonly<Record<string, number>>;
  /** Package-internal: illnesses other than anaphylaxis, one row each. */
  readonly ill?: Float64Array;
}

/**
 * A knob a scenario state may turn: what the illness is asked to do. `to` is in the drive's own unit (0 to 1 for most;
 * see `DRIVES`). `overMs` 0 means at once.
 */
export interface DriveInput {
  readonly kind: 'drive';
  readonly drive: string;
  readonly to: number;
  readonly overMs: number;
}

/**
 * A drug or fluid reaching the patient. `amount` is in the unit named by `EFFECTS[effect].unit` (micrograms, mg or mL).
 * `lagMs` > 0 says that it was given that long ago and is only now being told: absorption is advanced by the lag.
 */
export interface DoseInput {
  readonly kind: 'dose';
  readonly effect: string;
  readonly route: Route;
  readonly site?: string;
  readonly amount: number;
  /** 0 for a push; the duration of an infusion or bolus otherwise. */
  readonly overMs?: number;
  readonly lagMs?: number;
}

/** Continuous infusion at a rate; `ratePerMin` 0 stops it. Unit per minute as `EFFECTS[effect].unit`. */
export interface InfusionInput {
  readonly kind: 'infusion';
  readonly effect: string;
  readonly ratePerMin: number;
}

/** Oxygen and breathing support now in use. Replaces what was there. */
export interface OxygenInput {
  readonly kind: 'oxygen';
  readonly device: OxygenDevice;
  readonly flowLPerMin?: number;
  /** For devices with a set fraction (0.21 to 1). */
  readonly fio2Fraction?: number;
}

export interface PostureInput {
  readonly kind: 'posture';
  readonly posture: Posture;
}

/** Anything done with hands or a machine that the model knows by id (`PROCEDURES`): bag-mask breaths, CPR, needle… */
export interface ProcedureInput {
  readonly kind: 'procedure';
  readonly procedure: string;
  /** Amount in the procedure's own unit: rate per minute, side, pressure. */
  readonly amount?: number;
  /** Where, for what has a side: 'left' or 'right' within it. Left out: the side that needs it. */
  readonly site?: string;
  readonly on: boolean;
}

/** Faculty steer the whole patient, hold them, or hand them back to the model; see `core/steering.ts`. */
export interface SteerInput {
  readonly kind: 'steer';
  readonly direction: 'better' | 'worse' | 'hold' | 'hand-back';
  /** Default slow. */
  readonly pace?: 'slow' | 'fast';
}

/** The illness is felt less (share above 0) or more for a few minutes; -1 to 1. */
export interface PushInput {
  readonly kind: 'push';
  readonly share: number;
}

/** An arrest is held back, or no longer. */
export interface BrinkInput {
  readonly kind: 'brink';
  readonly on: boolean;
}

export type PatientInput =
  | DriveInput
  | DoseInput
  | InfusionInput
  | OxygenInput
  | PostureInput
  | ProcedureInput
  | SteerInput
  | PushInput
  | BrinkInput;

/** Order matters: the index is the code that a waiting dose keeps. */
export const ROUTES = [
  'im',
  'iv',
  'io',
  'neb',
  'inhaled',
  'oral',
  'intranasal',
  'subcutaneous',
  'topical',
  'rectal',
] as const;
export type Route = (typeof ROUTES)[number];

export const POSTURES = ['sitting', 'supine', 'legs-raised', 'standing', 'recovery-position'] as const;
export type Posture = (typeof POSTURES)[number];
/** Order matters: the index is the code in the state. */
export const OXYGEN_DEVICES = [
  'none',
  'nasal-cannula',
  'simple-mask',
  'venturi-mask',
  'non-rebreathe-mask',
  'high-flow-nasal',
  'bag-mask',
  'cpap',
  'niv',
  'tube',
] as const;
export type OxygenDevice = (typeof OXYGEN_DEVICES)[number];

/** What is true of the patient now. Written into a caller-owned object so that the loop allocates nothing. */
export interface TrueVitals {
  heartRatePerMin: number;
  /** Pulses per minute that reach the finger; 0 in arrest even when the ECG has complexes. */
  pulseRatePerMin: number;
  respiratoryRatePerMin: number;
  /** Arterial saturation, 0 to 100. */
  spo2Percent: number;
  systolicMmHg: number;
  diastolicMmHg: number;
  meanMmHg: number;
  etco2MmHg: number;
  temperatureCelsius: number;
  glucoseMmolPerL: number;
  /** Seconds, central. */
  capillaryRefillS: number;
  /** 0 none to 1 full: what reaches the skin and so the oximeter. */
  perfusionFraction: number;
  /** 0 unresponsive to 1 alert. */
  consciousnessFraction: number;
  paco2MmHg: number;
  pao2MmHg: number;
  arterialPh: number;
  lactateMmolPerL: number;
  /** Minute ventilation over that at rest. */
  ventilationRatio: number;
  /** 0 open to 1 closed small airways: shapes the capnogram and wheeze. */
  bronchospasmFraction: number;
  /** 0 to 1 upper-airway narrowing. */
  upperAirwayFraction: number;
  /** Inhaled oxygen fraction at the mouth. */
  fio2Fraction: number;
  /** 0 sinus … see `RHYTHMS` for the codes. */
  rhythm: number;
  /** 1 while the heart gives no output. */
  arrested: number;
}

export type VitalId = keyof TrueVitals;

/** Graded signs a guard or an examiner can ask for. */
export const SIGNS = [
  'work-of-breathing',
  'wheeze',
  'stridor',
  'fatigue',
  'silent-chest',
  'rash',
  'swelling',
  'gut',
  'agitation',
  'drowsiness',
  'cyanosis',
  'poor-perfusion',
  'cannot-talk',
  'apnoea',
  'arrest',
] as const;
export type SignId = (typeof SIGNS)[number];

export const GRADES = ['none', 'mild', 'moderate', 'marked', 'severe'] as const;
export type Grade = (typeof GRADES)[number];

export const LETTERS = ['airway', 'breathing', 'circulation', 'disability', 'exposure'] as const;
/** The ABCDE letter a finding belongs to. */
export type AbcdeId = (typeof LETTERS)[number];

/** One thing an examiner would see, hear or feel now. `text` can be spoken as it stands. */
export interface Finding {
  readonly id: string;
  readonly letter: AbcdeId;
  readonly text: string;
  /** Visible without touching or listening (talking, breathing effort, skin). */
  readonly observable: boolean;
  readonly grade: Grade;
}

/** One term of an explanation: a quantity, its value as a number, its unit, and the words to show. */
export interface ExplanationTerm {
  readonly id: string;
  readonly label: string;
  readonly value: number;
  readonly unit: string;
  /** 'rising' | 'falling' | 'steady' over the last few seconds, where known. */
  readonly trend?: 'rising' | 'falling' | 'steady';
}

export interface Explanation {
  readonly vital: VitalId;
  readonly value: number;
  readonly text: string;
  readonly terms: readonly ExplanationTerm[];
}

export type BloodGasSite = 'arterial' | 'venous' | 'capillary';

/** One blood sample. Both pressures are given in mmHg and kPa. */
export interface BloodGas {
  readonly site: BloodGasSite;
  readonly pH: number;
  readonly pco2MmHg: number;
  readonly pco2KPa: number;
  readonly po2MmHg: number;
  readonly po2KPa: number;
  readonly bicarbonateMmolPerL: number;
  /** Standard base excess. */
  readonly baseExcessMmolPerL: number;
  readonly lactateMmolPerL: number;
  readonly glucoseMmolPerL: number;
  readonly haemoglobinGPerDl: number;
  readonly saturationPercent: number;
}

/** Usual range and warning limits for an age; every row carries its source. */
export interface AgeNorms {
  readonly heartRatePerMin: { readonly low: number; readonly median: number; readonly high: number };
  readonly respiratoryRatePerMin: { readonly low: number; readonly median: number; readonly high: number };
  /** Below this is low for age. */
  readonly systolicLowMmHg: number;
  readonly systolicMedianMmHg: number;
  readonly systolicHighMmHg: number;
  readonly source: string;
}
