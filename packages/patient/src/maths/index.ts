/** Deterministic maths: the same bits in every JavaScript engine. */
export { exp, ln, log10, pow, tanh } from './elementary.ts';
export { atan2, cos, sin } from './trig.ts';
export { createRandom, nextRandomState, randomOf } from './random.ts';
export type { Random } from './random.ts';

/** v held within lo..hi. */
export function clamp(v: number, lo: number, hi: number): number {
  return v < lo ? lo : v > hi ? hi : v;
}

/** v held within 0..1. */
export function unit(v: number): number {
  return v < 0 ? 0 : v > 1 ? 1 : v;
}
