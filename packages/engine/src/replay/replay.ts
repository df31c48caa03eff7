/** Replays: the same definition and log always give the same run, to the last bit. */
import { createRun, type RunOptions, type Simulation } from '../run/simulation.ts';
import { inOrder } from '../run/withdraw.ts';
import type { RunDefinition, RunEvent, TrackRow } from '../types.ts';

export interface ReplayOptions extends RunOptions {
  /** Stop here (run-clock ms). Default: the last event's time. */
  readonly untilMs?: number;
}

/**
 * Runs a whole log. Events may come in any order; they take effect by time, then number. Ends at `untilMs`, or at the
 * last event, or where the log pauses or ends the run for good.
 */
export function replay(
  definition: RunDefinition,
  events: readonly RunEvent[],
  options: ReplayOptions = {},
): Simulation {
  const run = createRun(definition, options);
  const sorted = [...events].sort(inOrder);
  const untilMs = options.untilMs ?? sorted.at(-1)?.appliedAtMs ?? 0;
  for (const event of sorted) {
    if (event.appliedAtMs > untilMs) break;
    // A log that pauses for good keeps the clock back: what comes later waits in the queue and is never applied.
    run.advanceTo(event.appliedAtMs);
    run.apply(event);
  }
  run.advanceTo(untilMs);
  return run;
}

/** The 1 Hz track of a log. */
export function replayTrack(
  definition: RunDefinition,
  events: readonly RunEvent[],
  options: ReplayOptions = {},
): readonly TrackRow[] {
  return replay(definition, events, { ...options, keepTrack: true }).track;
}
