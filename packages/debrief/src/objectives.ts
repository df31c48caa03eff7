/** Which of a scenario's objectives the run showed. */
import type { RunExport } from '@breathline/engine';
import type { Scorecard, TargetResult } from './types.ts';

type ObjectiveResult = Scorecard['objectives'][number];

/**
 * Seen, not seen, or not known. What a line no clinician has checked calls early, late or wrongly dosed stays "not known"; a
 * plain fact (not done, out of order) does not depend on the line.
 */
export function objectiveResults(run: RunExport, results: readonly TargetResult[], endMs: number): ObjectiveResult[] {
  return run.definition.scenario.objectives.map((objective) => {
    const base = { id: objective.id, says: objective.says };
    const { target, state, question } = objective.seenBy;
    if (target !== undefined) {
      const found = results.find((one) => one.target.id === target);
      if (!found) return { ...base, result: 'not-known', because: `The pack has no target “${target}”` };
      // Done in time in a wrong dose, or one nobody saw, is not what was asked for: the dose is said with the time.
      const because =
        (found.result === 'given-wrong-dose' || found.result === 'given-unverified') && found.dose
          ? `${found.because}. ${found.dose.text}`
          : found.because;
      const result = byTarget(found);
      // A time beside "not known" would read as a contradiction without the reason.
      const why =
        result === 'not-known' && found.unverifiedSource && JUDGED_BY_ITS_LINE.has(found.result) ? UNCHECKED : '';
      return { ...base, result, because: why === '' ? because : `${(because ?? '').replace(/\.$/, '')}${why}` };
    }
    if (state !== undefined) {
      const entered = run.derived.some(
        (one) => one.kind === 'state-entered' && one.state === state && one.atMs <= endMs,
      );
      const tracked = run.track.some((row) => row.atMs <= endMs && Object.values(row.states).includes(state));
      const { threads } = run.definition.scenario;
      const title = threads.flatMap(({ states }) => states).find(({ id }) => id === state)?.title ?? state;
      return entered || tracked
        ? { ...base, result: 'seen', because: `The state “${title}” was reached` }
        : { ...base, result: 'not-seen', because: `The state “${title}” was not reached` };
    }
    return { ...base, result: 'not-known', because: question ?? 'For the group to judge' };
  });
}

/** Results that rest on a line's own numbers. */
const JUDGED_BY_ITS_LINE: ReadonlySet<TargetResult['result']> = new Set(['early', 'late', 'given-wrong-dose']);
const UNCHECKED = '. No named clinician has checked that line, so it says nothing against anybody';

function byTarget(found: TargetResult): ObjectiveResult['result'] {
  const doubtful = found.unverifiedSource ? 'not-known' : 'not-seen';
  switch (found.result) {
    case 'met':
    case 'order-kept':
      return 'seen';
    // A second dose too soon is no answer to a look again: its time was not kept any more than a late one's.
    case 'early':
    case 'late':
    case 'given-wrong-dose':
      return doubtful;
    case 'missed':
    case 'order-broken':
    case 'contraindicated-given':
      return 'not-seen';
    default:
      return 'not-known';
  }
}
