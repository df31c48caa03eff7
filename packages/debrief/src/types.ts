/**
 * Scores and pictures of a finished run. Everything is computed from a `RunExport` and one guideline pack; nothing is
 * shown without its evidence and its source.
 */
import type { Source, Target } from '@breathline/scenario';

export type ResultWord =
  | 'met'
  | 'early'
  | 'late'
  | 'missed'
  | 'not-due'
  | 'not-recorded'
  | 'censored'
  | 'given-unverified'
  /** Given, with a critical error of dose, strength or route: never "met", whatever its time. */
  | 'given-wrong-dose'
  | 'contraindicated-given'
  | 'order-kept'
  | 'order-broken';

/** A dose against the pack's rule. */
export interface DoseCheck {
  readonly verdict: 'right' | 'partial' | 'minor-error' | 'critical-error' | 'unverified' | 'not-applicable';
  readonly givenAmount: number | null;
  readonly unit: string;
  /** What the pack allows, low to high. */
  readonly allowed: readonly [number, number] | null;
  /** "ten times the dose", "milligrams for micrograms", "for 32 kg, not 23 kg". */
  readonly slips: readonly string[];
  readonly routeOk: boolean | null;
  readonly siteOk: boolean | null;
  readonly weightUsedKg: number | null;
  readonly trueWeightKg: number;
  readonly text: string;
}

export interface Evidence {
  readonly seq: number | null;
  /** Null: when it was is not known, as of what the team says it did. */
  readonly atMs: number | null;
  readonly text: string;
}

export interface TargetResult {
  readonly target: Target;
  readonly result: ResultWord;
  /** When its clock started, ms on the run clock; null if it never did. */
  readonly clockStartMs: number | null;
  readonly clockStartBecause: string;
  readonly actualMs: number | null;
  /** actual − clock start, paused time left out; negative when done before the clock started. */
  readonly takenMs: number | null;
  /** When it fell due, ms on the run clock. */
  readonly dueMs: number | null;
  /** actual − due; negative is time in hand. */
  readonly latenessMs: number | null;
  readonly dose: DoseCheck | null;
  /** 0 to 1, or null when it does not count (not due, censored, not recorded, unverified source). */
  readonly credit: number | null;
  readonly arithmetic: string;
  readonly evidence: readonly Evidence[];
  readonly cued: boolean;
  readonly unverifiedSource: boolean;
  readonly source: Source;
  /** What `credit` would be if the line counted; null when there is nothing to credit. Never added up. */
  readonly creditIfCounted?: number | null;
  /** The team's own account at the reconcile step, when they gave one. */
  readonly reconciled?: { readonly answer: 'done' | 'not-done' | 'unsure'; readonly atMs: number | null };
  /** Why the result is what it is, in one sentence. */
  readonly because?: string;
  /** Faculty judged otherwise, with a reason; `result` stays what the clock says. `credit` is for the adjusted number. */
  readonly adjusted?: {
    readonly result: ResultWord;
    readonly reason: string;
    readonly seq: number;
    readonly credit: number | null;
  };
}

export interface Clocks {
  readonly arrivalMs: number;
  readonly couldHaveSeenMs: number | null;
  readonly couldHaveSeenBecause: string | null;
  readonly didSeeMs: number | null;
  readonly didSeeBecause: string | null;
  readonly saidMs: number | null;
  readonly firstAdrenalineMs: number | null;
  readonly endMs: number;
}

export interface Scorecard {
  readonly caution: string;
  readonly runId: string;
  readonly packId: string;
  readonly packTitle: string;
  readonly take: number;
  readonly clocks: Clocks;
  /** The first adrenaline that counts as given, by the pack's own rules; `unseen`: nobody saw its volume and strength. */
  readonly adequateAdrenaline: { readonly atMs: number; readonly unseen: boolean } | null;
  readonly results: readonly TargetResult[];
  /** The step the pack says its illness turns on: a target's id and a few words. */
  readonly keyStep?: { readonly target: string; readonly says: string };
  readonly criticalFailures: readonly { readonly target: string; readonly text: string }[];
  /**
   * Critical lines that went wrong by a line no named clinician has checked yet: they fail no one, and are worth
   * talking about.
   */
  readonly forDiscussion?: readonly { readonly target: string; readonly text: string }[];
  /** Off by default on screen. */
  readonly score: { readonly fraction: number | null; readonly arithmetic: string };
  /** The same sum with what faculty judged otherwise; absent when they judged nothing otherwise. */
  readonly adjustedScore?: { readonly fraction: number | null; readonly arithmetic: string };
  readonly danger: {
    readonly below90PercentMs: number;
    readonly belowPressureLimitMs: number;
    readonly pressureLimitMmHg: number;
    readonly arrestMs: number;
    /** By the saturation the pack aims for: a patient kept at 88 to 92 % is in danger below 88 %, and above 92 % on oxygen. */
    readonly saturation: {
      /** Never above 90 %. */
      readonly belowPercent: number;
      readonly belowMs: number;
      /** Null: more oxygen than asked for is no danger to this patient. */
      readonly abovePercent: number | null;
      /** On added oxygen; 0 where `abovePercent` is null. */
      readonly aboveMs: number;
    };
  };
  readonly toReconcile: readonly {
    readonly target: string;
    readonly question: string;
    /** Already asked, and still open. */
    readonly answer?: 'done' | 'unsure';
  }[];
  readonly objectives: readonly {
    readonly id: string;
    readonly says: string;
    readonly result: 'seen' | 'not-seen' | 'not-known';
    readonly because?: string;
  }[];
}
