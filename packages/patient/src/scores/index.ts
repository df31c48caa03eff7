/** Bedside scores from plain observations: pure functions, each with its source, each refusing in words what it cannot score. */
export type * from './types.ts';
export { news2, NEWS2_SOURCE } from './news2.ts';
export type { News2Observations } from './news2.ts';
export { pews, PEWS_BANDS, PEWS_SOURCE } from './pews.ts';
export type { Distress, PewsObservations, PewsOxygen } from './pews.ts';
export { westley, WESTLEY_BAND_SETS } from './westley.ts';
export type { WestleyBandSet, WestleyObservations } from './westley.ts';
export { pram } from './pram.ts';
export type { PramObservations } from './pram.ts';
export { shockIndex, SHOCK_INDEX_LIMITS } from './shock-index.ts';
export type { ShockIndexObservations } from './shock-index.ts';
export { consciousnessWords, levelFromDrowsiness } from './consciousness.ts';
export type { ConsciousnessWords } from './consciousness.ts';
export { scoresOf } from './scores-of.ts';
export type { PatientScores, ScoreContext } from './scores-of.ts';
