/**
 * An observer's optional rating of one behaviour, from 1 to 5. Each step is anchored in how often the behaviour was there
 * when it was called for and whether somebody had to prompt it: our own words, `common practice, no source`.
 */
import type { EventBody } from '../types.ts';
import type { BehaviourRating } from './types.ts';

export type BehaviourTick = Extract<EventBody, { readonly kind: 'behaviour-ticked' }>;

/** Lowest first. `seen` is the tick that the rating stands for as well. */
export const RATING_STEPS: readonly {
  readonly rating: BehaviourRating;
  readonly seen: BehaviourTick['seen'];
  readonly says: string;
}[] = [
  { rating: 1, seen: 'not-seen', says: 'Called for and never there' },
  { rating: 2, seen: 'partly', says: 'There only when somebody prompted it' },
  { rating: 3, seen: 'partly', says: 'There about half the times it was called for' },
  { rating: 4, seen: 'seen', says: 'There most times, with a slip that somebody put right' },
  { rating: 5, seen: 'seen', says: 'There every time, without a prompt' },
];

/** The tick that belongs to a rating. */
export const seenOfRating = (rating: BehaviourRating): BehaviourTick['seen'] =>
  RATING_STEPS.find((step) => step.rating === rating)!.seen;

/** The rating of a tick; null where none was given, or where it says other than the tick beside it. */
export const ratingOf = ({ seen, rating }: Pick<BehaviourTick, 'seen' | 'rating'>): BehaviourRating | null =>
  rating !== undefined && seenOfRating(rating) === seen ? rating : null;
