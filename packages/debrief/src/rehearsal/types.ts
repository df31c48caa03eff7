/** What rehearsing a scenario tells: the same on a page and on a command line. */
import type { VitalId } from '@breathline/patient';
import type { FilePlace } from '@breathline/scenario';

/** One expectation of a rehearsal and what came of it. */
export interface RehearsedCheck {
  readonly place: FilePlace;
  /** What was expected, in words. */
  readonly says: string;
  readonly found: string;
  readonly ok: boolean;
  /** How to mend it, where it does not hold. */
  readonly mend?: string;
  /** Of a vital: which, when, and what it was then; null = the rehearsal ends before. */
  readonly vital?: { readonly id: VitalId; readonly atMs: number; readonly value: number | null };
}

/** A state that was entered, with why. */
export interface RehearsedState {
  readonly atMs: number;
  readonly thread: string;
  readonly state: string;
  readonly title: string;
  readonly because: string;
}

/** Act of a rehearsal left out by its `unless` or `only-if`. */
export interface LeftOutAct {
  readonly atMs: number;
  readonly says: string;
  readonly why: string;
}

/** How one vital went: run-clock ms and value, fewer points than seconds; no dip is lost. */
export interface VitalCourse {
  readonly vital: VitalId;
  readonly label: string;
  readonly unit: string;
  readonly points: readonly (readonly [number, number])[];
}

/** One rehearsal, played. */
export interface RehearsedOne {
  readonly name: string;
  readonly place: FilePlace;
  readonly ok: boolean;
  readonly endedAtMs: number;
  readonly checks: readonly RehearsedCheck[];
  readonly skipped: readonly LeftOutAct[];
  readonly faults: readonly string[];
  readonly states: readonly RehearsedState[];
  readonly courses: readonly VitalCourse[];
  readonly hash: string;
}

/** A state of the scenario, and the rehearsals that come to it. */
export interface CoveredState {
  readonly place: FilePlace;
  readonly thread: string;
  readonly state: string;
  readonly title: string;
  readonly reachedIn: readonly string[];
  /** Of an ending: what became of the patient. */
  readonly ending?: string;
}

/** A rule that leads from one state to another, and how many rehearsals follow it. */
export interface CoveredRule {
  readonly place: FilePlace;
  readonly thread: string;
  readonly from: string;
  readonly to: string;
  /** Its condition in words. */
  readonly when: string;
  readonly takenIn: readonly string[];
}

/** Everything the rehearsals of a scenario tell. */
export interface RehearsalReport {
  readonly caution: string;
  readonly file: string;
  readonly scenario: string;
  readonly title: string;
  readonly packId: string;
  readonly packTitle: string;
  /** Every rehearsal that was played holds. */
  readonly ok: boolean;
  readonly rehearsals: readonly RehearsedOne[];
  readonly states: readonly CoveredState[];
  readonly rules: readonly CoveredRule[];
}
