/** What no rehearsal of a scenario ever comes to. */
import type { CoveredRule, CoveredState, RehearsalReport } from './types.ts';

/** Endings that no rehearsal comes to. */
export const endingsNeverReached = ({ states }: Pick<RehearsalReport, 'states'>): readonly CoveredState[] =>
  states.filter(({ ending, reachedIn }) => ending !== undefined && reachedIn.length === 0);

/** States that are no ending and that no rehearsal comes to. */
export const statesNeverReached = ({ states }: Pick<RehearsalReport, 'states'>): readonly CoveredState[] =>
  states.filter(({ ending, reachedIn }) => ending === undefined && reachedIn.length === 0);

/** Rules that no rehearsal ever follows. */
export const rulesNeverTaken = ({ rules }: Pick<RehearsalReport, 'rules'>): readonly CoveredRule[] =>
  rules.filter(({ takenIn }) => takenIn.length === 0);
