export type * from './types.ts';
export type * from './live/debrief-types.ts';
export type * from './live/types.ts';
export { TYPED_WORDS } from './live/typed-words.ts';
export { SPEEDS, SYSTEM_PROBLEMS } from './live/types.ts';
export { STEP_MS } from './types.ts';
export { ENGINE_VERSION, CAUTION } from './version.ts';
export { EngineError, type EngineErrorCode } from './errors.ts';
export { VITALS, VITAL_IDS, ageLimit, clampVital, vitalText, type VitalFacts } from './vitals.ts';
export { createRun, Simulation, SNAPSHOT_EVERY_MS, type RunOptions, type RunSnapshot } from './run/simulation.ts';
export {
  effectiveEvents,
  eventsOfTake,
  inOrder,
  inRunOrder,
  isWithdrawable,
  keptOfTake,
  lastTake,
  takesOf,
  withdrawnEvents,
  type TakeStart,
} from './run/withdraw.ts';
export { amendedEvents, doerOf, isAmendable, withAmendment } from './run/amend.ts';
export { foldLive, LEARNERS_MAY_AT_START, SOUND_AT_START, type LiveInput } from './live/fold.ts';
export { RATING_STEPS, ratingOf, seenOfRating, type BehaviourTick } from './live/ratings.ts';
export { ARREST_ITEM, arrestAgreed, type ArrestBy } from './live/arrest.ts';
export { OTHER_ACTION_SHARE } from './live/apply.ts';
export { profileOf } from './run/plan.ts';
export { compare } from './machine/conditions.ts';
export { TESTS, gasText, resultName, type TestSpec } from './results/results.ts';
export { suggestForRun } from './events/doses.ts';
export { commandWarnings, type CommandWarning } from './events/warnings.ts';
export { replay, replayTrack, type ReplayOptions } from './replay/replay.ts';
export { buildExport, checkExport, exportOfTake, type ExportParts } from './replay/export.ts';
export { editLog, whatIf, type Difference, type OddAct, type WhatIf, type WhatIfOptions } from './whatif/whatif.ts';
export { WhatIfStudy } from './whatif/study.ts';
export { courseOf, outcomesOf, RECOVERED_FOR_MS, type Course, type Outcomes } from './whatif/outcomes.ts';
export {
  NO_WALL_TIME,
  REHEARSAL_ROLE,
  clockText,
  findRehearsal,
  isRehearsal,
  rehearse,
  type RehearsalCheck,
  type RehearsalResult,
} from './rehearse/rehearse.ts';
// The arithmetic of doses lives with the formulary; re-exported because every command needs it.
export { convertAmount } from '@breathline/scenario';
