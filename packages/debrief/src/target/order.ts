/** Lines about order, and about what should not be done at all. */
import type { Condition, Target } from '@breathline/scenario';
import { conditionSeries, evaluateCondition } from '../condition.ts';
import { nthOf, type Act } from '../prepare-log.ts';
import { clockText, durationText, interventionName } from '../words.ts';
import { actEvidence } from './evidence.ts';
import { actsOf, none, type Scoring, type Verdict } from './scoring.ts';

/** Interventions that count as "the same medicine by the same route" as the one a rule names. */
function equivalents(scoring: Scoring, id: string): readonly string[] {
  const all = scoring.run.definition.library.interventions;
  const named = all.find((one) => one.id === id);
  if (!named?.drug) return [id];
  return all
    .filter((one) => one.id === id || (one.drug === named.drug && one.route === named.route))
    .map((one) => one.id);
}

/** In words, if `act` came before the first of what it must follow. The same moment counts as kept. */
export function brokenOrder(scoring: Scoring, mustFollow: string, act: Act): string | null {
  const { library } = scoring.run.definition;
  const first = actsOf(scoring.log, equivalents(scoring, mustFollow))[0];
  if (first && act.atMs >= first.atMs) return null;
  const before = interventionName(library, act.intervention);
  const after = interventionName(library, mustFollow);
  if (first) return `${before} at ${clockText(act.atMs)} came before ${after} at ${clockText(first.atMs)}`;
  return saidNotDone(scoring, mustFollow) ? `${before} at ${clockText(act.atMs)}, and ${after} was not given` : null;
}

/** Did the team say that none of the targets met by this intervention was done? */
function saidNotDone(scoring: Scoring, intervention: string): boolean {
  return scoring.pack.targets.some(
    (one) =>
      one.interventions.includes(intervention) &&
      !one.contraindicated &&
      nthOf(one) === 1 &&
      scoring.log.answers.get(one.id)?.answer === 'not-done',
  );
}

/** Kept, broken, or not to be told from this log. */
export function orderVerdict(scoring: Scoring, target: Target): Verdict {
  const mustFollow = target.mustFollow ?? '';
  const { library } = scoring.run.definition;
  const first = actsOf(scoring.log, equivalents(scoring, mustFollow))[0];
  const own = actsOf(scoring.log, target.interventions)[0] ?? null;
  const after = interventionName(library, mustFollow);
  const broken = own ? brokenOrder(scoring, mustFollow, own) : null;
  const firstEvidence = first ? [actEvidence(scoring, first)] : [];
  if (own && broken) {
    return {
      result: 'order-broken',
      because: broken,
      act: own,
      dueMs: null,
      timing: 0,
      arithmetic: 'Out of order: 0',
      evidence: firstEvidence,
    };
  }
  if (!first) {
    if (own) return none('not-recorded', `${after} is not in the log, so the order can't be told`, own, null);
    return none('not-due', `Neither this nor ${after} is in the log`, null, null);
  }
  const because = own
    ? `${interventionName(library, own.intervention)} at ${clockText(own.atMs)} came after ${after} at ${clockText(first.atMs)}`
    : `${after} at ${clockText(first.atMs)}; none recorded before it`;
  return {
    result: 'order-kept',
    because,
    act: own,
    dueMs: null,
    timing: 1,
    arithmetic: 'In order: 1',
    evidence: firstEvidence,
  };
}

/**
 * How long oxygen put on in time may stay on once it is ruled out, ms: somebody has to see the reading and turn it down.
 * As long as the first oxygen is left unjudged elsewhere. Common practice, no source.
 */
export const LEFT_ON_MS = 300_000;

/** Oxygen goes on acting until another device takes its place: the longest unbroken time beyond the allowance, or null. */
function leftOn(scoring: Scoring, target: Target): { act: Act; fromMs: number; forMs: number } | null {
  if (!target.onlyIf) return null;
  const { log, eyes, run } = scoring;
  const devices = new Set(run.definition.library.interventions.filter(({ oxygen }) => oxygen).map(({ id }) => id));
  const { track } = eyes.truth;
  const ruledOut = conditionSeries(target.onlyIf, eyes.truth);
  let longest: { act: Act; fromMs: number; forMs: number } | null = null;
  for (const act of actsOf(log, target.interventions)) {
    if (!devices.has(act.intervention)) continue;
    const next = log.acts.find((one) => one.atMs > act.atMs && devices.has(one.intervention));
    const offMs = Math.min(next?.atMs ?? log.endMs, log.endMs);
    let since: number | null = null;
    track.forEach((row, index) => {
      if (row.atMs < act.atMs || row.atMs > offMs) return;
      since = ruledOut[index] === true ? (since ?? row.atMs) : null;
      const forMs = since === null ? 0 : row.atMs - since;
      if (since !== null && forMs >= LEFT_ON_MS && forMs > (longest?.forMs ?? 0))
        longest = { act, fromMs: since, forMs };
    });
  }
  return longest;
}

/** Until when, ms, something ruled out for a while after a dose stays so, where that is past the end of the run; else null. */
function ruledOutPastEnd(scoring: Scoring, condition: Condition): { act: Act; untilMs: number } | null {
  const { log } = scoring;
  if (condition.kind === 'all') {
    return condition.of.map((one) => ruledOutPastEnd(scoring, one)).find((one) => one !== null) ?? null;
  }
  if (condition.kind !== 'given' || condition.withinMs === undefined) return null;
  const act = actsOf(log, condition.interventions).at(-1);
  const untilMs = act ? act.atMs + condition.withinMs : 0;
  return act && untilMs > log.endMs ? { act, untilMs } : null;
}

/** Done although ruled out, or not; for oxygen, also left on while ruled out. */
export function contraindicatedVerdict(scoring: Scoring, target: Target): Verdict {
  const { log, eyes, run } = scoring;
  const wrong = actsOf(log, target.interventions).find(
    (act) => !target.onlyIf || evaluateCondition(target.onlyIf, eyes.truth, act.atMs),
  );
  if (wrong) {
    const name = interventionName(run.definition.library, wrong.intervention);
    return {
      result: 'contraindicated-given',
      because: `${name} at ${clockText(wrong.atMs)}`,
      act: wrong,
      dueMs: null,
      timing: 0,
      arithmetic: 'Should not have been done: 0',
    };
  }
  const left = leftOn(scoring, target);
  if (left) {
    const name = interventionName(run.definition.library, left.act.intervention);
    return {
      result: 'contraindicated-given',
      because: `${name} left on for ${durationText(left.forMs)} from ${clockText(left.fromMs)}, while it was ruled out`,
      act: left.act,
      dueMs: null,
      timing: 0,
      arithmetic: 'Should not have been left on: 0',
    };
  }
  const recorded = actsOf(log, target.interventions).length > 0;
  const answer = log.answers.get(target.id);
  if (answer?.answer === 'done') {
    return {
      result: 'contraindicated-given',
      because: "Done, by the team's own account",
      act: null,
      dueMs: null,
      timing: 0,
      arithmetic: 'Should not have been done: 0',
    };
  }
  const open = target.onlyIf ? ruledOutPastEnd(scoring, target.onlyIf) : null;
  if (open) {
    const after = interventionName(run.definition.library, open.act.intervention);
    const because = `The run ended at ${clockText(log.endMs)}; after ${after} at ${clockText(open.act.atMs)} this holds until ${clockText(open.untilMs)}`;
    return { ...none('censored', because, null, null), evidence: [actEvidence(scoring, open.act)] };
  }
  return {
    ...none('met', recorded ? 'Not while it was ruled out' : 'None recorded', null, null),
    arithmetic: 'Avoiding harm earns no points; doing it would stand out',
  };
}
