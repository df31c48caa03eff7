/** Where in a run a tap belongs: the take, the step it is applied at, and when it happened in the room. */
import { eventsOfTake, STEP_MS, type EventBody, type RunEvent } from '@breathline/engine';
import { ACTS_NOW } from './rules.ts';
import type { Timeline } from './timeline.ts';

export interface TapTimes {
  readonly nowMs: number;
  /** "That was so long ago", on the run clock. */
  readonly agoMs: number;
  /** How long it waited on its screen, on the wall. */
  readonly heldMs: number;
}

/** Whether a line is part of a take. */
export const countsIn = (log: readonly RunEvent[], take: number, seq: number): boolean =>
  eventsOfTake(log, take).some((event) => event.seq === seq);

/**
 * `now` is where the run stands, which is what a tap that did not wait means. One that waited while the run was wound back
 * belongs to the take that was left, and changes nothing of the present one. Only the undo of a line that still counts acts
 * on the present: a dose that nobody gave is in no take.
 */
export const placeTap = (
  body: EventBody,
  now: { readonly clockMs: number; readonly take: number },
  timeline: Timeline,
  { nowMs, agoMs, heldMs }: TapTimes,
  log: readonly RunEvent[],
): Pick<RunEvent, 'take' | 'appliedAtMs' | 'occurredAtMs'> => {
  if (body.kind === 'wound-back') return { take: now.take + 1, appliedAtMs: body.toMs, occurredAtMs: body.toMs };
  const then = heldMs === 0 || ACTS_NOW.has(body.kind) ? now : timeline.at(nowMs - heldMs);
  const undoesPresent =
    body.kind === 'event-withdrawn' && then.take !== now.take && countsIn(log, now.take, body.targetSeq);
  const tapped = undoesPresent ? now : then;
  const left = tapped.take !== now.take;
  const appliedAtMs = left ? Math.floor(tapped.clockMs / STEP_MS) * STEP_MS : now.clockMs;
  const happenedMs = Math.round((tapped.clockMs - agoMs) / STEP_MS) * STEP_MS;
  return { take: tapped.take, appliedAtMs, occurredAtMs: Math.min(appliedAtMs, Math.max(0, happenedMs)) };
};
