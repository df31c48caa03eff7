/**
 * Where a recording of the room stands at a moment of the run. The run clock stands still in a pause and may run fast;
 * a camera does neither, so the way goes over the wall's clock that each event carries. Pure.
 */
import type { RunEvent } from '@breathline/engine';

interface Anchor {
  readonly runMs: number;
  readonly wallMs: number;
  readonly speed: number;
}

/** Wall times (ms since the epoch) of the run clock; null where the log does not say. */
export function wallClockOf(events: readonly RunEvent[], take: number): (runMs: number) => number | null {
  const anchors: Anchor[] = [];
  let speed = 1;
  for (const event of [...events].sort((a, b) => a.seq - b.seq)) {
    if (event.take !== take) continue;
    const { kind } = event;
    if (kind === 'speed-changed') speed = event.factor;
    if (kind !== 'run-started' && kind !== 'run-resumed' && kind !== 'speed-changed' && kind !== 'wound-back') continue;
    const wallMs = Date.parse(event.wallTime);
    if (!Number.isFinite(wallMs)) continue;
    anchors.push({ runMs: kind === 'wound-back' ? event.toMs : event.appliedAtMs, wallMs, speed });
  }
  return (runMs) => {
    const last = anchors.findLast((anchor) => anchor.runMs <= runMs);
    return last ? last.wallMs + (runMs - last.runMs) / last.speed : null;
  };
}

export interface Clap {
  /** Moment of the run, ms on its clock. */
  readonly runMs: number;
  /** The same moment in the recording, s. */
  readonly recordingS: number;
}

/** Seconds into the recording at a moment of the run; below 0 before it began. */
export function recordingAt(runMs: number, clap: Clap, wallOf: (runMs: number) => number | null): number {
  const [now, then] = [wallOf(runMs), wallOf(clap.runMs)];
  const apartMs = now === null || then === null ? runMs - clap.runMs : now - then;
  return clap.recordingS + apartMs / 1000;
}
