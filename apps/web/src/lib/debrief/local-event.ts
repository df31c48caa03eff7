import { lastTake, type DebriefEventBody, type EventBody } from '@breathline/engine';
import type { RunEvent, RunExport } from '$lib/api';
import type { OnItsWay } from './post.svelte.ts';

/** What a debrief writes down: its own lines, answers to what nobody logged, and a problem of the place, which the register follows. */
export type Debriefed = DebriefEventBody | Extract<EventBody, { kind: 'system-problem' | 'reconciled' }>;

/**
 * The run with what was said on this screen as it will stand in the log, so that the screen knows it before the server does.
 * @param offsetMs What to add to this device's clock to get the server's.
 */
export function withLocal(run: RunExport, onItsWay: readonly OnItsWay[], offsetMs: number): RunExport {
  const known = new Set(run.events.map(({ clientId, clientNumber }) => `${clientId}:${clientNumber}`));
  const local = onItsWay.filter(({ clientId, n }) => !known.has(`${clientId}:${n}`));
  if (local.length === 0) return run;
  const take = lastTake(run.events);
  const endMs = run.track.findLast((row) => (row.take ?? 1) === take)?.atMs ?? 0;
  const last = run.events.reduce((most, event) => Math.max(most, event.seq), 0);
  const events = local.map(({ command, wallMs }, index): RunEvent => ({
    ...command,
    seq: last + 1 + index,
    take,
    appliedAtMs: endMs,
    occurredAtMs: endMs,
    wallTime: new Date(wallMs + offsetMs).toISOString(),
    by: { role: 'lead' },
  }));
  return { ...run, events: [...run.events, ...events] };
}
