export type * from './types.ts';
export { scoreRun, findPack, CAUTION } from './score-run.ts';
export { checkDose, allowedDose, type DoseGiven, type DoseContext } from './dose-check.ts';
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
export { DebriefError } from './errors.ts';
export { clockText, durationText, plainNumber, amountText, interventionName } from './words.ts';
