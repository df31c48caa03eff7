/** Requests that wait, and how long before they show it. */
import type { LiveView } from '@breathline/engine';

/** Asked for and not had, oldest first. */
export function outstanding(live: Pick<LiveView, 'requests'>): LiveView['requests'] {
  return live.requests.filter((each) => each.metAtMs === null).toSorted((a, b) => a.atMs - b.atMs);
}

/** Common practice, no source: after a minute it is worth a look, after two the team has probably given up asking. */
export const REQUEST_WARN_MS = 60_000;
export const REQUEST_LATE_MS = 120_000;

export function ageTone(ageMs: number): 'plain' | 'warn' | 'danger' {
  if (ageMs >= REQUEST_LATE_MS) return 'danger';
  return ageMs >= REQUEST_WARN_MS ? 'warn' : 'plain';
}
