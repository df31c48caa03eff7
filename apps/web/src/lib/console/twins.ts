/** One act that two people logged: the patient would feel it twice. Pure. */
import type { LogLine } from '@breathline/protocol';

/** How far apart two lines about one act may be, ms. Common practice, no source: two people see it and each taps. */
export const TWIN_MS = 5_000;

/**
 * Of a line about something done: an earlier line that says the same done within `TWIN_MS`. The earlier one is never told
 * of the later, so that two people do not both take theirs back.
 */
export function twinOf(log: readonly LogLine[], seq: number): LogLine | null {
  const mine = log.find((line) => line.event.seq === seq);
  const act = mine?.event;
  if (mine?.withdrawnBy !== null || act?.kind !== 'intervention') return null;
  return (
    log.findLast(
      ({ event, withdrawnBy }) =>
        withdrawnBy === null &&
        event.kind === 'intervention' &&
        event.seq < seq &&
        event.take === act.take &&
        event.intervention === act.intervention &&
        event.step === act.step &&
        Math.abs(event.occurredAtMs - act.occurredAtMs) <= TWIN_MS,
    ) ?? null
  );
}

/** "logged twice? Also at 0:21 by the logger"; undo stands beside it. */
export function twinWords(twin: LogLine, clock: (ms: number) => string): string {
  const { by, occurredAtMs } = twin.event;
  return `logged twice? Also at ${clock(occurredAtMs)} by the ${by.role}`;
}
