/** The scorecard of a finished run against one guideline pack. */
import { exportOfTake, type RunExport } from '@breathline/engine';
import type { GuidelinePack, Target } from '@breathline/scenario';
import { openEyes, runClocks } from './clocks.ts';
import { weightedScore } from './credit.ts';
import { dangerTimes } from './danger.ts';
import { DebriefError } from './errors.ts';
import { firstAdequateAdrenaline } from './first-adrenaline.ts';
import { objectiveResults } from './objectives.ts';
import { prepareLog, withReconciledActs } from './prepare-log.ts';
import { criticalFailureText, targetResult } from './target-result.ts';
import type { Scoring } from './target/scoring.ts';
import { adjustedScore, withAdjustments } from './adjust.ts';
import type { Scorecard, TargetResult } from './types.ts';

/** Goes with every scorecard, on screen and on paper. */
export const CAUTION =
  'SIMULATION – NOT FOR CLINICAL USE. Targets and doses are for training only; local guidelines and licensed practice prevail.';

/** Finds a pack of the run's own pinned library. Throws `DebriefError` `unknown-pack`, naming the packs there are. */
export function findPack(run: RunExport, packId: string = run.definition.packId): GuidelinePack {
  const { packs } = run.definition.library;
  const pack = packs.find((one) => one.id === packId);
  if (pack) return pack;
  const names = packs.map((one) => one.id).join(', ') || 'none';
  throw new DebriefError(
    'unknown-pack',
    `This run carries no guideline pack called “${packId}”.`,
    `Packs in this run: ${names}.`,
  );
}

/**
 * Scores a run. Pure: the same export gives the same card anywhere. Reads the frozen track, never re-runs the engine.
 * Times are run-clock milliseconds, which exclude paused time. Throws `DebriefError` only for a pack the run lacks.
 */
export function scoreRun(whole: RunExport, options: { readonly packId?: string } = {}): Scorecard {
  const run = exportOfTake(whole);
  const pack = findPack(run, options.packId);
  const log = withReconciledActs(prepareLog(run), pack);
  const eyes = openEyes(run, pack, log);
  const clocks = runClocks(run, pack, log, eyes);
  const scoring: Scoring = { run, pack, log, clocks, eyes };
  const results = withAdjustments(
    pack.targets.map((target) => targetResult(scoring, target)),
    run,
  );
  const failures = results.flatMap((one) => {
    const text = criticalFailureText(one);
    return text === null ? [] : [{ target: one.target.id, text, counts: !one.unverifiedSource }];
  });
  return {
    caution: CAUTION,
    runId: run.runId,
    packId: pack.id,
    packTitle: pack.title,
    take: log.take,
    clocks,
    adequateAdrenaline: firstAdequateAdrenaline(run, pack, log, { results }),
    results,
    ...(pack.keyStep ? { keyStep: pack.keyStep } : {}),
    criticalFailures: failures.filter((one) => one.counts).map(({ target, text }) => ({ target, text })),
    forDiscussion: failures.filter((one) => !one.counts).map(({ target, text }) => ({ target, text })),
    score: weightedScore(results),
    ...(results.some(({ adjusted }) => adjusted !== undefined) ? { adjustedScore: adjustedScore(results) } : {}),
    danger: dangerTimes(eyes.truth.track, clocks.endMs, eyes.limits.systolicLowMmHg, pack.oxygenRange),
    // An order line is settled by asking about the two things in it, never asked about itself.
    toReconcile: results
      .filter((one) => one.result === 'not-recorded' && !isOrderOnly(one.target))
      .map(reconcileQuestion),
    objectives: objectiveResults(run, results, clocks.endMs),
  };
}

function isOrderOnly(target: Target): boolean {
  return target.dueMs === undefined && target.mustFollow !== undefined;
}

function reconcileQuestion(one: TargetResult): Scorecard['toReconcile'][number] {
  const answer = one.reconciled?.answer;
  const open = answer === 'done' || answer === 'unsure' ? { answer } : {};
  return { target: one.target.id, question: one.target.says, ...open };
}
