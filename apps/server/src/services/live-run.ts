/**
 * One run in memory. A tap takes one path: rules, a reserved place in the log, disk, engine, screens. While an append is
 * on its way to disk the run waits at the step it was reserved for, so that what is applied is always what is saved.
 */
import {
  STEP_MS,
  withdrawnEvents,
  type Actor,
  type Derived,
  type EventBody,
  type Explanation,
  type RunEvent,
  type RunView,
} from '@breathline/engine';
import {
  STEERING_KINDS,
  type AckMessage,
  type ChestSounds,
  type ClockAnchor,
  type CommandMessage,
  type LogLine,
  type Role,
} from '@breathline/protocol';
import { Refusal } from '../refusal.ts';
import type { EventStore, StoredEvent } from '../store/event-store.ts';
import type { RunAbout, RunBody, RunHead, RunProgress } from '../store/run-store.ts';
import { Answers } from './answers.ts';
import type { EngineOptions, EngineRun, VitalId, WholeScores } from './engine-port.ts';
import { countsIn, placeTap } from './placing.ts';
import { PHASE_KINDS, checkRules } from './rules.ts';
import { Timeline } from './timeline.ts';

/** A longer gap between two steps means that the machine slept or stood still, as if the server had been away. */
const MAX_LAG_MS = 10_000;
const SECOND_MS = 1_000;
/**
 * The longest time away that is told and may count for the patient: after more the team has long stopped, and living through
 * it would keep every screen waiting (ten minutes of it take about a second).
 */
const MOST_AWAY_MS = 900_000;
/** Kinds after which the clock may go at another pace, or stand elsewhere. */
const MOVES_CLOCK: ReadonlySet<string> = new Set(['speed-changed', 'wound-back', 'run-resumed']);
const STEERING: ReadonlySet<string> = new Set(STEERING_KINDS);

/** Kinds after which a run goes. */
const SETS_GOING: ReadonlySet<string> = new Set(['run-started', 'run-resumed', 'wound-back']);

/** Told when an event has been applied. */
export type OnApplied = (run: LiveRun, event: RunEvent) => void;

export interface CommandSender {
  readonly role: Role;
  readonly actor: Actor;
}

export class LiveRun {
  readonly runId: string;
  readonly body: RunBody;
  readonly log: RunEvent[] = [];
  /** Withdrawn line -> the line that withdrew it. */
  readonly withdrawnBy = new Map<number, number>();
  /** Log lines in the order they came or changed; screens keep their place in it. */
  readonly changes: number[] = [];
  /** Pictures kept for this run, by id. */
  readonly photos: Set<string>;

  #head: RunHead;
  readonly #engine: EngineRun;
  readonly #events: EventStore;
  readonly #onApplied: OnApplied;
  #onSecond: () => void = () => undefined;
  readonly #answers = new Answers();
  readonly #timeline = new Timeline();
  readonly #lastTrackMs: Map<number, number>;
  /** When the clock was last known to run before this server came up, on its monotonic clock. */
  #seenAtMs: number | null;
  /** Time that the server was away for, and of which nobody has said yet how it counts; it ends where people halt the drill. */
  #gap: { readonly endMs: number | null } | null = null;
  #nextSeq = 1;
  /** Which go at the scenario is being played. */
  #takeNumber = 1;
  #speed = 1;
  #pending = 0;
  #pendingPhase: Promise<unknown> = Promise.resolve();
  #rows: { take: number; row: RunProgress['rows'][number]['row'] }[] = [];
  #dirty = false;
  #endedAt: string | null;

  constructor(options: {
    readonly head: RunHead;
    readonly body: RunBody;
    readonly makeEngine: (options: EngineOptions) => EngineRun;
    readonly events: EventStore;
    /** Last second of each take already on disk. */
    readonly lastTrackMs?: ReadonlyMap<number, number>;
    readonly photos?: readonly string[];
    /** When the clock was last known to run, on the monotonic clock; null when it never did. */
    readonly seenAtMs?: number | null;
    readonly onApplied: OnApplied;
  }) {
    this.runId = options.head.runId;
    this.body = options.body;
    this.#head = options.head;
    this.#engine = options.makeEngine({
      onSecond: (engine) => {
        this.#track(engine);
        this.#onSecond();
      },
    });
    this.#events = options.events;
    this.#lastTrackMs = new Map(options.lastTrackMs);
    this.#seenAtMs = options.seenAtMs ?? null;
    this.photos = new Set(options.photos);
    this.#onApplied = options.onApplied;
    this.#endedAt = options.head.endedAt;
  }

  get phase() {
    return this.#engine.phase;
  }

  get clockMs(): number {
    return this.#engine.clockMs;
  }

  /** Last line of the log that is on disk and applied. */
  get seq(): number {
    return this.log.length;
  }

  get head(): RunHead {
    const { imported, scoredTake } = this.#head;
    return {
      ...this.#head,
      phase: this.phase,
      clockMs: this.clockMs,
      endedAt: this.#endedAt,
      scoredTake: imported ? scoredTake : this.#takeNumber,
    };
  }

  view(): RunView {
    return this.#engine.view();
  }

  derived(): readonly Derived[] {
    return this.#engine.derived;
  }

  /** Why a vital is what it is now; refused during a real emergency, when no number of the drill may be read off a screen. */
  explain(vital: VitalId): Explanation {
    this.refuseInEmergency();
    return this.#engine.explain(vital);
  }

  /** Bedside scores now, whole; refused during a real emergency. */
  scores(): WholeScores {
    this.refuseInEmergency();
    return this.#engine.scores();
  }

  /** What a stethoscope would hear now. */
  chest(): ChestSounds | null {
    return this.#engine.chest();
  }

  /** What the run clock shows at this instant, finer than a step, and how fast it goes. */
  anchor(nowMs: number): ClockAnchor {
    const rate = this.phase === 'running' ? this.#timeline.rate : 0;
    // Never further ahead than a machine out of breath could make good at once.
    const runMs = rate === 0 ? this.clockMs : Math.min(this.#timeline.due(nowMs), this.clockMs + SECOND_MS * rate);
    return { serverMs: Math.round(nowMs), runMs: Math.round(Math.max(this.clockMs, runMs)), rate };
  }

  /** How long the run has stood still because the server was away, ms; null when it does not wait for that. */
  awayMs(nowMs: number): number | null {
    if (this.#seenAtMs === null || this.phase !== 'paused' || this.#gap === null) return null;
    return Math.round(Math.min(MOST_AWAY_MS, Math.max(0, (this.#gap.endMs ?? nowMs) - this.#seenAtMs)));
  }

  /** Refused during a real emergency, when no number of the drill may be read off a screen; once ended, it may be talked about. */
  refuseInEmergency(): void {
    if (!this.#realEmergency() || this.phase === 'ended') return;
    throw new Refusal('wrong-phase', 'The run is stopped for a real emergency: no number of the drill is shown.', {
      hint: 'Clear the stop on the console first.',
    });
  }

  line(seq: number): LogLine | null {
    const event = this.log[seq - 1];
    return event ? { event, withdrawnBy: this.withdrawnBy.get(seq) ?? null } : null;
  }

  /**
   * Puts a stored log back, at the speed of the machine, then steps to where the clock was last seen. `nowOf` turns a label
   * on the wall into the monotonic clock, for taps that waited on a screen all the while; `onSecond` sees every whole second
   * as it is passed again.
   */
  replay(
    stored: readonly StoredEvent[],
    clockMs: number,
    nowOf: (wallTime: string) => number = () => 0,
    onSecond: () => void = () => undefined,
  ): void {
    this.#onSecond = onSecond;
    for (const { event, requestHash: hash, warnings } of stored) {
      // A take that is left is played as far as it went; what was added to it afterwards moves nothing.
      if (event.kind === 'wound-back') this.#stepTo(event.leftAtMs ?? 0);
      else if (event.take === this.#takeNumber) this.#stepTo(event.appliedAtMs);
      const wroteAtMs = nowOf(event.wallTime);
      this.#take(event, wroteAtMs);
      // It ran then, though its clock may not have been written since: time before that must not count again.
      if (SETS_GOING.has(event.kind)) this.#seenAtMs = Math.max(this.#seenAtMs ?? -Infinity, wroteAtMs);
      this.#nextSeq = event.seq + 1;
      if (event.clientId !== undefined && event.clientNumber !== undefined && hash !== null) {
        const ack: AckMessage = { t: 'ack', n: event.clientNumber, seq: event.seq, warnings };
        this.#answers.restore(event.clientId, hash, ack);
      }
    }
    this.#stepTo(clockMs);
    this.#onSecond = () => undefined;
    // Since then the clock stood: the server was away.
    this.#timeline.mark(this.#seenAtMs ?? -Infinity, this.clockMs, 0, this.#takeNumber);
  }

  /** Where it was held, by whom, whether it counts. The caller has it on disk already. */
  setAbout(about: RunAbout): void {
    this.#head = { ...this.#head, ...about };
  }

  /** Steps to where the wall says the clock should be; waits while an append is on its way. */
  tick(nowMs: number): void {
    if (this.#pending > 0 || this.phase !== 'running') return;
    const due = this.#timeline.due(nowMs);
    const lagMs = (due - this.clockMs) / this.#speed;
    if (lagMs > MAX_LAG_MS) {
      this.slept(nowMs, lagMs);
      return;
    }
    this.#stepTo(Math.floor(due / STEP_MS) * STEP_MS);
  }

  /**
   * The machine was asleep for so long: the run waits, paused where it was, and faculty say whether the time away counts, as
   * after a restart. Nothing happens to a run that stood anyway.
   */
  slept(nowMs: number, awayMs: number): void {
    if (this.phase !== 'running' || this.#timeline.rate === 0) return;
    this.#seenAtMs = nowMs - awayMs;
    this.#timeline.mark(nowMs - awayMs, this.clockMs, 0, this.#takeNumber);
    this.append({ kind: 'run-paused', why: 'server-restart' }, { role: 'server' }, () => nowMs).catch(() => {
      // Not on disk, so not paused: the clock goes on from here.
      this.#anchor(nowMs);
    });
  }

  /** One tap. Resolves when it is on disk and applied; throws a `Refusal` when nothing was logged. */
  command(sender: CommandSender, message: CommandMessage, nowMs: () => number): Promise<AckMessage> {
    return this.#answers.once(message, (hash) => this.#command(sender, message, hash, nowMs));
  }

  async #command(
    sender: CommandSender,
    message: CommandMessage,
    hash: string,
    nowMs: () => number,
  ): Promise<AckMessage> {
    // Who may pause depends on whether the run is paused: wait for what is on its way to change that.
    await this.#settled();
    const { command } = message;
    const warnings = checkRules(command, {
      role: sender.role,
      seat: sender.actor.seat ?? '',
      phase: this.phase,
      realEmergency: this.#realEmergency(),
      definition: this.body.definition,
      log: this.log,
      withdrawn: new Set(this.withdrawnBy.keys()),
      photos: this.photos,
      counts: (seq) => countsIn(this.log, this.#takeNumber, seq),
      countedThen: (seq) => countsIn(this.log, this.#timeline.at(nowMs() - (message.heldMs ?? 0)).take, seq),
      awayMs: this.awayMs(nowMs()),
      view: () => this.view(),
    });
    if (STEERING.has(command.kind) && message.baseSeq !== this.#nextSeq - 1) {
      throw new Refusal('stale-sequence', staleMessage(message.baseSeq, this.#nextSeq - 1), {
        currentSeq: this.#nextSeq - 1,
      });
    }
    const event = await this.append(command, sender.actor, nowMs, {
      agoMs: message.agoMs ?? 0,
      heldMs: message.heldMs ?? 0,
      client: { id: message.clientId, number: message.n, hash },
      warnings,
    });
    return { t: 'ack', n: message.n, seq: event.seq, warnings };
  }

  async #settled(): Promise<void> {
    for (let waitFor = this.#pendingPhase; ; waitFor = this.#pendingPhase) {
      await waitFor;
      if (waitFor === this.#pendingPhase) return;
    }
  }

  /** Reserves the next place in the log at the clock's present step, and applies the event once it is on disk. */
  append(
    body: EventBody,
    by: Actor,
    nowMs: () => number,
    more: {
      readonly agoMs?: number;
      readonly heldMs?: number;
      readonly client?: { readonly id: string; readonly number: number; readonly hash: string };
      readonly warnings?: StoredEvent['warnings'];
    } = {},
  ): Promise<RunEvent> {
    this.tick(nowMs());
    const times = { nowMs: nowMs(), agoMs: more.agoMs ?? 0, heldMs: more.heldMs ?? 0 };
    const now = { clockMs: this.clockMs, take: this.#takeNumber };
    const placed = placeTap(body, now, this.#timeline, times, this.log);
    const event: RunEvent = {
      ...body,
      // Where a take was left is not for a screen to say. A debrief's clock runs from when its phase was opened, in the line below.
      ...(body.kind === 'wound-back' ? { leftAtMs: this.clockMs } : {}),
      seq: this.#nextSeq,
      ...placed,
      wallTime: new Date(Date.now() - (body.kind === 'debrief-phase' ? (more.heldMs ?? 0) : 0)).toISOString(),
      by,
      ...(more.client ? { clientId: more.client.id, clientNumber: more.client.number } : {}),
    };
    this.#nextSeq += 1;
    this.#pending += 1;
    const saved = this.#events
      .append(this.runId, { event, requestHash: more.client?.hash ?? null, warnings: more.warnings ?? [] })
      .then(
        () => {
          this.#pending -= 1;
          this.#take(event, nowMs());
          this.tick(nowMs());
          this.#onApplied(this, event);
          return event;
        },
        (error: unknown) => {
          this.#pending -= 1;
          // Everything numbered after a lost event was refused with it.
          this.#nextSeq = Math.min(this.#nextSeq, event.seq);
          console.error('An append failed:', error);
          throw new Refusal('not-saved');
        },
      );
    if (PHASE_KINDS.has(body.kind)) this.#pendingPhase = saved.catch(() => undefined);
    return saved;
  }

  #take(event: RunEvent, nowMs: number): void {
    const before = this.phase;
    try {
      this.#engine.apply(event);
    } catch (error) {
      // It is on disk and stays in the log: a fault of ours must not lose a line, nor keep the run from coming back.
      console.error(`Run ${this.runId}: line ${event.seq} (${event.kind}) could not be applied:`, error);
    }
    this.log.push(event);
    if (event.kind === 'wound-back') this.#takeNumber = event.take;
    this.changes.push(event.seq);
    if (event.kind === 'event-withdrawn' || event.kind === 'wound-back') this.#refreshWithdrawn();
    this.#keepGap(event, nowMs);
    this.#dirty = true;
    if (event.kind === 'speed-changed' || event.kind === 'wound-back') {
      this.#speed = this.#engine.speed();
    }
    if (this.phase !== before || MOVES_CLOCK.has(event.kind)) this.#anchor(nowMs);
    // The first row of a take is its very start; later ones come with each whole second.
    const starts = event.kind === 'wound-back' || this.clockMs === 0;
    if (starts && this.phase === 'running' && this.clockMs % SECOND_MS === 0) this.#track();
    if (this.phase === before) return;
    this.#endedAt = this.phase === 'ended' ? (this.#endedAt ?? event.wallTime) : null;
  }

  /** A person looked after before faculty have said how the server's absence counts takes nothing from their choice. */
  #keepGap(event: RunEvent, nowMs: number): void {
    if (event.kind === 'run-paused' && event.why === 'server-restart') this.#gap = { endMs: null };
    else if (SETS_GOING.has(event.kind)) this.#gap = null;
    else if (this.#gap?.endMs === null && (event.kind === 'run-paused' || event.kind === 'real-emergency-stop'))
      this.#gap = { endMs: nowMs };
  }

  /** Which lines are withdrawn now: a later withdrawal may itself take back an earlier one, and one of another take counts there. */
  #refreshWithdrawn(): void {
    const gone = withdrawnEvents(this.log, this.#takeNumber);
    const now = new Map<number, number>();
    for (const event of this.log) {
      if (event.kind === 'event-withdrawn' && gone.has(event.targetSeq) && !gone.has(event.seq)) {
        now.set(event.targetSeq, event.seq);
      }
    }
    for (const seq of new Set([...now.keys(), ...this.withdrawnBy.keys()])) {
      if (now.get(seq) !== this.withdrawnBy.get(seq)) this.changes.push(seq);
    }
    this.withdrawnBy.clear();
    for (const [seq, by] of now) this.withdrawnBy.set(seq, by);
  }

  #anchor(nowMs: number): void {
    this.#timeline.mark(nowMs, this.clockMs, this.phase === 'running' ? this.#speed : 0, this.#takeNumber);
  }

  #stepTo(ms: number): void {
    if (this.phase !== 'running' || this.clockMs >= ms) return;
    this.#engine.advanceTo(ms);
    this.#dirty = true;
  }

  /** Keeps a row of the second just reached: what was shown is never worked out again. */
  #track({ clockMs } = this.#engine): void {
    const take = this.#takeNumber;
    if (clockMs <= (this.#lastTrackMs.get(take) ?? -1)) return;
    this.#lastTrackMs.set(take, clockMs);
    this.#rows.push({ take, row: this.#engine.trackRow() });
  }

  #realEmergency(): boolean {
    for (let at = this.log.length - 1; at >= 0; at -= 1) {
      const kind = this.log[at]?.kind;
      if (kind === 'real-emergency-stop') return true;
      if (kind === 'real-emergency-cleared') return false;
    }
    return false;
  }

  /** What is not on disk yet; null when nothing moved. `putBack` returns it after a failed write. */
  takeProgress(): RunProgress | null {
    if (!this.#dirty) return null;
    this.#dirty = false;
    const rows = this.#rows;
    this.#rows = [];
    return {
      runId: this.runId,
      phase: this.phase,
      clockMs: this.clockMs,
      endedAt: this.#endedAt,
      derived: this.phase === 'ended' ? this.derived() : null,
      scoredTake: this.head.scoredTake,
      running: this.phase === 'running',
      rows,
    };
  }

  /** True while something of this run is still to be written. */
  get unsaved(): boolean {
    return this.#dirty || this.#pending > 0;
  }

  putBack(progress: RunProgress): void {
    this.#dirty = true;
    this.#rows = [...progress.rows, ...this.#rows];
  }
}

const staleMessage = (found: number | undefined, current: number): string =>
  found === undefined
    ? 'This command steers the run and must say what it was looking at (baseSeq).'
    : `This screen was looking at line ${found} of the log; the run is at ${current}.`;
