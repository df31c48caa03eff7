import type { RunEvent, RunExport } from '$lib/api';

/** An answer as it will stand in the log, so that this screen can score with it before the server has replied. */
export function localAnswer(
  run: RunExport,
  body: { readonly target: string; readonly answer: 'done' | 'not-done' | 'unsure'; readonly atMs: number | null },
): RunEvent {
  const endMs = run.track[run.track.length - 1]?.atMs ?? 0;
  return {
    kind: 'reconciled',
    ...body,
    seq: run.events.reduce((most, event) => Math.max(most, event.seq), 0) + 1,
    take: run.scoredTake,
    appliedAtMs: endMs,
    occurredAtMs: endMs,
    wallTime: new Date().toISOString(),
    by: { role: 'lead' },
  };
}
