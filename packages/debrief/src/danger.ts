/** How long the patient was in danger, from the frozen track. */
import type { TrackRow } from '@breathline/engine';
import type { Scorecard } from './types.ts';

/**
 * Milliseconds below 90 % saturation, below the age's systolic limit, and without output, all of the true values.
 * Each row stands until the next; the last stands until `endMs` or one second, whichever is sooner.
 */
export function dangerTimes(track: readonly TrackRow[], endMs: number, pressureLimitMmHg: number): Scorecard['danger'] {
  let below90PercentMs = 0;
  let belowPressureLimitMs = 0;
  let arrestMs = 0;
  track.forEach((row, index) => {
    const next = track[index + 1]?.atMs ?? row.atMs + 1000;
    const span = Math.max(0, Math.min(next, endMs) - Math.max(0, row.atMs));
    if (row.true.spo2Percent < 90) below90PercentMs += span;
    if (row.true.systolicMmHg < pressureLimitMmHg) belowPressureLimitMs += span;
    if (row.true.arrested >= 0.5) arrestMs += span;
  });
  return { below90PercentMs, belowPressureLimitMs, pressureLimitMmHg, arrestMs };
}
