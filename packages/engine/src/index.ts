export type * from './types.ts';
export { STEP_MS } from './types.ts';
export { ENGINE_VERSION, CAUTION } from './version.ts';
export { EngineError, type EngineErrorCode } from './errors.ts';
export { VITALS, VITAL_IDS, ageLimit, clampVital, vitalText, type VitalFacts } from './vitals.ts';
export { createRun, Simulation, SNAPSHOT_EVERY_MS, type RunOptions, type RunSnapshot } from './run/simulation.ts';
export { effectiveEvents, inOrder, isWithdrawable } from './run/withdraw.ts';
export { profileOf } from './run/plan.ts';
export { convertAmount, plainNumber, suggestDose, volumeFor, type SuggestedDose } from './events/doses.ts';
