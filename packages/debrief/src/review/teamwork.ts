/** What observers saw of the behaviours a scenario lists: ticks and, where they rate, ratings. */
import { ratingOf, type BehaviourRating, type BehaviourTick, type RunExport } from '@breathline/engine';
import { withdrawnSeqs } from '../prepare-log.ts';
import type { Review } from './types.ts';

/** The last standing word of one observer's place about one behaviour. */
export interface ObserverTick {
  readonly behaviour: string;
  readonly says: string;
  /** "Observer 1": by the order in which places were first heard from. No place is a person. */
  readonly observer: string;
  readonly seen: BehaviourTick['seen'];
  readonly rating: BehaviourRating | null;
}

/** Every observer's last word on each behaviour, in the order of the scenario's list. `run` is one take. */
export function observerTicks(run: RunExport): readonly ObserverTick[] {
  const withdrawn = withdrawnSeqs(run.events);
  const ticks = run.events.flatMap((event) =>
    event.kind === 'behaviour-ticked' && !withdrawn.has(event.seq)
      ? [{ ...event, seat: event.by.seat ?? event.by.role }]
      : [],
  );
  const seats = [...new Set(ticks.map(({ seat }) => seat))];
  return (run.definition.scenario.behaviours ?? []).flatMap(({ id, says }) =>
    seats.flatMap((seat, at) => {
      const last = ticks.findLast((tick) => tick.behaviour === id && tick.seat === seat);
      return last === undefined
        ? []
        : [{ behaviour: id, says, observer: `Observer ${at + 1}`, seen: last.seen, rating: ratingOf(last) }];
    }),
  );
}

/** The same, counted by behaviour; a behaviour nobody ticked stands with noughts. */
export function teamwork(run: RunExport): Review['teamwork'] {
  const all = observerTicks(run);
  return (run.definition.scenario.behaviours ?? []).map(({ id, says }) => {
    const own = all.filter(({ behaviour }) => behaviour === id);
    const count = (word: BehaviourTick['seen']): number => own.filter(({ seen }) => seen === word).length;
    return {
      behaviour: id,
      says,
      seen: count('seen'),
      partly: count('partly'),
      notSeen: count('not-seen'),
      ratings: own.flatMap(({ rating }) => (rating === null ? [] : [rating])),
    };
  });
}

/** "seen 1, in part 1, not seen 0; rated 4 and 3 of 5", or that nobody ticked it. */
export function teamworkText({ seen, partly, notSeen, ratings }: Review['teamwork'][number]): string {
  if (seen + partly + notSeen === 0) return 'not ticked';
  const rated = ratings.length === 0 ? '' : `; rated ${ratings.join(' and ')} of 5`;
  return `seen ${seen}, in part ${partly}, not seen ${notSeen}${rated}`;
}
