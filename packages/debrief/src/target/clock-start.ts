/** When a target's own clock starts. */
import type { Target } from '@breathline/scenario';
import { conditionValues, firstHeldMs } from '../condition.ts';
import { nthOf } from '../prepare-log.ts';
import { clockText, interventionName } from '../words.ts';
import { actsOf, type Scoring, type Start } from './scoring.ts';

/** The start of the clock that the pack names for this target, ms on the run clock. */
export function clockStart(scoring: Scoring, target: Target): Start {
  const { clocks } = scoring;
  const at = (atMs: number | null, yes: string, no: string, seq: number | null = null): Start => ({
    atMs,
    because: atMs === null ? no : yes,
    evidence: atMs === null ? [] : [{ seq, atMs, text: yes }],
  });
  switch (target.clock) {
    case 'arrival':
      return at(clocks.arrivalMs, 'From arrival', '');
    case 'could-have-seen':
      return at(
        clocks.couldHaveSeenMs,
        `From when it could have been seen: ${clocks.couldHaveSeenBecause ?? ''}`,
        'The signs never met the recognition criteria',
      );
    case 'did-see':
      return at(
        clocks.didSeeMs,
        `From when it was seen: ${clocks.didSeeBecause ?? ''}`,
        'Nothing shown or examined met the recognition criteria',
      );
    case 'shock-visible': {
      const when = scoring.pack.shockVisible;
      const atMs = when ? firstHeldMs(when, scoring.eyes.couldSee) : null;
      const values = when && atMs !== null ? conditionValues(when, scoring.eyes.couldSee, atMs) : '';
      return at(atMs, `From when shock could have been seen${values ? `: ${values}` : ''}`, 'Shock was never visible');
    }
    case 'first-dose':
    case 'previous-dose': {
      const stream = doseStream(target);
      const nth = target.clock === 'first-dose' ? 1 : nthOf(target) - 1;
      const act = actsOf(scoring.log, stream)[nth - 1];
      const name = interventionName(scoring.run.definition.library, stream[0] ?? '');
      const which = nth === 1 ? 'the first dose' : `dose ${nth}`;
      return at(
        act?.atMs ?? null,
        `From ${which}: ${name} at ${clockText(act?.atMs ?? 0)}`,
        `No earlier dose recorded (${name})`,
        act?.seq ?? null,
      );
    }
  }
}

/** The interventions whose doses start a dose clock: the target's own alternatives where it repeats one of them. */
function doseStream(target: Target): readonly string[] {
  const clock = target.clockIntervention;
  if (clock === undefined || target.interventions.includes(clock)) return target.interventions;
  return [clock];
}
