/** One target of a pack against one run. */
import { deviceUseText } from '@breathline/patient';
import type { RunExport } from '@breathline/engine';
import type { GuidelinePack, Target } from '@breathline/scenario';
import { runPatient, type Eyes } from './clocks.ts';
import { evaluateCondition, firstHeldMs, conditionValues } from './condition.ts';
import { creditForTime, doseShare } from './credit.ts';
import { checkDose } from './dose-check.ts';
import { activeMsBetween, addActiveMs, nthOf, type Act, type PreparedLog } from './prepare-log.ts';
import type { Clocks, DoseCheck, Evidence, ResultWord, TargetResult } from './types.ts';
import { amountText, clockText, durationText, interventionName, plainNumber } from './words.ts';

export interface Scoring {
  readonly run: RunExport;
  readonly pack: GuidelinePack;
  readonly log: PreparedLog;
  readonly clocks: Clocks;
  readonly eyes: Eyes;
}

interface Verdict {
  readonly result: ResultWord;
  readonly because: string;
  readonly act: Act | null;
  readonly dueMs: number | null;
  /** Timing credit before the dose is looked at; null = nothing to credit. */
  readonly timing: number | null;
  readonly arithmetic: string;
  readonly evidence?: readonly Evidence[];
}

interface Start {
  readonly atMs: number | null;
  readonly because: string;
  readonly evidence: readonly Evidence[];
}

/** A dose nobody saw is unverified; a critical error of dose is never "met". */
function withDose(result: ResultWord, dose: DoseCheck | null): ResultWord {
  if (dose?.verdict === 'unverified') return 'given-unverified';
  return dose?.verdict === 'critical-error' ? 'given-wrong-dose' : result;
}

/** Scores one target. Order-only and must-not lines have no due time; the rest are timed from their own clock. */
export function targetResult(scoring: Scoring, target: Target): TargetResult {
  const start = clockStart(scoring, target);
  const verdict = target.contraindicated
    ? contraindicatedVerdict(scoring, target)
    : target.dueMs === undefined && target.mustFollow !== undefined
      ? orderVerdict(scoring, target)
      : timedVerdict(scoring, target, start);
  const { act } = verdict;
  const dose = act && target.doseRule !== undefined ? doseOf(scoring, target, act) : null;
  const timely = verdict.result === 'met' || verdict.result === 'early' || verdict.result === 'late';
  const result: ResultWord = timely ? withDose(verdict.result, dose) : verdict.result;
  const unverifiedSource = !target.source.checkedBy;
  const credit = creditOf(verdict, dose);
  const due = verdict.dueMs;
  const answer = scoring.log.answers.get(target.id);
  return {
    target,
    result,
    clockStartMs: start.atMs,
    clockStartBecause: start.because,
    actualMs: act?.atMs ?? null,
    takenMs: act && start.atMs !== null ? activeMsBetween(scoring.log.pauses, start.atMs, act.atMs) : null,
    dueMs: due,
    latenessMs: act && due !== null ? activeMsBetween(scoring.log.pauses, due, act.atMs) : null,
    dose,
    credit: unverifiedSource ? null : credit,
    creditIfCounted: credit,
    arithmetic: arithmeticText(verdict, dose, credit, unverifiedSource),
    because: verdict.because,
    evidence: [
      ...start.evidence,
      ...(target.contraindicated ? [] : failedTries(scoring, target, act)),
      ...(act ? preparation(scoring, act) : []),
      ...(act ? [actEvidence(scoring, act)] : []),
      ...(verdict.evidence ?? []),
      ...(answer ? [answerEvidence(answer)] : []),
    ],
    cued: act !== null && cuedBefore(scoring, start.atMs, act.atMs),
    unverifiedSource,
    source: target.source,
    ...(answer ? { reconciled: { answer: answer.answer, atMs: answer.atMs } } : {}),
  };
}

/** Was it critical, did it go wrong, and is that beyond what the line allows? In words, or null. */
export function criticalFailureText(one: TargetResult): string | null {
  if (!one.target.critical) return null;
  if (one.dose?.verdict === 'critical-error') return `${one.target.says}: ${one.dose.text}`;
  const beyondLimit = one.result === 'late' && one.creditIfCounted === 0;
  const wrong = one.result === 'missed' || one.result === 'order-broken' || one.result === 'contraindicated-given';
  return wrong || beyondLimit ? `${one.target.says}: ${one.because ?? one.result}` : null;
}

// ------------------------------------------------------------------ clocks

function clockStart(scoring: Scoring, target: Target): Start {
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

function actsOf(log: PreparedLog, interventions: readonly string[]): readonly Act[] {
  return log.acts.filter((act) => interventions.includes(act.intervention));
}

// ------------------------------------------------------------------ timed

function timedVerdict(scoring: Scoring, target: Target, start: Start): Verdict {
  const { log } = scoring;
  const act = actsOf(log, target.interventions)[nthOf(target) - 1] ?? null;
  const broken = act && target.mustFollow !== undefined ? brokenOrder(scoring, target.mustFollow, act) : null;
  if (act && broken) {
    return { result: 'order-broken', because: broken, act, dueMs: null, timing: 0, arithmetic: 'Out of order: 0' };
  }
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
  return notLogged(scoring, target, null);
}

/** Injectors tried for this line, before the dose that counted, that put nothing into the patient. */
function failedTries(scoring: Scoring, target: Target, act: Act | null): Evidence[] {
  return scoring.log.undelivered
    .filter((one) => target.interventions.includes(one.intervention) && (act === null || one.atMs <= act.atMs))
    .map((one) => actEvidence(scoring, one));
}

/** Nothing in the log. Only the team's own "not done" makes that a miss, or a device that is known to have failed. */
function notLogged(scoring: Scoring, target: Target, due: number | null): Verdict {
  const answer = scoring.log.answers.get(target.id);
  const dueWords = due === null ? '' : `, due by ${clockText(due)}`;
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
  return none('not-recorded', `${words}; that is not the same as not done${dueWords}`, null, due);
}

function none(result: ResultWord, because: string, act: Act | null, dueMs: number | null): Verdict {
  return { result, because, act, dueMs, timing: null, arithmetic: 'Does not count' };
}

// ------------------------------------------------------------------ order and must-not

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
function brokenOrder(scoring: Scoring, mustFollow: string, act: Act): string | null {
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

function orderVerdict(scoring: Scoring, target: Target): Verdict {
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

function contraindicatedVerdict(scoring: Scoring, target: Target): Verdict {
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
  return {
    ...none('met', recorded ? 'Not while it was ruled out' : 'None recorded', null, null),
    arithmetic: 'Avoiding harm earns no points; doing it would stand out',
  };
}

// ------------------------------------------------------------------ dose, credit, evidence

function doseOf(scoring: Scoring, target: Target, act: Act): DoseCheck {
  const { run, pack } = scoring;
  const { ageYears, weightKg } = runPatient(run);
  const intervention = run.definition.library.interventions.find((one) => one.id === act.intervention);
  const named = pack.doses.find((one) => one.id === target.doseRule);
  const own = pack.doses.find((one) => one.intervention === act.intervention);
  const rule = named?.intervention === act.intervention ? named : (own ?? named ?? null);
  return checkDose(
    {
      amount: act.given?.amount ?? null,
      unit: act.given?.unit,
      concentration: act.given?.concentration,
      volumeMl: act.given?.volumeMl,
      route: act.given?.route,
      site: act.given?.site,
      doseSeen: act.given?.doseSeen ?? false,
      weightUsedKg: act.given?.weightUsedKg,
      deviceUse: act.given?.deviceUse,
    },
    rule,
    { intervention, ageYears, trueWeightKg: weightKg, tolerance: pack.doseTolerance },
  );
}

function creditOf(verdict: Verdict, dose: DoseCheck | null): number | null {
  if (verdict.timing === null) return null;
  if (!dose) return verdict.timing;
  const share = doseShare(dose.verdict);
  return share === null ? null : verdict.timing * share;
}

function timingText(taken: number, target: number, limit: number | undefined, credit: number): string {
  const words = `taken ${durationText(taken)}, target ${durationText(target)}`;
  if (taken <= target) return `${words}: 1`;
  if (limit === undefined || limit <= target) return `${words}, no fade: 0`;
  if (taken >= limit) return `${words}, limit ${durationText(limit)} passed: 0`;
  const [l, t, d] = [limit, taken, target].map((ms) => plainNumber(ms / 1000));
  return `${words}, limit ${durationText(limit)}: (${l} − ${t}) ÷ (${l} − ${d}) = ${credit.toFixed(2)}`;
}

function arithmeticText(verdict: Verdict, dose: DoseCheck | null, credit: number | null, unverified: boolean): string {
  let text = verdict.arithmetic;
  if (dose && verdict.timing !== null) {
    const share = doseShare(dose.verdict);
    if (share === null) text += '; the dose was not verified, so it does not count';
    else if (share !== 1) text += `; × ${plainNumber(share)} for the dose = ${(credit ?? 0).toFixed(2)}`;
  }
  if (unverified && credit !== null) text += '. Not counted: no named clinician has checked this source';
  return text;
}

function cuedBefore(scoring: Scoring, startMs: number | null, actMs: number): boolean {
  const prompting = new Set(
    scoring.run.definition.scenario.threads.flatMap((thread) =>
      thread.states.flatMap((state) => state.cues.filter((cue) => cue.kind === 'conceptual').map((cue) => cue.id)),
    ),
  );
  return scoring.log.cuesSpoken.some(
    (cue) => prompting.has(cue.cue) && cue.atMs <= actMs && (startMs === null || cue.atMs >= startMs),
  );
}

/** Said and drawn up, before the dose itself: what the preparation lag is read from. */
function preparation(scoring: Scoring, act: Act): Evidence[] {
  const { log, run } = scoring;
  const previous = [...log.acts].reverse().find((one) => one.intervention === act.intervention && one.atMs < act.atMs);
  const since = previous?.atMs ?? -1;
  const latest = (acts: readonly Act[]): Act | undefined =>
    acts.find((one) => one.intervention === act.intervention && one.atMs <= act.atMs && one.atMs > since);
  const name = interventionName(run.definition.library, act.intervention);
  const out: Evidence[] = [];
  const said = latest(log.said);
  if (said && said.seq !== act.seq) out.push({ seq: said.seq, atMs: said.atMs, text: `${name} asked for` });
  const drawn = latest(log.drawnUp);
  if (drawn) out.push({ seq: drawn.seq, atMs: drawn.atMs, text: `${name} drawn up` });
  return out;
}

/** One act as a line of evidence. */
export function actEvidence(scoring: Scoring, act: Act): Evidence {
  const name = interventionName(scoring.run.definition.library, act.intervention);
  const body = act.given;
  const known = scoring.run.definition.library.interventions.find((one) => one.id === act.intervention);
  const unit = body?.unit ?? known?.unit ?? '';
  const details = [
    body && body.amount !== null ? amountText(body.amount, unit) : null,
    body?.route && body.route.length <= 2 ? body.route.toUpperCase() : (body?.route ?? null),
    body?.site?.replaceAll('-', ' ') ?? null,
    typeof body?.flowLPerMin === 'number' ? `${plainNumber(body.flowLPerMin)} L/min` : null,
    known?.deviceDoses ? deviceUseText(body?.deviceUse) : null,
    act.reconciled ? "by the team's own account" : null,
  ].filter((one) => one !== null);
  return { seq: act.seq, atMs: act.atMs, text: [name, ...details].join(', ') };
}

function answerEvidence(answer: { answer: string; atMs: number | null; seq: number }): Evidence {
  const words = answer.answer === 'not-done' ? 'not done' : answer.answer;
  const when = answer.atMs === null ? '' : ` at ${clockText(answer.atMs)}`;
  return { seq: answer.seq, atMs: answer.atMs ?? 0, text: `Asked afterwards: ${words}${when}` };
}
