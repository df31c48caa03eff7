/** One target of a pack against one run. */
import type { Target } from '@breathline/scenario';
import { runPatient } from './clocks.ts';
import { doseShare } from './credit.ts';
import { checkDose } from './dose-check.ts';
import { activeMsBetween, type Act } from './prepare-log.ts';
import { reconcileWords } from './reconcile-words.ts';
import { clockStart } from './target/clock-start.ts';
import { actEvidence, answerEvidence, cuedBefore, failedTries, preparation } from './target/evidence.ts';
import { contraindicatedVerdict, orderVerdict } from './target/order.ts';
import type { Scoring, Verdict } from './target/scoring.ts';
import { timedVerdict } from './target/timed.ts';
import type { DoseCheck, ResultWord, TargetResult } from './types.ts';
import { plainNumber } from './words.ts';

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
      ...(answer ? [answerEvidence(answer, reconcileWords(target, scoring.run.definition.library))] : []),
    ],
    cued: act !== null && cuedBefore(scoring, act),
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

/** One act's dose against the pack's rule for it, or the rule the target names. */
export function doseOf(scoring: Pick<Scoring, 'run' | 'pack'>, target: Pick<Target, 'doseRule'>, act: Act): DoseCheck {
  const { run, pack } = scoring;
  const { ageYears, weightKg } = runPatient(run);
  const intervention = run.definition.library.interventions.find((one) => one.id === act.intervention);
  const named = pack.doses.find((one) => one.id === target.doseRule);
  const own = pack.doses.find((one) => one.intervention === act.intervention);
  // Another form of the drug is judged by the named rule only where both are counted in one unit: 200 micrograms by a
  // spacer are no small part of 5 mg by a nebuliser.
  const alike =
    run.definition.library.interventions.find((one) => one.id === named?.intervention)?.unit === intervention?.unit;
  const rule = named?.intervention === act.intervention ? named : (own ?? (alike ? named : null) ?? null);
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
