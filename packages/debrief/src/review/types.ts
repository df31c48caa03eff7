/** What a debrief looks at beyond the timed targets. All times are run-clock milliseconds. */
import type { BehaviourRating } from '@breathline/engine';
import type { Source } from '@breathline/scenario';
import type { CircumstanceAnswer } from '../prepare-log.ts';

/** Something was given; was the patient looked at again, was it said what that showed, and did something follow? */
export interface ReassessmentLoop {
  /** Event that opened the loop. */
  readonly seq: number | null;
  readonly atMs: number;
  readonly what: string;
  /** Findings looked for again after it. */
  readonly lookedAtMs: number | null;
  /** A vital shown or measured after it, fresh at the time. */
  readonly vitalAtMs: number | null;
  /** What it showed, said aloud. */
  readonly saidAtMs: number | null;
  readonly said: 'better' | 'same' | 'worse' | null;
  /** The next decision: an act or a spoken plan. */
  readonly nextAtMs: number | null;
  readonly closed: boolean;
  /** What alone was looked at again, in words; null where it was all, or nothing. */
  readonly lookedInPart: string | null;
  /** Steps that did not come within the time allowed, in words. */
  readonly missing: readonly string[];
  /** The run ended before the loop's time was up. */
  readonly cutShort: boolean;
}

/** From words to syringe to patient, for one dose. */
export interface PreparationLag {
  readonly what: string;
  readonly saidMs: number | null;
  readonly drawnUpMs: number | null;
  readonly givenMs: number;
  readonly saidToGivenMs: number | null;
  readonly drawnUpToGivenMs: number | null;
}

/** How oxygen was steered. Shares are of the time with an oximeter reading while oxygen was on. */
export interface OxygenTitration {
  readonly lowPercent: number;
  readonly highPercent: number;
  readonly belowMs: number;
  readonly withinMs: number;
  readonly aboveMs: number;
  /** Oxygen on and no oximeter reading. */
  readonly unseenMs: number;
  readonly text: string;
  /** Where the range comes from. */
  readonly source: Source;
}

export interface HarmEvent {
  readonly atMs: number;
  readonly kind:
    | 'arrest'
    | 'wrong-dose'
    | 'wrong-side'
    | 'against-guideline'
    | 'stood-in-shock'
    | 'very-high-pressure'
    | 'unsafe-rhythm';
  readonly text: string;
}

/** A line of what follows the emergency. */
export interface AftercareLine {
  readonly id: 'handover' | 'observation' | 'tryptase' | 'referral' | 'discharge-plan';
  readonly says: string;
  readonly result: 'done' | 'in-part' | 'below' | 'not-recorded' | 'no-rule';
  readonly text: string;
  readonly source: Source | null;
}

/** Something the time of watching hangs on and no drill can know, with what the team said of it. */
export interface Circumstance {
  /** In the pack's words. */
  readonly says: string;
  readonly answer: CircumstanceAnswer | null;
}

/** How the single number answers to its weights. */
export interface Sensitivity {
  readonly fraction: number;
  readonly low: number;
  readonly high: number;
  /** The line whose weight moves it most. */
  readonly mostBy: string | null;
  readonly text: string;
}

/** One arm of a published series beside this run. */
export interface Comparison {
  readonly id: string;
  readonly arm: string;
  readonly n: number;
  readonly medianMs: number;
  readonly lowerQuartileMs: number;
  readonly upperQuartileMs: number;
  /** What that study's clock ran from and to, and how this run's differs. */
  readonly clock: string;
  readonly runMs: number | null;
  readonly place: 'before-lower-quartile' | 'between-quartiles' | 'after-upper-quartile' | 'not-given';
  /** An earlier dose that is not set beside them, and why: a wrong one is not the first adrenaline. */
  readonly notCounted?: { readonly runMs: number; readonly says: string };
  readonly text: string;
  readonly source: Source;
}

export interface Review {
  readonly loops: readonly ReassessmentLoop[];
  readonly lags: readonly PreparationLag[];
  readonly oxygen: OxygenTitration | null;
  readonly harm: readonly HarmEvent[];
  readonly aftercare: readonly AftercareLine[];
  /** To be asked of the team: it could make the time of watching longer. */
  readonly circumstances: readonly Circumstance[];
  readonly sensitivity: Sensitivity | null;
  readonly comparisons: readonly Comparison[];
  /** The published rate of dose errors beside this run's; null where no published series fits. */
  readonly errorsBeside: string | null;
  /** What the run's pack leaves unjudged, in sentences. */
  readonly notJudged: readonly string[];
  /** Observers' ticks, by behaviour. */
  readonly teamwork: readonly {
    readonly behaviour: string;
    readonly says: string;
    readonly seen: number;
    readonly partly: number;
    readonly notSeen: number;
    /** 1 to 5, of those observers who rate. */
    readonly ratings: readonly BehaviourRating[];
  }[];
}
