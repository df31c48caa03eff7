/** What is still so: infusions given and not stopped since, the oxygen and the position the patient has. Pure. */
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

/** Of these the newest is on and takes the place of the one before. */
const ONE_AT_A_TIME: ReadonlySet<string> = new Set<Intervention['kind']>(['oxygen', 'posture']);

/** The oxygen and the position the patient has now, by id, with since when (run-clock ms). Nothing logged: not known. */
export function onNow(
  log: readonly LogLine[],
  itemOf: (id: string) => Intervention | undefined,
): ReadonlyMap<string, number> {
  const now = new Map<string, { readonly id: string; readonly sinceMs: number }>();
  const events = log.filter((line) => line.withdrawnBy === null).map((line) => line.event);
  for (const event of events.sort((a, b) => a.occurredAtMs - b.occurredAtMs || a.seq - b.seq)) {
    if (event.kind !== 'intervention' && event.kind !== 'intervention-stopped') continue;
    const { id, kind } = itemOf(event.intervention) ?? { id: '', kind: '' };
    if (!ONE_AT_A_TIME.has(kind)) continue;
    const before = now.get(kind);
    if (event.kind === 'intervention-stopped') {
      if (before?.id === id) now.delete(kind);
    } else if (event.step === 'given') {
      now.set(kind, before?.id === id ? before : { id, sinceMs: event.occurredAtMs });
    }
  }
  return new Map([...now.values()].map(({ id, sinceMs }) => [id, sinceMs]));
}
