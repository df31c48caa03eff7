/** Everything a debrief looks at beyond the timed targets, of one run against one pack. */
import { exportOfTake, type RunExport } from '@breathline/engine';
import { openEyes, runPatient } from '../clocks.ts';
import { prepareLog, withReconciledActs } from '../prepare-log.ts';
import { findPack, scoreRun } from '../score-run.ts';
import type { Scorecard } from '../types.ts';
import { aftercare, openCircumstances } from './aftercare.ts';
import { harmEvents } from './harm.ts';
import { preparationLags, reassessmentLoops } from './loops.ts';
import { notJudged } from './not-judged.ts';
import { oxygenTitration } from './oxygen.ts';
import { publishedComparisons, publishedErrors } from './published.ts';
import { weightSensitivity } from './sensitivity.ts';
import { teamwork } from './teamwork.ts';
import type { Review } from './types.ts';

/** Pure, like the scorecard; `card` saves scoring again when it is at hand. Throws `DebriefError` for an unknown pack. */
export function reviewRun(
  exported: RunExport,
  options: { readonly packId?: string; readonly card?: Scorecard } = {},
): Review {
  const run = exportOfTake(exported);
  const card = options.card ?? scoreRun(run, options.packId === undefined ? {} : { packId: options.packId });
  const pack = findPack(run, card.packId);
  const log = withReconciledActs(prepareLog(run), pack);
  const eyes = openEyes(run, pack, log);
  const { ageYears } = runPatient(run);
  const comparisons = publishedComparisons(run, pack, log, card, ageYears);
  return {
    loops: reassessmentLoops(run, log),
    lags: preparationLags(run, log),
    oxygen: oxygenTitration(run, log, pack.oxygenRange),
    harm: harmEvents(run, log, card.results, {
      systolicLowMmHg: eyes.limits.systolicLowMmHg,
      systolicHighMmHg: eyes.limits.byVital.systolicMmHg?.high ?? null,
    }),
    aftercare: aftercare(run, pack, log, eyes.truth, card.results),
    circumstances: openCircumstances(run, pack, log, eyes.truth),
    sensitivity: weightSensitivity(card.results),
    comparisons,
    errorsBeside: comparisons.length === 0 ? null : publishedErrors(card),
    teamwork: teamwork(run),
    notJudged: notJudged(pack),
  };
}
