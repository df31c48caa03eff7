import { lastTake, type DebriefEventBody, type EventBody } from '@breathline/engine';
import type { RunEvent, RunExport } from '$lib/api';

/** What a debrief writes down: its own lines, and a problem of the place, which the register follows. */
export type Debriefed = DebriefEventBody | Extract<EventBody, { kind: 'system-problem' }>;

type Reconciled = {
  readonly kind: 'reconciled';
  readonly target: string;
  readonly answer: 'done' | 'not-done' | 'unsure';
  readonly atMs: number | null;
  readonly ofTake?: number;
};

/** Something said in the debrief as it will stand in the log, so that this screen knows it before the server has replied. */
export function localEvent(run: RunExport, body: Debriefed | Reconciled): RunEvent {
  const take = lastTake(run.events);
  const endMs = run.track.findLast((row) => (row.take ?? 1) === take)?.atMs ?? 0;
  return {
    ...body,
    seq: run.events.reduce((most, event) => Math.max(most, event.seq), 0) + 1,
    take,
    appliedAtMs: endMs,
    occurredAtMs: endMs,
    wallTime: new Date().toISOString(),
    by: { role: 'lead' },
  };
}
