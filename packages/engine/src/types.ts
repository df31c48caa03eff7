/**
 * The run: a log of inputs, and everything derived from it.
 *
 * Only what a person or the server did is an event. Transitions, cues falling due, readings and results are derived
 * by replay, so a replay can never produce them twice. The run clock is integer milliseconds in steps of `STEP_MS`.
 */
import type {
  BloodGas,
  DeviceUse,
  Explanation,
  Finding,
  PatientProfile,
  SignId,
  TrueVitals,
  VitalId,
} from '@breathline/patient';
import type { DebriefEventBody } from './live/debrief-types.ts';
import type { LiveEventBody, LiveView } from './live/types.ts';
import type { Condition, Cue, DeviceId, DoseStep, Library, Scenario, State } from '@breathline/scenario';

export const STEP_MS = 100;

/** Who did it: a role and an opaque seat id, never a name. */
export interface Actor {
  readonly role: 'lead' | 'logger' | 'observer' | 'participant' | 'monitor' | 'server' | 'rehearsal';
  readonly seat?: string;
}

/** Every event carries two times: when it happened in the room, and when the patient feels it. */
export interface EventBase {
  /** 1-based, gapless, global to the run. */
  readonly seq: number;
  /** Which go at the scenario; 1 unless wound back. */
  readonly take: number;
  /** Run-clock ms (multiple of STEP_MS) at which the engine applies it. */
  readonly appliedAtMs: number;
  /** Run-clock ms at which it happened in the room; used for scoring. Never after `appliedAtMs`. */
  readonly occurredAtMs: number;
  /** ISO 8601 UTC; a label only. */
  readonly wallTime: string;
  readonly by: Actor;
  /** Client id and number make a repeated send harmless. */
  readonly clientId?: string;
  readonly clientNumber?: number;
}

export type EventBody =
  | { readonly kind: 'run-started' }
  | {
      readonly kind: 'run-paused';
      readonly why: 'faculty' | 'discuss' | 'server-restart' | 'someone-not-all-right' | 'real-emergency';
    }
  /** `gapMs`: time that passed on the wall while the run could not go on and that faculty let count for the patient. */
  | { readonly kind: 'run-resumed'; readonly gapMs?: number }
  | { readonly kind: 'run-ended'; readonly why: string }
  | { readonly kind: 'real-emergency-stop' }
  | { readonly kind: 'real-emergency-cleared' }
  | {
      readonly kind: 'intervention';
      readonly intervention: string;
      readonly step: DoseStep;
      /** In the intervention's unit; null = amount not known or not applicable. */
      readonly amount: number | null;
      readonly unit?: string;
      readonly concentration?: string;
      readonly volumeMl?: number | null;
      readonly route?: string;
      readonly site?: string;
      readonly flowLPerMin?: number | null;
      /** Faculty saw the volume and strength with their own eyes. */
      readonly doseSeen: boolean;
      readonly givenBy?: string;
      /** The weight the team used, if they said one. */
      readonly weightUsedKg?: number | null;
      /** How an automatic injector was used; left out, it was used as it should be. */
      readonly deviceUse?: DeviceUse;
      readonly note?: string;
    }
  | { readonly kind: 'intervention-stopped'; readonly intervention: string }
  | {
      readonly kind: 'assessment';
      readonly intervention: string;
      readonly note?: string;
      /** The seat that looked. */
      readonly doneBy?: string;
    }
  | { readonly kind: 'device-attached'; readonly device: DeviceId }
  | { readonly kind: 'device-removed'; readonly device: DeviceId }
  | { readonly kind: 'cuff-pressed' }
  | { readonly kind: 'cuff-interval'; readonly everyMs: number | null }
  | { readonly kind: 'cue-spoken'; readonly cue: string }
  | { readonly kind: 'state-forced'; readonly thread: string; readonly state: string }
  | { readonly kind: 'faculty-flag'; readonly label: string }
  | { readonly kind: 'vital-overridden'; readonly vital: VitalId; readonly to: number; readonly overMs: number }
  | { readonly kind: 'vital-released'; readonly vital: VitalId; readonly overMs: number }
  | { readonly kind: 'note'; readonly text: string; readonly textId?: string }
  | { readonly kind: 'mark'; readonly label?: string }
  | { readonly kind: 'mark-named'; readonly targetSeq: number; readonly label: string }
  /**
   * Words added to an act that stays as it was logged: who did it (a seat; null takes it off), whether the dose was seen.
   * The act is still one line, at its own time, and the patient is as before (`amendedEvents`).
   */
  | {
      readonly kind: 'act-amended';
      readonly targetSeq: number;
      readonly doneBy?: string | null;
      readonly doseSeen?: boolean;
    }
  | {
      readonly kind: 'reconciled';
      readonly target: string;
      readonly answer: 'done' | 'not-done' | 'unsure';
      readonly atMs?: number | null;
      /** The take it is about; absent: the one it stands in. */
      readonly ofTake?: number;
    }
  | { readonly kind: 'prebrief-item'; readonly item: string; readonly done: boolean }
  /**
   * The future equals the log without event `targetSeq`. What was shown stays shown. (Not named `seq`: the event has
   * its own.)
   */
  | { readonly kind: 'event-withdrawn'; readonly targetSeq: number; readonly why?: string }
  | LiveEventBody
  | DebriefEventBody;

export type RunEvent = EventBase & EventBody;
export type EventKind = EventBody['kind'];

/** Everything needed to compute a run, apart from its log. Plain JSON, except that the engine may cache by identity. */
export interface RunDefinition {
  readonly scenario: Scenario;
  readonly library: Library;
  /** The pack chosen for this run (doses suggested, targets scored). */
  readonly packId: string;
  readonly seed: number;
  /** What the team or faculty changed for this run (weight, uncertain constants). */
  readonly patient?: Partial<PatientProfile>;
}

/** What was derived, in order. `take` is left out in the first. */
export type Derived = DerivedFact & { readonly take?: number };

export type DerivedFact =
  | {
      readonly kind: 'state-entered';
      readonly atMs: number;
      readonly thread: string;
      readonly state: string;
      readonly from: string | null;
      readonly because: string;
      readonly forced: boolean;
    }
  | {
      readonly kind: 'cue-due';
      readonly atMs: number;
      readonly cue: string;
      readonly thread: string;
      readonly state: string;
    }
  | { readonly kind: 'cue-lapsed'; readonly atMs: number; readonly cue: string }
  | {
      readonly kind: 'reading';
      readonly atMs: number;
      readonly device: DeviceId;
      readonly value: number | null;
      readonly systolicMmHg?: number;
      readonly diastolicMmHg?: number;
      readonly meanMmHg?: number;
      readonly failed?: string;
      /** What was true when it was taken (of the cuff: systolic, mean over the cycle). Not for learners. */
      readonly trueValue?: number;
      /** When the sample was taken, where that is earlier than the reading. */
      readonly sampledAtMs?: number;
    }
  | {
      /** The answer to a test, after its turnaround. `values` is what was printed, `true` what was so when it was taken. */
      readonly kind: 'result';
      readonly atMs: number;
      /** Event that asked for it. */
      readonly seq: number;
      /** Formulary id. */
      readonly test: string;
      readonly sampledAtMs: number;
      readonly values: BloodGas;
      readonly true: BloodGas;
      /** `values` in words. */
      readonly text: string;
      /** Vitals under a faculty override when it was taken: the values follow those, not the model. */
      readonly overridden: readonly VitalId[];
    }
  | { readonly kind: 'arrest'; readonly atMs: number; readonly on: boolean }
  /** The model would arrest; the patient is held at the brink until faculty decide. */
  | { readonly kind: 'arrest-asked'; readonly atMs: number }
  /** Someone called, or something sent for, is there. */
  | { readonly kind: 'errand-came'; readonly atMs: number; readonly seq: number; readonly what: string }
  /** A new take begins, `atMs` on the run clock; what was derived later than that in `fromTake` is not part of it. */
  | { readonly kind: 'take-began'; readonly atMs: number; readonly take: number; readonly fromTake: number }
  | { readonly kind: 'fault'; readonly atMs: number; readonly message: string };

/** What a device shows now. `null` values: attached but no reading yet, or lost. */
export interface ShownVitals {
  readonly spo2Percent: number | null;
  readonly pulsePerMin: number | null;
  readonly heartRatePerMin: number | null;
  readonly respiratoryRatePerMin: number | null;
  readonly etco2MmHg: number | null;
  readonly temperatureCelsius: number | null;
  readonly glucoseMmolPerL: number | null;
  readonly bloodPressure: null | {
    readonly systolicMmHg: number | null;
    readonly diastolicMmHg: number | null;
    readonly meanMmHg: number | null;
    readonly takenAtMs: number;
    readonly failed?: string;
  };
  readonly cuff: { readonly inflating: boolean; readonly everyMs: number | null; readonly nextAtMs: number | null };
  readonly attached: readonly DeviceId[];
  /** 0 to 1: how strong the pleth is; 0 = lost. */
  readonly plethFraction: number;
  /** Signal problem in words, e.g. "low perfusion", or null. */
  readonly oximeterMessage: string | null;
  /** Attached devices that have failed: they show nothing until attached again. Absent = none. */
  readonly faulty?: readonly DeviceId[];
}

/** Beat and breath numbers the screen needs to draw traces in step; only for attached devices. */
export interface WaveformDrive {
  readonly seed: number;
  readonly rhythm: string | null;
  readonly ecgRatePerMin: number | null;
  readonly pulsed: boolean | null;
  readonly plethFraction: number | null;
  readonly breathRatePerMin: number | null;
  readonly breathDepthFraction: number | null;
  readonly bronchospasmFraction: number | null;
  readonly etco2MmHg: number | null;
  /**
   * Beats since the run began, with the part beat (the integral of heart rate), while a lead or probe is on. It keeps
   * screens that joined at different times on the same beat; without it each integrates the rate for itself.
   */
  readonly beatCount?: number | null;
  /** Breaths since the run began, likewise, while leads or a capnograph are on. */
  readonly breathCount?: number | null;
  /** How much the patient shakes the leads and the probe now, 0 (still) to 1; null with neither on. */
  readonly motionFraction?: number | null;
}

export type RunPhase = 'ready' | 'running' | 'paused' | 'ended';

/** The whole run at one moment, as faculty may see it. */
export interface RunView {
  readonly phase: RunPhase;
  readonly pausedWhy: string | null;
  readonly realEmergency: boolean;
  readonly take: number;
  readonly clockMs: number;
  readonly threads: readonly {
    readonly id: string;
    readonly title: string;
    readonly state: string;
    readonly stateTitle: string;
    readonly says: string | null;
    readonly sinceMs: number;
    /** What may come next and how close each guard is, in words. */
    readonly next: readonly {
      readonly to: string;
      readonly title: string;
      readonly because: string;
      readonly closeness: number;
    }[];
    readonly ending: State['ending'] | null;
  }[];
  readonly trueVitals: Readonly<TrueVitals>;
  readonly overridden: readonly VitalId[];
  readonly shown: ShownVitals;
  readonly wave: WaveformDrive;
  readonly cuesDue: readonly {
    readonly cue: Cue;
    readonly dueAtMs: number;
    readonly spokenAtMs: number | null;
    readonly thread: string;
  }[];
  readonly findings: readonly Finding[];
  /** Findings and vitals an assessment has revealed, with when. */
  readonly revealed: readonly { readonly finding: Finding; readonly atMs: number; readonly seq: number }[];
  readonly doses: readonly {
    readonly seq: number;
    readonly intervention: string;
    readonly atMs: number;
    readonly amount: number | null;
  }[];
  readonly faults: readonly string[];
  /** Tests asked for, oldest first. `text` and `values` are null until the answer is due. */
  readonly results?: readonly {
    readonly seq: number;
    readonly test: string;
    readonly name: string;
    readonly sampledAtMs: number;
    readonly dueAtMs: number;
    readonly text: string | null;
    readonly values: BloodGas | null;
  }[];
  /** What faculty and observers did around the patient in this take. */
  readonly live?: LiveView;
  /** Bedside scores of the true values now; whole scores with their items from `Simulation.scores()`. */
  readonly scores?: readonly {
    readonly id: string;
    readonly title: string;
    /** Null when it can not be worked out; `words` then says why. */
    readonly total: number | null;
    readonly outOf: number | null;
    readonly band: string | null;
    readonly words: string;
  }[];
}

/** One second of what was true and what was shown. Frozen into an export; never recomputed for scoring. */
export interface TrackRow {
  readonly atMs: number;
  /** Left out in the first take. */
  readonly take?: number;
  readonly true: Readonly<TrueVitals>;
  readonly shown: ShownVitals;
  readonly states: Readonly<Record<string, string>>;
  /** Grade index 0..4 of each sign (GRADES). */
  readonly signs: Readonly<Record<SignId, number>>;
}

/** A self-contained run: scores the same anywhere, with no scenario folder at hand. */
export interface RunExport {
  readonly format: 'breathline-run';
  readonly formatVersion: 1;
  readonly caution: string;
  readonly engineVersion: string;
  readonly runId: string;
  readonly createdAt: string;
  readonly definition: RunDefinition;
  readonly scenarioText?: string;
  readonly events: readonly RunEvent[];
  readonly derived: readonly Derived[];
  /** 1 Hz, take by take. */
  readonly track: readonly TrackRow[];
  readonly scoredTake: number;
}

export type { Condition, Explanation };

/** An edit of a log for "what if". */
export type WhatIfEdit =
  | { readonly kind: 'move'; readonly seq: number; readonly byMs: number }
  | { readonly kind: 'drop'; readonly seq: number }
  | { readonly kind: 'dose'; readonly seq: number; readonly amount: number };
