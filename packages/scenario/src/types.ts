/**
 * The built (checked, unit-free, defaults filled in) shapes of what educators write.
 *
 * The YAML is the author's language; these are the engine's. Durations are integer milliseconds, ages decimal years,
 * drug amounts a number in the intervention's own `unit`. Everything is plain JSON.
 */
import type {
  AbcdeId,
  DeviceUse,
  DriveInput,
  Grade,
  OxygenDevice,
  PatientProfile,
  Posture,
  Route,
  SignId,
  VitalId,
} from '@breathline/patient';

/** Where something was published, and how far the value has been checked. Shown beside every dose and target. */
export interface Source {
  readonly organisation: string;
  readonly document: string;
  readonly edition?: string;
  readonly section?: string;
  readonly doi?: string;
  readonly url?: string;
  /** How the number was seen: the primary page, a mirror, a summary, or memory only. */
  readonly verified: 'primary' | 'mirror' | 'secondary' | 'from-memory' | 'teaching' | 'arithmetic';
  /** ISO date of that look. */
  readonly checkedOn: string;
  /** Named clinician who checked the line against the primary source. Absent = "unverified": it fails no one. */
  readonly checkedBy?: string;
}

// ---------------------------------------------------------------- formulary

export type InterventionGroup = 'airway' | 'breathing' | 'circulation' | 'disability' | 'exposure' | 'team';
export type InterventionKind =
  'drug' | 'fluid' | 'oxygen' | 'posture' | 'procedure' | 'assessment' | 'device' | 'call' | 'team' | 'test';

/** A strength a drug comes in. `amount` is in the intervention's unit per `perMl` mL. */
export interface Concentration {
  readonly label: string;
  readonly amount: number;
  readonly perMl: number;
}

/** One thing a team can do. The only catalogue: console, scenarios, packs and scoring all use these ids. */
export interface Intervention {
  readonly id: string;
  /** British and American display names; both generic. */
  readonly name: string;
  readonly nameUs?: string;
  readonly short?: string;
  readonly group: InterventionGroup;
  readonly kind: InterventionKind;
  /** Generic drug id when kind is drug or fluid (interventions of one drug by different routes share it). */
  readonly drug?: string;
  /** Patient-package effect id; absent when nothing in the model answers (a call, a note, a drug with no modelled effect). */
  readonly effect?: string;
  readonly route?: Route;
  readonly routes?: readonly Route[];
  readonly sites?: readonly string[];
  readonly unit?: 'micrograms' | 'mg' | 'g' | 'mL' | 'units';
  readonly concentrations?: readonly Concentration[];
  /** Fixed doses of an automatic injector, smallest first, in `unit`: only these can be given. */
  readonly deviceDoses?: readonly number[];
  /** How long the giving lasts (a nebuliser, a bolus). */
  readonly overMs?: number;
  /** The amount is a rate per this time (an infusion), not a single dose. */
  readonly ratePer?: 'min' | 'h';
  /** Usual dose, offered where the chosen pack has none. */
  readonly usual?: Pick<DoseRule, 'bands' | 'perKg' | 'concentration' | 'overMs' | 'source'>;
  /** Why doing it may harm; shown inline before it is done. */
  readonly hazard?: string;
  readonly oxygen?: { readonly device: OxygenDevice; readonly flowLPerMin?: number; readonly fio2Fraction?: number };
  readonly posture?: Posture;
  readonly procedure?: { readonly id: string; readonly on: boolean; readonly amount?: number };
  /** Monitor device attached by this intervention. */
  readonly device?: DeviceId;
  /** For an assessment: which findings or vitals it reveals. */
  readonly reveals?: {
    readonly letters?: readonly AbcdeId[];
    readonly findings?: readonly string[];
    readonly vitals?: readonly VitalId[];
  };
  /** Steps worth telling apart ("said", "drawn-up", "given"). */
  readonly steps?: readonly DoseStep[];
  /** A dose above this (per kg, or in all) is warned about inline. */
  readonly warnAbove?: { readonly perKg?: number; readonly total?: number };
  readonly search: readonly string[];
  /** Done by saying it aloud: asked about afterwards as said or not said. */
  readonly spoken?: boolean;
  /** 1 = one-tap rank on the console; absent = second tap. */
  readonly oneTap?: number;
  readonly source?: Source;
}

export type DoseStep = 'said' | 'drawn-up' | 'given';
export type DeviceId = 'oximeter' | 'ecg' | 'bp-cuff' | 'capnography' | 'thermometer' | 'glucose-meter';

// ---------------------------------------------------------------- guideline packs

/** One band of age or weight with its dose, in the intervention's unit. */
export interface DoseBand {
  readonly fromAgeYears: number;
  /** Exclusive; absent = no upper bound. */
  readonly belowAgeYears?: number;
  readonly fromWeightKg?: number;
  readonly belowWeightKg?: number;
  readonly amount: number;
  /** Upper end where the source gives a range. */
  readonly amountHigh?: number;
  readonly note?: string;
  readonly source?: Source;
}

/** A dose rule of a pack: by age band or by weight. Amounts in the intervention's unit. */
export interface DoseRule {
  readonly id: string;
  readonly intervention: string;
  readonly bands?: readonly DoseBand[];
  /** A table the guideline prints beside its weight rule: right too, never suggested. */
  readonly table?: readonly DoseBand[];
  readonly perKg?: { readonly amount: number; readonly amountHigh?: number; readonly max?: number };
  /** Concentration label of the intervention the pack assumes. */
  readonly concentration?: string;
  readonly overMs?: number;
  readonly source: Source;
}

export type TargetClock = 'arrival' | 'could-have-seen' | 'did-see' | 'previous-dose' | 'shock-visible' | 'first-dose';

export interface Target {
  readonly id: string;
  readonly says: string;
  /** Any one of these satisfies it. */
  readonly interventions: readonly string[];
  readonly clock: TargetClock;
  /** Intervention whose dose starts `previous-dose` / `first-dose` clocks. */
  readonly clockIntervention?: string;
  /** Which dose of the intervention this target times: 1 = first. */
  readonly nth?: number;
  /** Full credit at or before; credit fades to 0 at `limitMs`. Absent for an order-only target. */
  readonly dueMs?: number;
  readonly limitMs?: number;
  /** Earlier than this is "early" (a repeat given too soon). */
  readonly notBeforeMs?: number;
  /** The target is due only while this holds at the due time (for a repeat dose: problems persist). */
  readonly onlyIf?: Condition;
  readonly doseRule?: string;
  /** Only on the side that is ill does it count; on the other it is harm. */
  readonly side?: 'ill';
  /** Words of the site it must be done at: the first act is judged by its site, not timed. */
  readonly space?: string;
  /** Must not happen before this intervention's first dose. */
  readonly mustFollow?: string;
  /** Doing it at all (while `onlyIf` holds) is the error. */
  readonly contraindicated?: boolean;
  readonly critical: boolean;
  readonly weight: number;
  /** Is the time the guideline's, the guideline's repeat interval, or a teaching target. */
  readonly timeStatus: 'guideline' | 'interval' | 'teaching';
  readonly source: Source;
}

/** One risk stratum of the observation period after the emergency. */
export interface ObservationRule {
  readonly id: string;
  readonly says: string;
  readonly hours: number;
  readonly from: 'onset' | 'last-dose' | 'resolution';
  /** Applies if this was so at any time of the run; absent = applies to everyone. */
  readonly when?: Condition;
  /** Enough only where all of these are so. A drill can not know them. */
  readonly needs?: readonly string[];
  /** Applies also where one of these is so. A drill can not know them. */
  readonly orIf?: readonly string[];
  readonly source: Source;
}

/** The saturation a guideline aims for on added oxygen. */
export interface OxygenRange {
  readonly lowPercent: number;
  readonly highPercent: number;
  /** On added oxygen, more than `highPercent` harms: the patient may retain carbon dioxide. */
  readonly aboveIsDanger?: boolean;
  readonly source: Source;
}

export interface GuidelinePack {
  readonly id: string;
  readonly title: string;
  readonly organisation: string;
  readonly edition: string;
  readonly condition: string;
  readonly reviewBy: string;
  /** Tolerances of the dose check: within `full` = right; at or above `criticalHigh` × or at or below `criticalLow` × = critical. */
  readonly doseTolerance: {
    readonly full: number;
    readonly partial: number;
    readonly criticalHigh: number;
    readonly criticalLow: number;
  };
  /** Observable recognition criteria: any one starts the could-have-seen clock. */
  readonly recognition: readonly {
    readonly id: string;
    readonly says: string;
    readonly when: Condition;
    readonly source: Source;
  }[];
  readonly shockVisible?: Condition;
  /** How long to watch the patient afterwards. The longest that applies counts. */
  readonly observation?: readonly ObservationRule[];
  /** The saturation to aim for once on oxygen; absent where the guideline names none. */
  readonly oxygenRange?: OxygenRange;
  /** The one step this illness turns on: a target's id, and a few words for the picture. */
  readonly keyStep?: { readonly target: string; readonly says: string };
  readonly doses: readonly DoseRule[];
  readonly targets: readonly Target[];
  readonly source: Source;
  readonly forkedFrom?: string;
  /** `packHash` of that pack at the time of copying. */
  readonly forkedHash?: string;
}

/** Formulary and packs as built, with a hash of their canonical JSON; pinned into every run. */
export interface Library {
  readonly interventions: readonly Intervention[];
  readonly packs: readonly GuidelinePack[];
  readonly hash: string;
}

// ---------------------------------------------------------------- scenario

/** A limit written as a number or relative to the patient's age. */
export type Limit =
  | { readonly value: number }
  | { readonly relative: 'low-limit-for-age' | 'high-limit-for-age' | 'median-for-age'; readonly factor?: number };

export type Comparison = 'at-least' | 'above' | 'at-most' | 'below';

/** A question put to the run. Structured data, never an expression string. */
export type Condition =
  | { readonly kind: 'all' | 'any'; readonly of: readonly Condition[] }
  | { readonly kind: 'not'; readonly of: Condition }
  | {
      readonly kind: 'vital';
      readonly vital: VitalId;
      readonly op: Comparison;
      readonly limit: Limit;
      readonly forMs: number;
    }
  | {
      readonly kind: 'sign';
      readonly sign: SignId;
      readonly op: Comparison;
      readonly grade: Grade;
      readonly forMs: number;
    }
  | {
      readonly kind: 'given';
      readonly interventions: readonly string[];
      readonly times: number;
      /** Each counted dose at least this share of the pack's dose (0 = any). */
      readonly minDoseShare: number;
      /** Only doses in the last so many ms count; absent = ever. */
      readonly withinMs?: number;
    }
  | { readonly kind: 'assessed'; readonly interventions: readonly string[] }
  | { readonly kind: 'in-state-for'; readonly ms: number }
  | { readonly kind: 'run-clock'; readonly ms: number }
  | { readonly kind: 'state'; readonly thread: string; readonly state: string }
  | { readonly kind: 'faculty'; readonly label: string };

export interface Transition {
  readonly to: string;
  readonly when: Condition;
  readonly says?: string;
}

export interface Cue {
  readonly id: string;
  readonly afterMs: number;
  readonly by: string;
  readonly says: string;
  readonly kind: 'conceptual' | 'reality' | 'story';
  /** Interventions that it may bring somebody to do. */
  readonly prompts?: readonly string[];
  /** For how long an act may count as prompted by it. */
  readonly promptsForMs?: number;
  readonly onlyIf?: Condition;
}

/** A vital steered by the author instead of the model, approached with a time constant. */
export interface ScriptedVital {
  readonly vital: VitalId;
  readonly to: number;
  readonly overMs: number;
}

export interface State {
  readonly id: string;
  /** Plain words for faculty. */
  readonly title: string;
  readonly says?: string;
  readonly drives: readonly DriveInput[];
  readonly scripted: readonly ScriptedVital[];
  /** Written findings; they replace the model's finding of the same id. */
  readonly findings: readonly {
    readonly id: string;
    readonly letter: AbcdeId;
    readonly text: string;
    readonly observable: boolean;
  }[];
  readonly cues: readonly Cue[];
  readonly transitions: readonly Transition[];
  /** An ending: the run may be closed here; `outcome` in plain words. */
  readonly ending?: { readonly outcome: string; readonly kind: 'good' | 'mixed' | 'poor' };
}

export interface Thread {
  readonly id: string;
  readonly title: string;
  readonly start: string;
  readonly states: readonly State[];
}

/** One timed act of a rehearsal. */
export interface RehearsalAct {
  readonly atMs: number;
  readonly action:
    | {
        readonly kind: 'give';
        readonly intervention: string;
        readonly amount: number | 'as-pack' | null;
        readonly flowLPerMin?: number;
        readonly route?: Route;
        readonly site?: string;
        /** How an automatic injector was used, when not as it should be. */
        readonly deviceUse?: DeviceUse;
      }
    | { readonly kind: 'assess'; readonly intervention: string }
    | { readonly kind: 'attach'; readonly device: DeviceId }
    | { readonly kind: 'force'; readonly thread: string; readonly state: string }
    | { readonly kind: 'faculty'; readonly label: string };
  readonly unless?: Condition;
  readonly onlyIf?: Condition;
}

export type Expectation =
  | {
      readonly kind: 'state';
      readonly thread: string;
      readonly state: string;
      readonly byMs?: number;
      readonly notBeforeMs?: number;
      readonly never?: boolean;
    }
  | { readonly kind: 'vital'; readonly condition: Condition; readonly atMs: number }
  | { readonly kind: 'target'; readonly target: string; readonly result: string };

export interface Rehearsal {
  readonly name: string;
  readonly forMs: number;
  readonly acts: readonly RehearsalAct[];
  readonly expect: readonly Expectation[];
}

export interface Objective {
  readonly id: string;
  readonly says: string;
  readonly seenBy: { readonly target?: string; readonly state?: string; readonly question?: string };
}

export interface Prebrief {
  /** One page: who is who, what is real, what is not. */
  readonly roles: readonly { readonly role: string; readonly says: string }[];
  readonly room: readonly string[];
  readonly real: readonly string[];
  readonly notReal: readonly string[];
  readonly timePlan?: string;
  readonly handover: string;
}

/** Someone who can be called; the call is simulated and says so. */
export interface CallContact {
  readonly id: string;
  /** Whom the team asks for ("the children's doctor on call"). */
  readonly title: string;
  /** Who answers, in words. */
  readonly picksUp: string;
  /** From dialling to an answer. */
  readonly answersAfterMs: number;
  /** What they will ask before they act. */
  readonly asks: readonly string[];
  /** What they say and do. */
  readonly does: string;
  /** From the answer to the bedside; absent = does not come. */
  readonly arrivesAfterMs?: number;
}

/** Something learners can be shown on the results screen. */
export interface Exhibit {
  readonly id: string;
  readonly title: string;
  readonly kind: 'x-ray' | 'ecg' | 'photograph' | 'document' | 'appearance';
  /** What it says, or describes; always there, for those who can not see the picture. */
  readonly text: string;
  /** A picture in `scenarios/exhibits`, by file name. */
  readonly picture?: string;
}

/** The family as a thread of its own: what is told only if asked, and a worry the team should heed. */
export interface FamilyMember {
  readonly who: string;
  readonly says: string;
  readonly history?: readonly { readonly id: string; readonly ifAsked: string; readonly says: string }[];
  readonly worries?: readonly { readonly id: string; readonly says: string; readonly why: string }[];
  /** At the start: 0 calm to 3 in the way. */
  readonly distress?: 0 | 1 | 2 | 3;
}

export interface Scenario {
  readonly id: string;
  /** Faculty-only: a telling title must not reach a learner screen. */
  readonly title: string;
  /** Safe to show learners. */
  readonly learnerTitle: string;
  readonly summary: string;
  readonly level: 'novice' | 'intermediate' | 'advanced';
  readonly setting: string;
  readonly authors: readonly { readonly name: string; readonly role: 'clinical' | 'simulation' }[];
  readonly rationale?: string;
  readonly timeCompression?: string;
  readonly patient: PatientProfile & {
    readonly name: string;
    readonly ageText: string;
    readonly allergies: readonly string[];
    readonly story: string;
    readonly skin: string;
    /**
     * How long the illness has been under way when the run starts: the model is run this long under the start states'
     * drives before time zero, so that the patient arrives ill without any number being typed in. 0 = just beginning.
     */
    readonly begunMs?: number;
  };
  readonly guidelines: readonly string[];
  readonly objectives: readonly Objective[];
  readonly prebrief: Prebrief;
  readonly equipment: readonly string[];
  readonly family: readonly FamilyMember[];
  readonly calls?: readonly CallContact[];
  readonly exhibits?: readonly Exhibit[];
  /** What observers tick. */
  readonly behaviours?: readonly { readonly id: string; readonly says: string }[];
  /** Whether the model may let the patient's circulation stop by itself. Absent = faculty are asked first. */
  readonly arrest?: 'as-model' | 'ask-faculty';
  readonly threads: readonly Thread[];
  readonly debriefQuestions: readonly string[];
  readonly rehearsals: readonly Rehearsal[];
  /** Interventions offered first on the console, beyond the formulary's own one-tap ranks. */
  readonly handy: readonly string[];
  readonly startPosture: Posture;
}

// ---------------------------------------------------------------- diagnostics

/** One thing wrong (or doubtful) in a file. Position is 1-based; `end` exclusive. Words are separate from the facts. */
export interface Diagnostic {
  readonly code: string;
  readonly severity: 'error' | 'warning';
  readonly file: string;
  readonly line: number;
  readonly column: number;
  readonly endLine: number;
  readonly endColumn: number;
  readonly path: string;
  /** What was found and what was expected, one sentence. */
  readonly message: string;
  /** How to mend it. */
  readonly hint?: string;
  /** Source frame with a caret, for terminals. */
  readonly frame?: string;
}

export type ReadResult<T> =
  | { readonly ok: true; readonly value: T; readonly warnings: readonly Diagnostic[] }
  | { readonly ok: false; readonly errors: readonly Diagnostic[]; readonly warnings: readonly Diagnostic[] };
