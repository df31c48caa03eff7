export type * from './types.ts';
export type * from './timeline-types.ts';
export { scoreRun, findPack, CAUTION } from './score-run.ts';
export { checkDose, type DoseGiven, type DoseContext } from './dose-check.ts';
export { creditForTime, doseShare, weightedScore } from './credit.ts';
export {
  evaluateCondition,
  firstHeldMs,
  couldSeeView,
  didSeeView,
  trueView,
  shownVital,
  OBSERVABLE_VITALS,
  type ConditionContext,
  type View,
} from './condition.ts';
export { reconcileWords, type ReconcileWords } from './reconcile-words.ts';
export type { CircumstanceAnswer } from './prepare-log.ts';
export { DebriefError } from './errors.ts';
export { clockText, durationText, plainNumber, amountText, interventionName, sentence } from './words.ts';
export { buildTimeline } from './timeline.ts';
export { decimate, valueAt } from './decimate.ts';
export { dangerLines } from './danger.ts';
export { ageLimits, type AgeLimits } from './age-limits.ts';
export { withdrawnSeqs } from './prepare-log.ts';

export { asksForAdrenaline, isAdrenaline, isDoneToPatient, keyStep, keyStepText } from './key-step.ts';
export {
  ADEQUATE_SAYS,
  DOSE_FAULTS,
  adrenalineLines,
  doseFault,
  firstAdrenalineFault,
  type DoseFault,
  type DoseFaultWords,
} from './first-adrenaline.ts';
export * from './programme/agreement.ts';
export * from './programme/survival.ts';
export * from './programme/intervals.ts';
export * from './programme/charts.ts';
export { fQuantile, mean, median, quantile, sampleSd } from './programme/numbers.ts';
export { ADJUSTABLE_RESULTS } from './adjust.ts';
export type * from './review/types.ts';
export { notJudged } from './review/not-judged.ts';
export { LETTERS_LOOKED_AT, lettersLookedAt } from './review/loops.ts';
export { reviewRun } from './review/review.ts';
export { observerTicks, teamwork, teamworkText, type ObserverTick } from './review/teamwork.ts';
export { teamworkCsv } from './out/teamwork-csv.ts';
export { packDifferences, type PackDifference } from './review/pack-diff.ts';
export { packNames, type PackNames } from './review/pack-words.ts';
export { PUBLISHED_ARMS } from './review/published.ts';
export { packLineage, sourceLine, type PackLineage, type SourceChange } from './review/pack-lineage.ts';
export { packSheet, type SheetLine, type SheetPart } from './review/pack-sheet.ts';
export { packsFor, type PacksFor } from './review/packs-for.ts';
export { weightSensitivity } from './review/sensitivity.ts';
export * from './out/csv.ts';
export * from './out/notes-csv.ts';
export * from './out/xapi.ts';
export * from './out/fhir.ts';
export * from './programme/summary.ts';
export * from './programme/cells.ts';
export { IN_GROUPS_ONLY } from './programme/groups.ts';
export * from './programme/report.ts';
export * from './programme/observers.ts';
export * from './programme/page.ts';
export type * from './rehearsal/types.ts';
export { RehearsalRoom, type PlayedRehearsal } from './rehearsal/report.ts';
export { endingsNeverReached, rulesNeverTaken, statesNeverReached } from './rehearsal/never.ts';
