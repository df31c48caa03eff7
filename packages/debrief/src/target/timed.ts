/** Lines with a time: met, early, late, not due, not recorded, missed, or cut short by the end. */
import { deviceUseText } from '@breathline/patient';
import type { Target } from '@breathline/scenario';
import { evaluateCondition, firstHeldMs } from '../condition.ts';
import { creditForTime } from '../credit.ts';
import { activeMsBetween, addActiveMs, nthOf, type Act } from '../prepare-log.ts';
import type { ResultWord } from '../types.ts';
import { clockText, durationText, plainNumber } from '../words.ts';
import { brokenOrder } from './order.ts';
import { spaceVerdict, wrongSideActs, wrongSideVerdict } from './place.ts';
import { actsOf, none, type Scoring, type Start, type Verdict } from './scoring.ts';

/** A line timed from its own clock; one without a due time is only done or not. */
export function timedVerdict(scoring: Scoring, target: Target, start: Start): Verdict {
  const { log } = scoring;
  if (target.space !== undefined) return spaceVerdict(scoring, target);
  const wrong = wrongSideActs(scoring.run, log, target);
  const act = actsOf(log, target.interventions).filter((one) => !wrong.includes(one))[nthOf(target) - 1] ?? null;
  const onWrongSide = act === null && wrong.length > 0;
  const broken = act && target.mustFollow !== undefined ? brokenOrder(scoring, target.mustFollow, act) : null;
  if (act && broken) {
    return { result: 'order-broken', because: broken, act, dueMs: null, timing: 0, arithmetic: 'Out of order: 0' };
  }
  if (onWrongSide && (target.dueMs === undefined || start.atMs === null)) return wrongSideVerdict(scoring, wrong, null);
  if (target.dueMs === undefined) return untimedVerdict(scoring, target, act);
  if (start.atMs === null) {
    // Treating before the signs are clear is no gap in care: only a branch that never came makes a line not due.
    if (act && !target.onlyIf && (target.clock === 'could-have-seen' || target.clock === 'did-see')) {
      return {
        result: 'met',
        because: `Done at ${clockText(act.atMs)}, before the signs met the recognition criteria`,
        act,
        dueMs: null,
        timing: 1,
        arithmetic: 'Done before its clock started: 1',
      };
    }
    const done = act ? `Done at ${clockText(act.atMs)}. ` : '';
    return none('not-due', `${done}${start.because}, so it never fell due`, act, null);
  }
  const nominalDue = addActiveMs(log.pauses, start.atMs, target.dueMs);
  const due = dueAt(scoring, target, start.atMs, nominalDue, act);
  if (due === 'not-due') {
    return none(
      'not-due',
      `What makes it due did not hold by the time it would have been (${clockText(nominalDue)})`,
      act,
      null,
    );
  }
  if (onWrongSide) return wrongSideVerdict(scoring, wrong, due === 'not-yet' ? nominalDue : due);
  if (due === 'not-yet' || (act === null && due > log.endMs)) {
    const when = due === 'not-yet' ? nominalDue : due;
    return none(
      'censored',
      `The run ended at ${clockText(log.endMs)}, before it was due at ${clockText(when)}`,
      null,
      when,
    );
  }
  if (act === null) return notLogged(scoring, target, due);

  const taken = activeMsBetween(log.pauses, start.atMs, act.atMs);
  const effective = activeMsBetween(log.pauses, start.atMs, due);
  const limit = target.limitMs === undefined ? undefined : effective + (target.limitMs - target.dueMs);
  const timing = creditForTime(taken, effective, limit);
  const early = target.notBeforeMs !== undefined && taken < target.notBeforeMs;
  const lateness = activeMsBetween(log.pauses, due, act.atMs);
  const result: ResultWord = early ? 'early' : lateness > 0 ? 'late' : 'met';
  const because = early
    ? `Done ${durationText(taken)} after its clock started; not before ${durationText(target.notBeforeMs ?? 0)}`
    : lateness > 0
      ? `${durationText(lateness)} late: done at ${clockText(act.atMs)}, due by ${clockText(due)}`
      : `Done at ${clockText(act.atMs)}, due by ${clockText(due)}`;
  return { result, because, act, dueMs: due, timing, arithmetic: timingText(taken, effective, limit, timing) };
}

/**
 * When the target fell due. With a condition attached, it is due from the first moment at or after the opening of its
 * window that the condition holds (and never before its own due time). Due-ness reads the patient, not the act, so
 * acting later can't make a line vanish; an act given while the condition held is judged even if it then cured it.
 */
function dueAt(
  scoring: Scoring,
  target: Target,
  startMs: number,
  nominalDue: number,
  act: Act | null,
): number | 'not-due' | 'not-yet' {
  if (!target.onlyIf) return nominalDue;
  const { log, eyes } = scoring;
  const opens = addActiveMs(log.pauses, startMs, Math.min(target.notBeforeMs ?? target.dueMs ?? 0, target.dueMs ?? 0));
  const window = firstHeldMs(target.onlyIf, eyes.truth, opens, log.endMs);
  if (window !== null) return Math.max(nominalDue, window);
  if (act && evaluateCondition(target.onlyIf, eyes.truth, act.atMs)) return nominalDue;
  return log.endMs < nominalDue ? 'not-yet' : 'not-due';
}

function untimedVerdict(scoring: Scoring, target: Target, act: Act | null): Verdict {
  if (act) {
    return {
      result: 'met',
      because: `Done at ${clockText(act.atMs)}`,
      act,
      dueMs: null,
      timing: 1,
      arithmetic: 'Done: 1',
    };
  }
  // A line without a time needs none: the team's word is enough, except for a dose, which nobody then saw.
  if (scoring.log.answers.get(target.id)?.answer === 'done') {
    const because = "Done, by the team's own account";
    if (target.doseRule !== undefined) return none('given-unverified', because, null, null);
    return { result: 'met', because, act: null, dueMs: null, timing: 1, arithmetic: 'Done: 1' };
  }
  return notLogged(scoring, target, null);
}

/** Nothing in the log. Only the team's own "not done" makes that a miss, or a device that is known to have failed. */
function notLogged(scoring: Scoring, target: Target, due: number | null): Verdict {
  const answer = scoring.log.answers.get(target.id);
  const dueWords = due === null ? '' : ` (due by ${clockText(due)})`;
  const tried = scoring.log.undelivered.find((one) => target.interventions.includes(one.intervention));
  const sofar = scoring.log.acts.filter((one) => target.interventions.includes(one.intervention)).length;
  if (tried && sofar + 1 === nthOf(target) && answer?.answer !== 'done') {
    const why = deviceUseText(tried.given?.deviceUse) ?? 'nothing was delivered';
    return {
      result: 'missed',
      because: `Tried at ${clockText(tried.atMs)}, but ${why}; no dose got in after that${dueWords}`,
      act: null,
      dueMs: due,
      timing: 0,
      arithmetic: 'Nothing delivered: 0',
    };
  }
  if (answer?.answer === 'not-done') {
    return {
      result: 'missed',
      because: `Not done, by the team's own account${dueWords}`,
      act: null,
      dueMs: due,
      timing: 0,
      arithmetic: 'Not done: 0',
    };
  }
  if (answer?.answer === 'done') {
    return none('not-recorded', `Done, by the team's own account, but no usable time was given${dueWords}`, null, due);
  }
  const words = answer ? 'The team were not sure' : 'Nothing in the log';
  return none('not-recorded', `${words}${dueWords}; that is not the same as not done`, null, due);
}

function timingText(taken: number, target: number, limit: number | undefined, credit: number): string {
  const words = `taken ${durationText(taken)}, target ${durationText(target)}`;
  if (taken <= target) return `${words}: 1`;
  if (limit === undefined || limit <= target) return `${words}, no fade: 0`;
  if (taken >= limit) return `${words}, limit ${durationText(limit)} passed: 0`;
  const [l, t, d] = [limit, taken, target].map((ms) => plainNumber(ms / 1000));
  return `${words}, limit ${durationText(limit)}: (${l} − ${t}) ÷ (${l} − ${d}) = ${credit.toFixed(2)}`;
}
