/** Whether a run can take an event: its number, its time, its take. Pure: refusing changes nothing. */
import { EngineError } from '../errors.ts';
import { STEP_MS, type RunEvent } from '../types.ts';
import type { RunCore } from './core.ts';
import { I, PAUSE_REASONS, PHASE } from './layout.ts';

/** How far one go at the scenario has got. */
interface Reached {
  readonly take: number;
  /** Where it was left; of the present one, unused. */
  readonly toMs: number;
}

export interface RunSoFar {
  readonly core: RunCore;
  /** Numbers taken, of events applied and waiting. */
  readonly known: ReadonlySet<number>;
  /** Oldest first; the last is the one being played. */
  readonly takes: readonly Reached[];
}

/** Throws EngineError with what is wrong with it and what would do. */
export function checkEvent(event: RunEvent, run: RunSoFar): void {
  const { seq, appliedAtMs, occurredAtMs } = event;
  const { take } = run.takes.at(-1)!;
  const { clockMs } = run.core;
  if (!Number.isInteger(seq) || seq < 1) {
    throw new EngineError('event-malformed', `an event has the number ${String(seq)}`, 'Numbers are whole, from 1.');
  }
  if (!Number.isInteger(appliedAtMs) || appliedAtMs < 0 || appliedAtMs % STEP_MS !== 0) {
    throw new EngineError(
      'event-time-not-on-a-step',
      `event ${seq} is to be applied at ${String(appliedAtMs)} ms, which is not on a step`,
      `Use a multiple of ${STEP_MS} ms.`,
    );
  }
  if (!Number.isFinite(occurredAtMs) || occurredAtMs > appliedAtMs) {
    throw new EngineError(
      'event-occurs-after-applied',
      `event ${seq} happened at ${String(occurredAtMs)} ms but is applied at ${appliedAtMs} ms`,
      'An event is applied when it happens or later.',
    );
  }
  if (run.known.has(seq)) {
    throw new EngineError('event-number-taken', `there is already an event ${seq}`, 'Each number is used once.');
  }
  if (event.kind === 'wound-back') return checkWind(event, run);
  if (event.take > take) {
    throw new EngineError(
      'take-unknown',
      `event ${seq} belongs to take ${event.take}, but the run is in take ${take}`,
      'A new take begins by winding back.',
    );
  }
  if (event.take === take && appliedAtMs < clockMs) {
    throw new EngineError(
      'event-in-the-past',
      `event ${seq} is to be applied at ${appliedAtMs} ms, but the run is at ${clockMs} ms`,
      'Apply it now, with the time it happened as occurredAtMs.',
    );
  }
}

function checkWind(event: Extract<RunEvent, { kind: 'wound-back' }>, { core, takes }: RunSoFar): void {
  const { seq, take, fromTake, toMs, appliedAtMs } = event;
  const present = takes.at(-1)!;
  const from = takes.find((each) => each.take === fromTake);
  const refuse = (message: string, hint: string): never => {
    throw new EngineError('take-not-possible', `event ${seq} cannot wind back: ${message}`, hint);
  };
  if (take !== present.take + 1) refuse(`it begins take ${take}`, `The next is take ${present.take + 1}.`);
  if (from === undefined) return refuse(`there is no take ${fromTake}`, `Takes run from 1 to ${present.take}.`);
  if (toMs !== appliedAtMs)
    refuse(`it goes to ${toMs} ms but is applied at ${appliedAtMs} ms`, 'The two are the same.');
  const reached = from === present ? core.clockMs : from.toMs;
  if (toMs > reached) refuse(`take ${fromTake} only got to ${reached} ms`, 'Choose an earlier moment.');
  const { ints } = core;
  if (ints[I.phase] === PHASE.ready) refuse('the run has not started', 'Start it first.');
  if (ints[I.emergency] === 1) refuse('a real emergency is declared', 'Clear it first.');
  if (ints[I.phase] === PHASE.paused && PAUSE_REASONS[ints[I.pausedWhy]! - 1] === 'someone-not-all-right') {
    refuse('it is paused because someone is not all right', 'Resume first.');
  }
}
