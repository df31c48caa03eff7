/** What was last said aloud of the patient, out of the run's log: the same on every console and after a reload. */
import type { EventBody, RunEvent } from '@breathline/engine';
import type { LogLine } from '@breathline/protocol';
import type { Told } from './findings.ts';

/** Of one tap or line; null when it is about something else. */
export function toldOf(line: { readonly command: EventBody; readonly occurredAtMs: number } | null): Told | null {
  return line?.command.kind === 'findings-said' ? { atMs: line.occurredAtMs, findings: line.command.said } : null;
}

/** The newest that stands in a log; null when nothing was said. */
export function lastTold(log: readonly LogLine[]): Told | null {
  const event: RunEvent | undefined = log.findLast(
    (line) => line.withdrawnBy === null && line.event.kind === 'findings-said',
  )?.event;
  return event ? toldOf({ command: event, occurredAtMs: event.occurredAtMs }) : null;
}
