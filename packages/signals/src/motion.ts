/**
 * What a moving patient does to the traces. It is added on top and never moves a beat: under it the traces stay locked to
 * each other. Sizes and bands are common practice, no source: limb movement is slow (about 0.5 to 3 Hz) and, at the finger,
 * larger than the pulse; at the leads it is a swinging baseline with muscle in it.
 */
import { smoothNoise } from './seeded.ts';

const STREAM = { ecg: 51, pleth: 55, breathing: 59 } as const;

/** The disturbance of a trace at a run-clock time, in the trace's own unit. `motionFraction` 0 (still) to 1. */
export function motionAt(
  seed: number,
  trace: 'ecg' | 'pleth' | 'breathing',
  atMs: number,
  motionFraction: number,
): number {
  if (!(motionFraction > 0)) return 0;
  const m = Math.min(1, motionFraction);
  const stream = STREAM[trace];
  const swing = smoothNoise(seed, stream, atMs, 310);
  const jerk = smoothNoise(seed, stream + 1, atMs, 120);
  switch (trace) {
    case 'ecg': {
      // Muscle comes and goes within a bout.
      const muscle = Math.max(0, smoothNoise(seed, stream + 2, atMs, 700)) * smoothNoise(seed, stream + 3, atMs, 11);
      return m * (0.32 * swing + 0.12 * jerk + 0.22 * muscle);
    }
    case 'pleth':
      return m * (0.42 + 0.8 * swing + 0.5 * jerk);
    case 'breathing':
      return m * (0.5 * swing + 0.25 * jerk);
  }
}
