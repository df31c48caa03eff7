/** What is said and decided around a debrief. Events like any other: logged, undone and exported the same way. */

/** Where a written point of the debrief belongs. */
export type DebriefColumn = 'reaction' | 'moment' | 'plus' | 'delta' | 'take-home';

export type DebriefEventBody =
  /** During the run: what the team said a reassessment showed. */
  | { readonly kind: 'conclusion-spoken'; readonly says: 'better' | 'same' | 'worse'; readonly next?: string }
  /** How long the patient is to be watched, and from when. */
  | {
      readonly kind: 'observation-chosen';
      readonly hours: number;
      readonly from: 'onset' | 'last-dose' | 'resolution';
    }
  /** Faculty judge a line otherwise than the clock does; both stay. `result` is a result word of the debrief package. */
  | {
      readonly kind: 'line-adjusted';
      readonly target: string;
      readonly result: string;
      readonly reason: string;
      /** The take it is about; absent: the one it stands in. */
      readonly ofTake?: number;
    }
  /** Afterwards: whether something that no drill can know, and the pack's time of watching hangs on, is so. */
  | {
      readonly kind: 'circumstance-told';
      /** In the pack's own words (`needs`, `orIf` of its observation rules). */
      readonly circumstance: string;
      readonly answer: 'yes' | 'no' | 'not-known';
      /** The take it is about; absent: the one it stands in. */
      readonly ofTake?: number;
    }
  | { readonly kind: 'objective-judged'; readonly objective: string; readonly answer: 'met' | 'partly' | 'not-met' }
  | {
      readonly kind: 'debrief-note';
      readonly column: DebriefColumn;
      readonly text: string;
      /** The moment of the run it is about, ms. */
      readonly aboutMs?: number;
    }
  /** A phase of the debrief was opened; scores and targets stay hidden until the analysis is. */
  | {
      readonly kind: 'debrief-phase';
      readonly phase: string;
      /** The published structure the phase belongs to; absent: three phases. */
      readonly structure?: string;
      /** How long the whole debrief is meant to take. */
      readonly minutes?: number;
    };
