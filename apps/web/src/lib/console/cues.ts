/**
 * Lines for actors: due now, missed because the scenario moved on before they were spoken, and spoken. A missed line can
 * still be said; nothing goes without a trace.
 */
import type { Derived, RunView } from '@breathline/engine';
import type { Cue, Scenario } from '@breathline/scenario';
import type { LogLine } from '@breathline/protocol';

export interface CueRow {
  readonly cue: Cue;
  readonly status: 'due' | 'missed' | 'spoken';
  /** Run-clock ms it fell due (spoken ones: when spoken). */
  readonly atMs: number;
  /** Run-clock ms it was withdrawn; missed ones only. */
  readonly withdrawnAtMs: number | null;
}

function cueOf(scenario: Scenario, id: string): Cue | undefined {
  for (const thread of scenario.threads)
    for (const state of thread.states) {
      const found = state.cues.find((cue) => cue.id === id);
      if (found) return found;
    }
  return undefined;
}

/** Due first (longest waiting on top), then missed and spoken, newest first. */
export function cueRows(
  view: Pick<RunView, 'cuesDue' | 'clockMs'>,
  log: readonly LogLine[],
  derived: readonly Derived[],
  scenario: Scenario,
): readonly CueRow[] {
  const due: CueRow[] = view.cuesDue
    .filter((each) => each.spokenAtMs === null)
    .map((each) => ({ cue: each.cue, status: 'due' as const, atMs: each.dueAtMs, withdrawnAtMs: null }))
    .sort((a, b) => a.atMs - b.atMs);
  const spoken: CueRow[] = [];
  const lastSpoken = new Map<string, number>();
  for (const { event, withdrawnBy } of log) {
    if (event.kind !== 'cue-spoken' || withdrawnBy !== null) continue;
    lastSpoken.set(event.cue, Math.max(event.appliedAtMs, lastSpoken.get(event.cue) ?? 0));
    const cue = cueOf(scenario, event.cue);
    if (cue) spoken.push({ cue, status: 'spoken', atMs: event.occurredAtMs, withdrawnAtMs: null });
  }
  const missed = new Map<string, CueRow>();
  const dueAt = new Map<string, number>();
  for (const line of derived) {
    if (line.kind === 'cue-due' && line.atMs <= view.clockMs) dueAt.set(line.cue, line.atMs);
    if (line.kind !== 'cue-lapsed' || line.atMs > view.clockMs) continue;
    const cue = cueOf(scenario, line.cue);
    if (cue)
      missed.set(line.cue, {
        cue,
        status: 'missed',
        atMs: dueAt.get(line.cue) ?? line.atMs,
        withdrawnAtMs: line.atMs,
      });
  }
  for (const [id, row] of missed) {
    const said = lastSpoken.get(id);
    if ((said !== undefined && said >= row.atMs) || due.some((each) => each.cue.id === id)) missed.delete(id);
  }
  return [...due, ...[...missed.values(), ...spoken].sort((a, b) => b.atMs - a.atMs)];
}
