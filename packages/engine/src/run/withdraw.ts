/** Which events of a log count, once withdrawals (and withdrawals of withdrawals) are taken into account. */
import type { EventKind, RunEvent } from '../types.ts';

/** Events take effect by the time they are applied, then by number. */
export function inOrder(a: RunEvent, b: RunEvent): number {
  return a.appliedAtMs - b.appliedAtMs || a.seq - b.seq;
}

/** Starting, pausing and resuming moved the clock, so the log without them would be of another length. */
const MOVED_THE_CLOCK: readonly EventKind[] = [
  'run-started',
  'run-paused',
  'run-resumed',
  'real-emergency-stop',
  'real-emergency-cleared',
];

export function isWithdrawable(event: RunEvent): boolean {
  return !MOVED_THE_CLOCK.includes(event.kind);
}

/** The log without withdrawn events, in the order of effect. A withdrawal that is itself withdrawn does nothing. */
export function effectiveEvents(log: readonly RunEvent[]): RunEvent[] {
  const sorted = [...log].sort(inOrder);
  const gone = new Set<number>();
  const numbers = new Map(sorted.map((event) => [event.seq, event]));
  for (let i = sorted.length - 1; i >= 0; i--) {
    const event = sorted[i]!;
    if (event.kind !== 'event-withdrawn' || gone.has(event.seq)) continue;
    const target = numbers.get(event.targetSeq);
    if (target !== undefined && inOrder(target, event) < 0 && isWithdrawable(target)) gone.add(target.seq);
  }
  return sorted.filter((event) => !gone.has(event.seq));
}

/** Run-clock ms from which the run differs once `target` is withdrawn: its own time, or that of what it had withdrawn. */
export function affectedFrom(log: readonly RunEvent[], target: RunEvent): number {
  let event: RunEvent = target;
  const seen = new Set<number>();
  while (event.kind === 'event-withdrawn' && !seen.has(event.seq)) {
    seen.add(event.seq);
    const { targetSeq } = event;
    const next = log.find((other) => other.seq === targetSeq);
    if (next === undefined) break;
    event = next;
  }
  return event.appliedAtMs;
}
