/** Many runs, what they found wrong with the place, and who may be known: bodies and answers. */
import type { SystemProblem } from '@breathline/engine';

export const PROBLEM_CATEGORIES = [
  'kit',
  'drug',
  'layout',
  'phone',
  'staffing',
  'guideline',
  'other',
] as const satisfies readonly SystemProblem[];
export const PROBLEM_RISKS = ['low', 'moderate', 'high'] as const;
export const PROBLEM_STATUSES = ['open', 'fixed', 'retested', 'not-a-problem'] as const;

/** A fault of the place, followed until somebody has tried it again. */
export interface ProblemEntry {
  readonly id: string;
  readonly runId: string | null;
  /** The line of that run's log; left out or null when told by hand. */
  readonly seq?: number | null;
  readonly ward: string | null;
  readonly category: SystemProblem;
  readonly words: string;
  /** Picture of the run, by id. */
  readonly photo: string | null;
  readonly risk: (typeof PROBLEM_RISKS)[number] | null;
  /** A role ("ward manager"), never a name. */
  readonly ownerRole: string;
  /** ISO dates. */
  readonly dueOn: string | null;
  readonly fixedOn: string | null;
  readonly retestedOn: string | null;
  readonly status: (typeof PROBLEM_STATUSES)[number];
  /** ISO date and time. */
  readonly foundAt: string;
}

/** A pseudonym and, until it is erased, the name behind it. */
export interface PersonEntry {
  readonly pseudonym: string;
  /** Empty once erased. */
  readonly name: string;
  /** Agreed to be looked at alone. */
  readonly consent: boolean;
  readonly createdAt: string;
}

export interface RetentionSettings {
  /** Words of a run go so many days after its end; null = they stay. */
  readonly wordsDays: number | null;
  /**
   * So many days after their last run a name goes with every word that has it; runs older than that no longer say whose
   * they were. Scores stay. Null or left out = they stay.
   */
  readonly peopleDays?: number | null;
  /** Pictures of system problems go so many days after their run's end, the problem's words stay; left out = as the words. */
  readonly photosDays?: number | null;
}

/** What one sweep took away. */
export interface SweepNote {
  readonly at: string;
  readonly runs: number;
  readonly texts: number;
  readonly photos: number;
  /** People whose name went. */
  readonly people?: number;
  /** Runs that no longer say whose they were. */
  readonly unlinked?: number;
}
