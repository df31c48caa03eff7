/** Replays: the same definition and log always give the same run, to the last bit. */
import { createRun, type RunOptions, type Simulation } from '../run/simulation.ts';
import { inRunOrder, keptOfTake, lastTake } from '../run/withdraw.ts';
import type { RunDefinition, RunEvent, TrackRow } from '../types.ts';

export interface ReplayOptions extends RunOptions {
  /** Stop here (run-clock ms of the last take played). Default: the last event's time. */
  readonly untilMs?: number;
  /** Play no further than this take. Default: all of them. */
  readonly take?: number;
}

/** How far each take has to be played, so that every later one can begin where it did. */
function reachOf(events: readonly RunEvent[]): ReadonlyMap<number, number> {
  const reach = new Map<number, number>();
  const atLeast = (take: number, ms: number): void => void reach.set(take, Math.max(reach.get(take) ?? 0, ms));
  for (const event of events) {
    if (event.kind !== 'wound-back') continue;
    atLeast(event.fromTake, event.toMs);
    atLeast(event.take - 1, event.leftAtMs ?? 0);
  }
  return reach;
}

/**
 * Runs a whole log. Events may come in any order; takes follow each other, and within a take events take effect by time,
 * then number. Ends at `untilMs`, or at the last event, or where the log pauses or ends the run for good.
 */
export function replay(
  definition: RunDefinition,
  events: readonly RunEvent[],
  options: ReplayOptions = {},
): Simulation {
  const run = createRun(definition, options);
  const last = Math.min(options.take ?? Infinity, lastTake(events));
  const reach = reachOf(events);
  const sorted = inRunOrder(events);
  const next = sorted.findIndex((event) => event.kind === 'wound-back' && event.take > last);
  const played = next < 0 ? sorted : sorted.slice(0, next);
  const lastOwn = played.findLast((event) => event.take === last);
  const untilMs = options.untilMs ?? Math.max(lastOwn?.appliedAtMs ?? 0, next < 0 ? 0 : (reach.get(last) ?? 0));
  for (const event of played) {
    if (event.kind === 'wound-back') run.advanceTo(reach.get(run.take) ?? 0);
    else if (event.take === run.take) {
      if (event.take === last && event.appliedAtMs > untilMs) continue;
      // A log that pauses for good keeps the clock back: what comes later waits in the queue and is never applied.
      run.advanceTo(event.appliedAtMs);
    }
    run.apply(event);
  }
  run.advanceTo(untilMs);
  return run;
}

/** The 1 Hz track of a log: of its last take (or of `take`), from time zero. */
export function replayTrack(
  definition: RunDefinition,
  events: readonly RunEvent[],
  options: ReplayOptions = {},
): readonly TrackRow[] {
  const run = replay(definition, events, { ...options, keepTrack: true });
  return keptOfTake(run.track, run.events, run.take);
}
