/**
 * The pulse at the finger: two Gaussians in beat phase (the beat itself and its dicrotic echo), arriving a little
 * after the R wave. Its height follows perfusion; the shape constants are common practice, no source.
 */
import type { Beats } from './beats.ts';
import { smoothNoise } from './seeded.ts';
import type { Beat } from './types.ts';

const STREAM_NOISE = 41;
const MAIN = { at: 0.25, sd: 0.09, height: 1 } as const;
const DICROTIC = { at: 0.52, sd: 0.1, height: 0.35 } as const;
const STRETCH = 1.3;

/** Milliseconds from R wave to the foot of the pulse: about 0.2 s, shorter in an infant, longer in a cold hand. */
export function pulseDelayMs(ageYears: number, plethFraction: number): number {
  const base = ageYears < 1 ? 150 : 200;
  return base + 100 * (1 - Math.min(1, Math.max(0, plethFraction)));
}

function pulseShape(u: number): number {
  if (u < -0.2 || u > 1.2) return 0;
  const main = (u - MAIN.at) / MAIN.sd;
  const echo = (u - DICROTIC.at) / DICROTIC.sd;
  return MAIN.height * Math.exp((-main * main) / 2) + DICROTIC.height * Math.exp((-echo * echo) / 2);
}

function pulseOf(beat: Beat, next: Beat | null, footMs: number, atMs: number): number {
  const gap = next ? next.atMs - beat.atMs : Infinity;
  return beat.pulse * pulseShape((atMs - footMs) / Math.min(gap, STRETCH * beat.periodMs));
}

/**
 * Pleth at a run-clock time, 0 to about 1.2 (1: a beat in a warm, well perfused finger).
 *
 * @param plethFraction 0 to 1, perfusion at the probe; height is in proportion to it
 * @param ageYears sets the delay after the R wave
 */
export function plethAt(beats: Beats, seed: number, atMs: number, plethFraction: number, ageYears: number): number {
  const fraction = Math.min(1.2, Math.max(0, plethFraction));
  const delayMs = pulseDelayMs(ageYears, fraction);
  const at = atMs - delayMs;
  const { before, after } = beats.around(at);
  // The foot of the next pulse begins a little before its moment.
  let pulse = after ? pulseOf(after, null, after.atMs, at) : 0;
  if (before) {
    pulse += pulseOf(before, after, before.atMs, at);
    const earlier = beats.around(before.atMs - 1).before;
    if (earlier) pulse += pulseOf(earlier, before, earlier.atMs, at);
  }
  // A weak signal is a noisy one; with none there is only the noise.
  const noise = 0.012 + 0.02 * Math.max(0, 1 - fraction / 0.25);
  return fraction * pulse + noise * smoothNoise(seed, STREAM_NOISE, atMs, 70);
}
