/**
 * How far observers of the same runs agree about the same behaviours. What an observer ticked last about a behaviour is
 * their rating; a behaviour somebody did not tick is no rating of theirs.
 */
import { effectiveEvents, ratingOf, type BehaviourRating as Rating, type RunExport } from '@breathline/engine';
import { cohenKappa, fleissKappa, intraclass, weightedKappa, type Agreement } from './agreement.ts';

export type Tick = 'seen' | 'partly' | 'not-seen';
const TICKS: readonly Tick[] = ['seen', 'partly', 'not-seen'];

/** One behaviour of one run, and what each observer said of it, in the order their places were first heard from. */
export interface BehaviourRating {
  readonly behaviour: string;
  /** By seat; no seat is a person. */
  readonly bySeat: Readonly<Record<string, Tick>>;
  /** 1 to 5, of the seats whose last tick carried a rating; absent where none did. */
  readonly ratingBySeat?: Readonly<Record<string, Rating>>;
}

/** Each behaviour of a run's scored take that somebody ticked. */
export function behaviourRatings(run: RunExport): readonly BehaviourRating[] {
  const found = new Map<string, { bySeat: Record<string, Tick>; ratings: Record<string, Rating | null> }>();
  for (const event of effectiveEvents(run.events, run.scoredTake)) {
    if (event.kind !== 'behaviour-ticked') continue;
    const seat = event.by.seat ?? event.by.role;
    const own = found.get(event.behaviour) ?? { bySeat: {}, ratings: {} };
    own.bySeat[seat] = event.seen;
    own.ratings[seat] = ratingOf(event);
    found.set(event.behaviour, own);
  }
  return [...found].map(([behaviour, { bySeat, ratings }]) => {
    const rated = Object.entries(ratings).filter((entry): entry is [string, Rating] => entry[1] !== null);
    return rated.length === 0 ? { behaviour, bySeat } : { behaviour, bySeat, ratingBySeat: Object.fromEntries(rated) };
  });
}

export interface ObserverAgreement {
  /** Behaviours rated by exactly two observers. */
  readonly two: Agreement;
  /** The same with what lies between counted as between: seen, partly and not seen are in order. */
  readonly inOrder: Agreement;
  /** Behaviours rated by three or more, of the commonest count of observers. */
  readonly more: Agreement;
  /**
   * Ratings of 1 to 5 by two observers of the same behaviour of the same run: two-way random, absolute agreement, single
   * measure (Shrout & Fleiss 1979, ICC(2,1)), as any observer of the place might have sat there and their ratings should
   * be the same, not only move together. A tick is no measure and stands with the kappas.
   */
  readonly ratings: Agreement;
}

/** How the model behind `ratings` is called in full. */
export const RATING_MODEL = 'two-way random, absolute agreement, single measure';

/** Over many runs, each a list of ratings. Says why where there is no number. */
export function observerAgreement(runs: readonly (readonly BehaviourRating[])[]): ObserverAgreement {
  const rated = runs.flat().map(({ bySeat }) => Object.values(bySeat));
  const table = TICKS.map(() => TICKS.map(() => 0));
  for (const [first, second, ...others] of rated) {
    if (first === undefined || second === undefined || others.length > 0) continue;
    table[TICKS.indexOf(first)]![TICKS.indexOf(second)]! += 1;
  }
  const many = rated.filter(({ length }) => length >= 3);
  const commonest = mode(many.map(({ length }) => length));
  const counts = many
    .filter(({ length }) => length === commonest)
    .map((ticks) => TICKS.map((tick) => ticks.filter((one) => one === tick).length));
  return {
    two: cohenKappa(table),
    inOrder: weightedKappa(table),
    more: fleissKappa(counts),
    ratings: intraclass(ratingsOfPairs(runs), 'ICC(2,1)'),
  };
}

/** For each run, the two observers who rated the most behaviours together: one row a behaviour. */
function ratingsOfPairs(runs: readonly (readonly BehaviourRating[])[]): number[][] {
  return runs.flatMap((run) => {
    const rated = run.flatMap(({ ratingBySeat }) => (ratingBySeat === undefined ? [] : [ratingBySeat]));
    const seats = [...new Set(rated.flatMap((one) => Object.keys(one)))].sort();
    let best: number[][] = [];
    for (const [at, first] of seats.entries()) {
      for (const second of seats.slice(at + 1)) {
        const rows = rated.flatMap(({ [first]: a, [second]: b }) =>
          a === undefined || b === undefined ? [] : [[a, b]],
        );
        if (rows.length > best.length) best = rows;
      }
    }
    return best;
  });
}

function mode(values: readonly number[]): number {
  const counts = new Map<number, number>();
  for (const value of values) counts.set(value, (counts.get(value) ?? 0) + 1);
  return [...counts].sort(([a, n], [b, m]) => m - n || a - b)[0]?.[0] ?? 0;
}
