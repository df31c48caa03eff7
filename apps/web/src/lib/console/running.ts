/** What is still running into the patient: infusions given and not stopped since. Pure. */
import type { LogLine } from '@breathline/protocol';
import type { Intervention } from '@breathline/scenario';

export interface Running {
  readonly item: Intervention;
  /** When it was first started, run-clock ms; a changed rate goes on from there. */
  readonly sinceMs: number;
}

/** Oldest first. A line taken back counts for nothing; what happened earlier comes first, whenever it was logged. */
export function runningInfusions(
  log: readonly LogLine[],
  itemOf: (id: string) => Intervention | undefined,
): readonly Running[] {
  const running = new Map<string, Running>();
  const events = log.filter((line) => line.withdrawnBy === null).map((line) => line.event);
  for (const event of events.sort((a, b) => a.occurredAtMs - b.occurredAtMs || a.seq - b.seq)) {
    if (event.kind === 'intervention-stopped') running.delete(event.intervention);
    if (event.kind !== 'intervention' || event.step !== 'given') continue;
    const item = itemOf(event.intervention);
    if (item?.ratePer === undefined) continue;
    if (event.amount === 0) running.delete(item.id);
    else if (!running.has(item.id)) running.set(item.id, { item, sinceMs: event.occurredAtMs });
  }
  return [...running.values()];
}
