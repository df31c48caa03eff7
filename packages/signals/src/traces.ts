/** All the traces of one patient, kept in step: stamped numbers in, samples out. */
import { createBeats, type Beats } from './beats.ts';
import { breathingAt, cardiacRippleAt } from './breathing.ts';
import { createBreaths, type Breaths } from './breaths.ts';
import { capnogramAt } from './capnogram.ts';
import { ecgAt } from './ecg.ts';
import { motionAt } from './motion.ts';
import { plethAt } from './pleth.ts';
import { createLine } from './timeline.ts';
import type { TraceDrive } from './types.ts';

export interface Traces {
  readonly beats: Beats;
  readonly breaths: Breaths;
  /** Adds the numbers in force at a run-clock time. Times before the last one restart everything (wound back). */
  push(atMs: number, drive: TraceDrive): void;
  /** mV; R of a normal beat is about 1. */
  ecg(atMs: number): number;
  /** 0 to about 1.2; 1 is a warm finger. */
  pleth(atMs: number): number;
  /** 0 to about 2; 1 is the top of a quiet breath. */
  breathing(atMs: number): number;
  /** mmHg. */
  co2(atMs: number): number;
  reset(): void;
}

/** A number inside its range; anything else counts as nothing. */
function within(value: number | null | undefined, greatest: number): number {
  return value != null && Number.isFinite(value) ? Math.min(greatest, Math.max(0, value)) : 0;
}

/**
 * Makes the traces of a run.
 *
 * @param seed the run's seed, the same on every screen
 * @param ageYears sets the pulse delay
 */
export function createTraces(seed: number, ageYears: number): Traces {
  const beats = createBeats(seed);
  const breaths = createBreaths(seed);
  const perfusion = createLine();
  const depth = createLine();
  const spasm = createLine();
  const etco2 = createLine();
  const motion = createLine();
  let lastMs = -Infinity;

  function reset(): void {
    beats.reset();
    breaths.reset();
    for (const line of [perfusion, depth, spasm, etco2, motion]) line.reset();
    lastMs = -Infinity;
  }

  const spasmAt = (atMs: number): number => spasm.at(atMs) ?? 0;
  const etco2At = (atMs: number): number => etco2.at(atMs) ?? 0;

  return {
    beats,
    breaths,
    push(atMs, drive) {
      if (!Number.isFinite(atMs)) return;
      if (atMs < lastMs) reset();
      lastMs = atMs;
      beats.push({
        atMs,
        rhythm: drive.rhythm,
        ratePerMin: within(drive.ecgRatePerMin ?? drive.pulseRatePerMin, 400),
        pulsed: drive.pulsed,
        count: drive.beatCount,
      });
      breaths.push({ atMs, ratePerMin: within(drive.breathRatePerMin, 200), count: drive.breathCount });
      perfusion.push(atMs, within(drive.plethFraction, 1.2));
      depth.push(atMs, within(drive.breathDepthFraction, 4));
      spasm.push(atMs, within(drive.bronchospasmFraction, 1));
      etco2.push(atMs, within(drive.etco2MmHg, 200));
      motion.push(atMs, within(drive.motionFraction, 1));
    },
    // The chest moves the leads a little.
    ecg: (atMs) =>
      ecgAt(beats, seed, atMs) +
      0.05 * (breathingAt(breaths, atMs, depth.at(atMs) ?? 0, spasmAt(atMs)) - 0.4) +
      motionAt(seed, 'ecg', atMs, motion.at(atMs) ?? 0),
    pleth: (atMs) =>
      Math.max(
        -0.06,
        plethAt(beats, seed, atMs, perfusion.at(atMs) ?? 0, ageYears) +
          motionAt(seed, 'pleth', atMs, motion.at(atMs) ?? 0),
      ),
    breathing: (atMs) => {
      const before = breaths.around(atMs).before;
      // One depth for the whole of a breath, so that it starts and ends at rest.
      const height = depth.at(before?.atMs ?? atMs) ?? 0;
      return (
        breathingAt(breaths, atMs, height, spasm.at(before?.atMs ?? atMs) ?? 0) +
        cardiacRippleAt(beats, atMs) +
        motionAt(seed, 'breathing', atMs, motion.at(atMs) ?? 0)
      );
    },
    co2: (atMs) => capnogramAt(breaths, atMs, etco2At, spasmAt),
    reset,
  };
}
