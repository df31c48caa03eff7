/**
 * Which events of a log count in a take, once winding back and withdrawals (and withdrawals of withdrawals) are taken into
 * account. A take begins with what its parent had up to the moment wound back to, as the parent stood when that was done.
 */
import type { EventKind, RunEvent } from '../types.ts';

/** Events of one take have effect by the time they are applied, then by number. */
export function inOrder(a: RunEvent, b: RunEvent): number {
  return a.appliedAtMs - b.appliedAtMs || a.seq - b.seq;
}

/** Starting, pausing, resuming and winding back moved the clock, so the log without them would be of another length. */
const MOVED_THE_CLOCK: readonly EventKind[] = [
  'run-started',
  'run-paused',
  'run-resumed',
  'real-emergency-stop',
  'real-emergency-cleared',
  'wound-back',
];

export function isWithdrawable(event: RunEvent): boolean {
  return !MOVED_THE_CLOCK.includes(event.kind);
}

/** Where one take comes from. */
export interface TakeStart {
  readonly take: number;
  /** Null for the first. */
  readonly fromTake: number | null;
  /** Run-clock ms at which it begins. */
  readonly fromMs: number;
  /** Number of the event that began it; 0 for the first. */
  readonly seq: number;
}

/** The takes of a log, oldest first; there is always a first. */
export function takesOf(log: readonly RunEvent[]): readonly TakeStart[] {
  const takes: TakeStart[] = [{ take: 1, fromTake: null, fromMs: 0, seq: 0 }];
  for (const event of log) {
    if (event.kind !== 'wound-back') continue;
    takes.push({ take: event.take, fromTake: event.fromTake, fromMs: event.toMs, seq: event.seq });
  }
  return takes.length === 1 ? takes : takes.sort((a, b) => a.seq - b.seq);
}

/** The take being played at the end of a log. */
export function lastTake(log: readonly RunEvent[]): number {
  return log.reduce((most, event) => (event.take > most ? event.take : most), 1);
}

/** A log in the order it was played: take by take, and within each by time, then number. */
export function inRunOrder(log: readonly RunEvent[]): RunEvent[] {
  const starts = takesOf(log);
  if (starts.length === 1) return [...log].sort(inOrder);
  const era = (event: RunEvent): number => {
    let at = 0;
    while (at + 1 < starts.length && starts[at + 1]!.seq <= event.seq) at++;
    return at;
  };
  const keyed = log.map((event) => ({ event, era: era(event) }));
  // What was added to an earlier take afterwards comes last of its time.
  const late = ({ event, era: at }: { event: RunEvent; era: number }): number =>
    event.take < starts[at]!.take ? 1 : 0;
  keyed.sort((a, b) => a.era - b.era || late(a) - late(b) || inOrder(a.event, b.event));
  return keyed.map((each) => each.event);
}

/** Events of a take and of those before it, as far as they reach into it, in the order of effect; and what is withdrawn. */
function lineageOf(
  log: readonly RunEvent[],
  take: number,
): { readonly events: RunEvent[]; readonly gone: ReadonlySet<number>; readonly reach: (event: RunEvent) => boolean } {
  const starts = new Map(takesOf(log).map((start) => [start.take, start]));
  // From the take back to the first: how much of each counts.
  const parts: { take: number; beforeSeq: number; untilMs: number }[] = [];
  let [at, beforeSeq, untilMs] = [take, Infinity, Infinity];
  for (;;) {
    parts.unshift({ take: at, beforeSeq, untilMs });
    const start = starts.get(at);
    if (start === undefined || start.fromTake === null || parts.length > starts.size) break;
    [at, beforeSeq, untilMs] = [start.fromTake, Math.min(beforeSeq, start.seq), Math.min(untilMs, start.fromMs)];
  }
  const events: RunEvent[] = [];
  const cut = new Map<number, number>();
  for (const part of parts) {
    cut.set(part.take, part.untilMs);
    events.push(...log.filter((event) => event.take === part.take && event.seq < part.beforeSeq).sort(inOrder));
  }
  const gone = new Set<number>();
  const numbers = new Map(events.map((event, place) => [event.seq, { event, place }]));
  for (let i = events.length - 1; i >= 0; i--) {
    const event = events[i]!;
    if (event.kind !== 'event-withdrawn' || gone.has(event.seq)) continue;
    const target = numbers.get(event.targetSeq);
    if (target !== undefined && target.place < i && isWithdrawable(target.event)) gone.add(target.event.seq);
  }
  return { events, gone, reach: (event) => event.appliedAtMs <= cut.get(event.take)! };
}

/**
 * The log of a take (default the last) without withdrawn events, in the order of effect: what its parents had until it
 * began, then its own. A withdrawal that is itself withdrawn does nothing; one made later in a parent, before winding back,
 * counts.
 */
export function effectiveEvents(log: readonly RunEvent[], take: number = lastTake(log)): RunEvent[] {
  const { events, gone, reach } = lineageOf(log, take);
  return events.filter((event) => reach(event) && !gone.has(event.seq));
}

/** Words about a run that say which take they are about. They change no patient. */
const takeMeant = (event: RunEvent): number =>
  event.kind === 'reconciled' || event.kind === 'line-adjusted' || event.kind === 'circumstance-told'
    ? (event.ofTake ?? event.take)
    : event.take;

/**
 * A take's own events and its parents', with the answers and judgements that are about it and without those about another,
 * whichever take was the present one when they were given.
 */
export function eventsAboutTake(log: readonly RunEvent[], take: number): RunEvent[] {
  const own = eventsOfTake(log, take).filter((event) => takeMeant(event) === event.take);
  const about = log.filter((event) => takeMeant(event) === take && event.take !== take);
  if (about.length === 0) return own;
  const gone = withdrawnEvents(log);
  return [...own, ...about.filter((event) => !gone.has(event.seq)).map((event) => ({ ...event, take }))];
}

/** As `effectiveEvents`, withdrawn events included. */
export function eventsOfTake(log: readonly RunEvent[], take: number = lastTake(log)): RunEvent[] {
  const { events, reach } = lineageOf(log, take);
  return events.filter((event) => reach(event) || event.kind === 'event-withdrawn');
}

/** Numbers of the events that are withdrawn in the take they belong to, or in the present one. */
export function withdrawnEvents(log: readonly RunEvent[], present: number = lastTake(log)): ReadonlySet<number> {
  const gone = new Set<number>();
  for (const { take } of takesOf(log)) {
    const lineage = lineageOf(log, take);
    const own = new Set(log.filter((event) => event.take === take).map((event) => event.seq));
    for (const seq of lineage.gone) if (take === present || own.has(seq)) gone.add(seq);
  }
  return gone;
}

/** Of what was kept take by take (track, derived facts), what belongs to one take: its parents' until it began, its own. */
export function keptOfTake<T extends { readonly atMs: number; readonly take?: number }>(
  kept: readonly T[],
  log: readonly RunEvent[],
  take: number,
): T[] {
  const starts = new Map(takesOf(log).map((start) => [start.take, start]));
  const until = new Map<number, number>();
  let [at, untilMs] = [take, Infinity];
  while (!until.has(at)) {
    until.set(at, untilMs);
    const start = starts.get(at);
    if (start === undefined || start.fromTake === null) break;
    [at, untilMs] = [start.fromTake, Math.min(untilMs, start.fromMs)];
  }
  return kept.filter((one) => one.atMs <= (until.get(one.take ?? 1) ?? -1));
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
