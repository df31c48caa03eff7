/**
 * How far observers of the same runs agree about the same behaviours. What an observer ticked last about a behaviour is
 * their rating; a behaviour somebody did not tick is no rating of theirs.
 */
import { effectiveEvents, type RunExport } from '@breathline/engine';
import { cohenKappa, fleissKappa, intraclass, weightedKappa, type Agreement } from './agreement.ts';

export type Tick = 'seen' | 'partly' | 'not-seen';
const TICKS: readonly Tick[] = ['seen', 'partly', 'not-seen'];
const POINTS: Readonly<Record<Tick, number>> = { seen: 2, partly: 1, 'not-seen': 0 };

/** One behaviour of one run, and what each observer said of it, in the order their places were first heard from. */
export interface BehaviourRating {
  readonly behaviour: string;
  /** By seat; no seat is a person. */
  readonly bySeat: Readonly<Record<string, Tick>>;
}

/** Each behaviour of a run's scored take that somebody ticked. */
export function behaviourRatings(run: RunExport): readonly BehaviourRating[] {
  const found = new Map<string, Record<string, Tick>>();
  for (const event of effectiveEvents(run.events, run.scoredTake)) {
    if (event.kind !== 'behaviour-ticked') continue;
    const seat = event.by.seat ?? event.by.role;
    const bySeat = found.get(event.behaviour) ?? {};
    bySeat[seat] = event.seen;
    found.set(event.behaviour, bySeat);
  }
  return [...found].map(([behaviour, bySeat]) => ({ behaviour, bySeat }));
}

export interface ObserverAgreement {
  /** Behaviours rated by exactly two observers. */
  readonly two: Agreement;
  /** The same with what lies between counted as between: seen, partly and not seen are in order. */
  readonly inOrder: Agreement;
  /** Behaviours rated by three or more, of the commonest count of observers. */
  readonly more: Agreement;
  /**
   * Each observer's points for a run (seen 2, partly 1, not seen 0 over the behaviours both rated). A sum over a list is
   * near enough to a measure for an intraclass correlation; one tick is not, and stands with the kappas. One-way form
   * (Shrout & Fleiss 1979, their case 1): other observers watch other runs, so that how strict one is can not be told
   * from how the run went; the form takes that as disagreement, and is the lowest of the six.
   */
  readonly points: Agreement;
}

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
    points: intraclass(pointsOfPairs(runs), 'ICC(1,1)'),
  };
}

/** For each run, the points of the two observers who share the most behaviours. */
function pointsOfPairs(runs: readonly (readonly BehaviourRating[])[]): number[][] {
  return runs.flatMap((run) => {
    const seats = [...new Set(run.flatMap(({ bySeat }) => Object.keys(bySeat)))].sort();
    let best: { shared: readonly BehaviourRating[]; pair: readonly [string, string] } | null = null;
    for (const [at, one] of seats.entries()) {
      for (const other of seats.slice(at + 1)) {
        const shared = run.filter(({ bySeat }) => one in bySeat && other in bySeat);
        if (shared.length > (best?.shared.length ?? 0)) best = { shared, pair: [one, other] };
      }
    }
    if (best === null) return [];
    const { shared, pair } = best;
    // A share, so that runs with longer lists do not differ for that alone.
    return [pair.map((seat) => shared.reduce((so, { bySeat }) => so + POINTS[bySeat[seat]!], 0) / (2 * shared.length))];
  });
}

function mode(values: readonly number[]): number {
  const counts = new Map<number, number>();
  for (const value of values) counts.set(value, (counts.get(value) ?? 0) + 1);
  return [...counts].sort(([a, n], [b, m]) => m - n || a - b)[0]?.[0] ?? 0;
}
