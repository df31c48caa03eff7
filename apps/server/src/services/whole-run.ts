/** A run that comes in as one file: what must hold of it before any of it is kept. */
import { STEP_MS, type RunExport } from '@breathline/engine';
import { Refusal } from '../refusal.ts';

/** When a run ended by the wall clock, or null. */
export const endOf = ({ events }: RunExport): string | null => {
  const ended = events.findLast(({ kind }) => kind === 'run-ended');
  return ended && !Number.isNaN(Date.parse(ended.wallTime)) ? new Date(ended.wallTime).toISOString() : null;
};

/**
 * What a schema can not say of a run brought in: numbers without gaps, times in order, a pack that is there.
 *
 * @throws {Refusal} `bad-import`, naming the line.
 */
export const checkWhole = ({ events, track, definition }: RunExport): void => {
  const bad = (message: string): never => {
    throw new Refusal('bad-import', message);
  };
  const taps = new Set<string>();
  let [take, reachedMs] = [1, 0];
  events.forEach((event, at) => {
    if (event.clientId !== undefined && event.clientNumber !== undefined) {
      const tap = `${event.clientId}:${event.clientNumber}`;
      if (taps.has(tap)) bad(`Log line ${event.seq} repeats the tap ${tap}.`);
      taps.add(tap);
    }
    if (event.seq !== at + 1) bad(`Log line ${at + 1} has the number ${event.seq}.`);
    if (event.appliedAtMs % STEP_MS !== 0) bad(`Log line ${event.seq} is not on a step of ${STEP_MS} ms.`);
    if (event.occurredAtMs > event.appliedAtMs) bad(`Log line ${event.seq} happened after it was applied.`);
    if (event.kind === 'wound-back' ? event.take !== take + 1 : event.take > take) {
      bad(`Log line ${event.seq} belongs to take ${event.take}, which has not begun.`);
    }
    // A line of a take that was left came late and stands where it was logged.
    if (event.take < take) return;
    if (event.kind !== 'wound-back' && event.appliedAtMs < reachedMs) {
      bad(`Log line ${event.seq} comes before the line above it.`);
    }
    [take, reachedMs] = [event.take, event.appliedAtMs];
  });
  track.forEach(({ atMs, take = 1 }, at) => {
    const before = track[at - 1];
    const same = before && (before.take ?? 1) === take;
    if (!Number.isInteger(atMs) || atMs < 0 || (same ? before.atMs >= atMs : before && (before.take ?? 1) > take))
      bad(`Second ${at + 1} of the track is out of order.`);
  });
  if (!definition.library.packs.some(({ id }) => id === definition.packId)) {
    bad(`The file's own library has no pack "${definition.packId}".`);
  }
};
