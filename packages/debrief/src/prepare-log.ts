/**
 * From a raw event log to what scoring reads: one take, nothing withdrawn, nothing after the end, in an order that
 * does not depend on how simultaneous events happened to be numbered.
 */
import { deviceDelivery } from '@breathline/patient';
import {
  amendedEvents,
  eventsOfTake,
  keptOfTake,
  type EventBody,
  type RunEvent,
  type RunExport,
} from '@breathline/engine';
import type { GuidelinePack, Intervention } from '@breathline/scenario';

type InterventionBody = Extract<EventBody, { kind: 'intervention' }>;

/** Something the team did, from a log line or (when `reconciled`) from their own account afterwards. */
export interface Act {
  readonly seq: number | null;
  readonly atMs: number;
  readonly intervention: string;
  /** Present for anything logged as an intervention. */
  readonly given: InterventionBody | null;
  readonly reconciled: boolean;
  readonly assessment: boolean;
}

export interface Answer {
  readonly answer: 'done' | 'not-done' | 'unsure';
  readonly atMs: number | null;
  readonly seq: number;
}

export type CircumstanceAnswer = Extract<EventBody, { kind: 'circumstance-told' }>['answer'];

export interface PreparedLog {
  readonly take: number;
  readonly arrivalMs: number;
  readonly endMs: number;
  /** False when the log has no end (a run still going, or exported as it stood). */
  readonly ended: boolean;
  /** Given or done. Sorted by time. */
  readonly acts: readonly Act[];
  /** Injectors that were used and delivered nothing to the patient. Not acts: nothing was given. */
  readonly undelivered: readonly Act[];
  readonly said: readonly Act[];
  readonly drawnUp: readonly Act[];
  readonly cuesSpoken: readonly { readonly seq: number; readonly cue: string; readonly atMs: number }[];
  readonly flags: readonly { readonly label: string; readonly atMs: number }[];
  readonly answers: ReadonlyMap<string, Answer>;
  /** What was told afterwards of what no drill can know, by the pack's words for it. */
  readonly circumstances: ReadonlyMap<string, CircumstanceAnswer>;
  /** Spans of the run clock that passed while paused. The clock normally stands still, so these are normally empty. */
  readonly pauses: readonly { readonly fromMs: number; readonly toMs: number }[];
  /** The events that count, in canonical order. */
  readonly events: readonly RunEvent[];
}

/** Starting, pausing and resuming moved the clock, so they can't be taken back. */
const MOVED_THE_CLOCK: readonly RunEvent['kind'][] = [
  'run-started',
  'run-paused',
  'run-resumed',
  'real-emergency-stop',
  'real-emergency-cleared',
  'wound-back',
];

/** Words about a finished run: when they were said is no part of it. */
const SAID_AFTERWARDS: readonly RunEvent['kind'][] = [
  'reconciled',
  'circumstance-told',
  'line-adjusted',
  'objective-judged',
  'debrief-note',
  'debrief-phase',
];

/** The seq of every event that a standing withdrawal takes out. A withdrawal may itself be withdrawn. */
export function withdrawnSeqs(events: readonly RunEvent[]): ReadonlySet<number> {
  const out = new Set<number>();
  const fixed = new Set(events.filter((event) => MOVED_THE_CLOCK.includes(event.kind)).map((event) => event.seq));
  // A withdrawal names an earlier event, so going backwards settles an undo of an undo.
  for (const event of [...events].sort((a, b) => b.seq - a.seq)) {
    if (event.kind !== 'event-withdrawn' || out.has(event.seq)) continue;
    if (event.targetSeq < event.seq && !fixed.has(event.targetSeq)) out.add(event.targetSeq);
  }
  return out;
}

/** What the event says, without who sent it or when: the tie-break for simultaneous events. */
function contentKey(event: RunEvent): string {
  const body: Record<string, unknown> = { ...event };
  for (const label of ['seq', 'wallTime', 'by', 'clientId', 'clientNumber', 'appliedAtMs', 'take']) delete body[label];
  return JSON.stringify(
    Object.keys(body)
      .sort()
      .map((key) => [key, body[key]]),
  );
}

/** By time in the room, then by content, then by number: renumbering simultaneous events changes nothing. */
function inCanonicalOrder(events: readonly RunEvent[]): RunEvent[] {
  const keyed = events.map((event) => ({ event, key: contentKey(event) }));
  keyed.sort(
    (a, b) =>
      a.event.occurredAtMs - b.event.occurredAtMs ||
      (a.key < b.key ? -1 : a.key > b.key ? 1 : a.event.seq - b.event.seq),
  );
  return keyed.map((one) => one.event);
}

function findPauses(events: readonly RunEvent[]): { fromMs: number; toMs: number }[] {
  const changes: { atMs: number; paused: boolean }[] = [];
  for (const event of events) {
    if (event.kind === 'run-paused' || event.kind === 'real-emergency-stop')
      changes.push({ atMs: event.appliedAtMs, paused: true });
    if (event.kind === 'run-resumed') changes.push({ atMs: event.appliedAtMs, paused: false });
  }
  // Pauses first at equal times: with the clock standing still a pause and its resume share a time.
  changes.sort((a, b) => a.atMs - b.atMs || Number(b.paused) - Number(a.paused));
  const spans: { fromMs: number; toMs: number }[] = [];
  let since: number | null = null;
  for (const change of changes) {
    if (change.paused) since ??= change.atMs;
    else if (since !== null) {
      if (change.atMs > since) spans.push({ fromMs: since, toMs: change.atMs });
      since = null;
    }
  }
  return spans;
}

/** Does this event count as something done by the intervention's own lights? Words alone do for a call or a team act. */
function isDone(body: InterventionBody, known: Intervention | undefined): boolean {
  if (body.step === 'given') return true;
  return body.step === 'said' && (known?.kind === 'call' || known?.kind === 'team');
}

/** Did nothing of an injector's dose reach the patient? */
function isUndelivered(body: InterventionBody, known: Intervention | undefined): boolean {
  if (body.step !== 'given' || known?.deviceDoses === undefined || body.deviceUse === undefined) return false;
  const { muscleShare, skinShare } = deviceDelivery(body.deviceUse);
  return muscleShare + skinShare <= 0;
}

/**
 * Reads the log of the scored take. An event counts when it happened before the end (`occurredAtMs < endMs`; the end
 * itself is not part of the run), whenever it was logged. Answers given at the reconcile step count whenever given.
 */
export function prepareLog(run: RunExport): PreparedLog {
  // A take wound back to begins with what its parents had until then; an end that was wound back from is none.
  const whole = eventsOfTake(run.events, run.scoredTake);
  const withdrawn = withdrawnSeqs(whole);
  const live = amendedEvents(whole.filter((event) => !withdrawn.has(event.seq)));
  const ends = live
    .filter((event) => event.kind === 'run-ended' && event.take === run.scoredTake)
    .map((event) => event.appliedAtMs);
  const ended = ends.length > 0;
  const lastSeen = Math.max(
    0,
    keptOfTake(run.track, run.events, run.scoredTake).at(-1)?.atMs ?? 0,
    ...live.filter((event) => !SAID_AFTERWARDS.includes(event.kind)).map((event) => event.occurredAtMs),
  );
  const endMs = ended ? Math.min(...ends) : lastSeen;
  const started = live.filter((event) => event.kind === 'run-started').map((event) => event.appliedAtMs);

  const answers = new Map<string, Answer>();
  const circumstances = new Map<string, CircumstanceAnswer>();
  for (const event of [...live].sort((a, b) => a.seq - b.seq)) {
    if (event.kind === 'reconciled')
      answers.set(event.target, { answer: event.answer, atMs: event.atMs ?? null, seq: event.seq });
    if (event.kind === 'circumstance-told') circumstances.set(event.circumstance, event.answer);
  }

  const events = inCanonicalOrder(
    live.filter(
      (event) =>
        event.kind !== 'reconciled' &&
        event.kind !== 'circumstance-told' &&
        (ended ? event.occurredAtMs < endMs : event.occurredAtMs <= endMs),
    ),
  );
  const known = new Map(run.definition.library.interventions.map((one) => [one.id, one]));
  const acts: Act[] = [];
  const said: Act[] = [];
  const drawnUp: Act[] = [];
  const undelivered: Act[] = [];
  for (const event of events) {
    const base = { seq: event.seq, atMs: event.occurredAtMs, reconciled: false };
    if (event.kind === 'intervention') {
      const act = { ...base, intervention: event.intervention, given: event, assessment: false };
      if (isUndelivered(event, known.get(event.intervention))) undelivered.push(act);
      else if (isDone(event, known.get(event.intervention))) acts.push(act);
      if (event.step === 'said') said.push(act);
      if (event.step === 'drawn-up') drawnUp.push(act);
    } else if (event.kind === 'assessment') {
      acts.push({ ...base, intervention: event.intervention, given: null, assessment: true });
    } else if (event.kind === 'device-attached') {
      for (const one of run.definition.library.interventions) {
        if (one.device === event.device) acts.push({ ...base, intervention: one.id, given: null, assessment: false });
      }
    }
  }
  return {
    take: run.scoredTake,
    arrivalMs: started.length > 0 ? Math.min(...started) : 0,
    endMs,
    ended,
    acts,
    undelivered,
    said,
    drawnUp,
    cuesSpoken: events.flatMap((event) =>
      event.kind === 'cue-spoken' ? [{ seq: event.seq, cue: event.cue, atMs: event.occurredAtMs }] : [],
    ),
    flags: events.flatMap((event) =>
      event.kind === 'faculty-flag' ? [{ label: event.label, atMs: event.occurredAtMs }] : [],
    ),
    answers,
    circumstances,
    pauses: findPauses(live),
    events,
  };
}

/** Adds what the team said afterwards they had done, with a time, where the log holds nothing for that target. */
export function withReconciledActs(log: PreparedLog, pack: GuidelinePack): PreparedLog {
  const added: Act[] = [];
  for (const target of pack.targets) {
    const answer = log.answers.get(target.id);
    const intervention = target.interventions[0];
    if (answer?.answer !== 'done' || answer.atMs === null || intervention === undefined) continue;
    if (answer.atMs < 0 || answer.atMs > log.endMs) continue;
    const have = log.acts.filter((act) => target.interventions.includes(act.intervention)).length;
    if (have >= nthOf(target)) continue;
    if (added.some((act) => act.intervention === intervention && act.atMs === answer.atMs)) continue;
    added.push({ seq: answer.seq, atMs: answer.atMs, intervention, given: null, reconciled: true, assessment: false });
  }
  if (added.length === 0) return log;
  const acts = [...log.acts, ...added];
  acts.sort((a, b) => a.atMs - b.atMs);
  return { ...log, acts };
}

/** Which dose a target times: as written, else the second for a repeat and the first otherwise. */
export function nthOf(target: { readonly clock: string; readonly nth?: number }): number {
  return target.nth ?? (target.clock === 'previous-dose' ? 2 : 1);
}

/** Run-clock time `activeMs` of unpaused run after `fromMs`. */
export function addActiveMs(pauses: PreparedLog['pauses'], fromMs: number, activeMs: number): number {
  let at = fromMs + activeMs;
  for (const span of pauses) {
    const overlapFrom = Math.max(span.fromMs, fromMs);
    if (overlapFrom < at && span.toMs > overlapFrom) at += span.toMs - overlapFrom;
  }
  return at;
}

/** Unpaused milliseconds from one run-clock time to another; negative when `toMs` is earlier. */
export function activeMsBetween(pauses: PreparedLog['pauses'], fromMs: number, toMs: number): number {
  if (toMs < fromMs) return -activeMsBetween(pauses, toMs, fromMs);
  let span = toMs - fromMs;
  for (const pause of pauses) {
    const overlap = Math.min(pause.toMs, toMs) - Math.max(pause.fromMs, fromMs);
    if (overlap > 0) span -= overlap;
  }
  return span;
}
