/**
 * Chest movement as the leads sense it (impedance): a smooth inspiration, a passive expiration that slows with
 * obstruction, and a trace of the heartbeat. Effort against a closed airway still moves the chest, so this trace may
 * go on while the capnogram is flat. Constants: common practice, no source.
 */
import type { Beats } from './beats.ts';
import { inspiratoryShare, type Breaths } from './breaths.ts';

/** Share of a quiet breath that each heartbeat moves the trace. */
const CARDIAC = 0.025;
/** A gasp is not slower than this however rare it is, ms. */
const LONGEST_INSPIRATION_MS = 1500;
const STRETCH = 1.4;

/** Where in its breath a time is. Null before the first breath. */
export interface BreathPlace {
  readonly n: number;
  readonly size: number;
  readonly startMs: number;
  readonly inspiring: boolean;
  /** 0 to 1 through inspiration or expiration; stays at 1 in the pause after. */
  readonly part: number;
  readonly expirationStartMs: number;
  readonly expirationMs: number;
  /** When the next breath starts, if it can be foreseen. */
  readonly nextMs: number | null;
}

/** Finds the place of a time in its breath. `bronchospasmFraction` sets the I:E ratio. */
export function breathPlaceAt(breaths: Breaths, atMs: number, bronchospasmFraction: number): BreathPlace | null {
  const { before, after } = breaths.around(atMs);
  if (!before) return null;
  const spanMs = Math.min(after ? after.atMs - before.atMs : Infinity, STRETCH * before.periodMs);
  const inspirationMs = Math.min(LONGEST_INSPIRATION_MS, spanMs * inspiratoryShare(bronchospasmFraction));
  const expirationStartMs = before.atMs + inspirationMs;
  const expirationMs = spanMs - inspirationMs;
  const inspiring = atMs < expirationStartMs;
  const part = inspiring ? (atMs - before.atMs) / inspirationMs : (atMs - expirationStartMs) / expirationMs;
  return {
    n: before.n,
    size: before.size,
    startMs: before.atMs,
    inspiring,
    part: Math.min(1, Math.max(0, part)),
    expirationStartMs,
    expirationMs,
    nextMs: after?.atMs ?? null,
  };
}

/** Chest movement at a run-clock time, in quiet breaths (1: the top of one). */
export function breathingAt(
  breaths: Breaths,
  atMs: number,
  depthFraction: number,
  bronchospasmFraction: number,
): number {
  const place = breathPlaceAt(breaths, atMs, bronchospasmFraction);
  if (!place) return 0;
  const height = Math.max(0, depthFraction) * place.size;
  if (place.inspiring) return height * 0.5 * (1 - Math.cos(Math.PI * place.part));
  const b = Math.min(1, Math.max(0, bronchospasmFraction));
  const k = 4 - 2.6 * b;
  const end = Math.exp(-k);
  return (height * (Math.exp(-k * place.part) - end)) / (1 - end);
}

/** The small ripple of the heart in the chest trace, in quiet breaths. */
export function cardiacRippleAt(beats: Beats, atMs: number): number {
  const { before, after } = beats.around(atMs);
  if (!before) return 0;
  const spanMs = Math.min(after ? after.atMs - before.atMs : Infinity, STRETCH * before.periodMs);
  const u = (atMs - before.atMs) / spanMs;
  return u >= 1 ? 0 : CARDIAC * before.pulse * Math.sin(2 * Math.PI * u) * (1 - u);
}
