/**
 * What a bedside score returns. Scores here describe a simulated patient for teaching: they are not for patient care,
 * and the charts themselves (with their escalation rules) prevail.
 */

export type ScoreId = 'news2' | 'pews' | 'westley' | 'pram' | 'shock-index';

/** One observation, what it was taken as, and the points it gives. */
export interface ScoreItem {
  readonly id: string;
  readonly label: string;
  /** What was scored, in words or digits with its unit. */
  readonly value: string;
  readonly points: number;
}

/** A score that could be worked out. */
export interface Scored {
  readonly ok: true;
  readonly score: ScoreId;
  readonly title: string;
  /** Sum of the points; for the shock index the ratio, to two decimals. */
  readonly total: number;
  /** Highest total possible; null where there is none. */
  readonly outOf: number | null;
  readonly items: readonly ScoreItem[];
  /** Short id of the band. */
  readonly band: string;
  readonly bandWords: string;
  /** Which version of the score or of its bands was used, where there is a choice. */
  readonly variant: string | null;
  /** What the chart escalates on besides the total, and how odd values were read. */
  readonly notes: readonly string[];
  readonly source: string;
}

export type RefusalCode = 'age' | 'missing' | 'bad-value' | 'not-applicable';

/** A score that can not be worked out from what was given: never a guess, never a partial total. */
export interface Refused {
  readonly ok: false;
  readonly score: ScoreId;
  readonly title: string;
  readonly code: RefusalCode;
  /** What was found, in words. */
  readonly because: string;
  /** What is needed instead. */
  readonly mend: string;
}

export type ScoreOutcome = Scored | Refused;

/** Alert, new confusion, responds to voice, responds to pain, unresponsive. */
export type Consciousness = 'alert' | 'confused' | 'voice' | 'pain' | 'unresponsive';
