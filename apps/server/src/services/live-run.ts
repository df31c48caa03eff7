/**
 * One run in memory. A tap takes one path: rules, a reserved place in the log, disk, engine, screens. While an append is
 * on its way to disk the run waits at the step it was reserved for, so that what is applied is always what is saved.
 */
import { createHash } from 'node:crypto';
import {
  STEP_MS,
  type Actor,
  type Derived,
  type EventBody,
  type Explanation,
  type RunEvent,
  type RunView,
} from '@breathline/engine';
import { STEERING_KINDS, type AckMessage, type CommandMessage, type LogLine, type Role } from '@breathline/protocol';
import { Refusal } from '../refusal.ts';
import type { EventStore, StoredEvent } from '../store/event-store.ts';
import type { RunBody, RunHead, RunProgress } from '../store/run-store.ts';
import type { EngineRun, VitalId, WholeScores } from './engine-port.ts';
import { PHASE_KINDS, checkRules } from './rules.ts';

/** A longer gap between two steps means that the machine slept; the run's clock did not run meanwhile. */
const MAX_LAG_MS = 10_000;
const SECOND_MS = 1_000;
const STEERING: ReadonlySet<string> = new Set(STEERING_KINDS);

/** Told when an event has been applied. */
export type OnApplied = (run: LiveRun, event: RunEvent) => void;

export interface CommandSender {
  readonly role: Role;
  readonly actor: Actor;
}

const requestHash = (message: CommandMessage): string =>
  createHash('sha256')
    .update(JSON.stringify([message.command, message.agoMs ?? 0]))
    .digest('hex')
    .slice(0, 32);

export class LiveRun {
  readonly runId: string;
  readonly body: RunBody;
  readonly log: RunEvent[] = [];
  /** Withdrawn line -> the line that withdrew it. */
  readonly withdrawnBy = new Map<number, number>();
  /** Log lines in the order they came or changed; screens keep their place in it. */
  readonly changes: number[] = [];

  readonly #head: RunHead;
  readonly #engine: EngineRun;
  readonly #events: EventStore;
  readonly #onApplied: OnApplied;
  readonly #answers = new Map<string, { readonly hash: string; readonly ack: Promise<AckMessage> }>();
  #nextSeq = 1;
  /** Which go at the scenario is being played. */
  #takeNumber = 1;
  #pending = 0;
  #pendingPhase: Promise<unknown> = Promise.resolve();
  #anchorNowMs = 0;
  #anchorClockMs = 0;
  #lastTrackMs: number;
  #rows: { take: number; row: RunProgress['rows'][number]['row'] }[] = [];
  #dirty = false;
  #endedAt: string | null;

  constructor(options: {
    readonly head: RunHead;
    readonly body: RunBody;
    readonly engine: EngineRun;
    readonly events: EventStore;
    /** Last second already on disk; -1 for none. */
    readonly lastTrackMs: number;
    readonly onApplied: OnApplied;
  }) {
    this.runId = options.head.runId;
    this.body = options.body;
    this.#head = options.head;
    this.#engine = options.engine;
    this.#events = options.events;
    this.#lastTrackMs = options.lastTrackMs;
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
    return { ...this.#head, phase: this.phase, clockMs: this.clockMs, endedAt: this.#endedAt };
  }

  view(): RunView {
    return this.#engine.view();
  }

  derived(): readonly Derived[] {
    return this.#engine.derived;
  }

  /** Why a vital is what it is now; refused during a real emergency, when no number of the drill may be read off a screen. */
  explain(vital: VitalId): Explanation {
    this.#refuseInEmergency();
    return this.#engine.explain(vital);
  }

  /** Bedside scores now, whole; refused during a real emergency. */
  scores(): WholeScores {
    this.#refuseInEmergency();
    return this.#engine.scores();
  }

  #refuseInEmergency(): void {
    if (!this.#realEmergency()) return;
    throw new Refusal('wrong-phase', 'The run is stopped for a real emergency: no number of the drill is shown.', {
      hint: 'Clear the stop on the console first.',
    });
  }

  line(seq: number): LogLine | null {
    const event = this.log[seq - 1];
    return event ? { event, withdrawnBy: this.withdrawnBy.get(seq) ?? null } : null;
  }

  /** Puts a stored log back, at the speed of the machine, then steps to where the clock was last seen. */
  replay(stored: readonly StoredEvent[], clockMs: number): void {
    for (const { event, requestHash: hash, warnings } of stored) {
      this.#stepTo(event.appliedAtMs);
      this.#take(event);
      this.#nextSeq = event.seq + 1;
      if (event.clientId !== undefined && event.clientNumber !== undefined && hash !== null) {
        const ack: AckMessage = { t: 'ack', n: event.clientNumber, seq: event.seq, warnings };
        this.#answers.set(`${event.clientId}:${event.clientNumber}`, { hash, ack: Promise.resolve(ack) });
      }
    }
    this.#stepTo(clockMs);
  }

  /** Steps to where the wall says the clock should be; waits while an append is on its way. */
  tick(nowMs: number): void {
    if (this.#pending > 0 || this.phase !== 'running') return;
    const due = this.#anchorClockMs + (nowMs - this.#anchorNowMs);
    if (due - this.clockMs > MAX_LAG_MS) {
      this.#anchor(nowMs);
      return;
    }
    this.#stepTo(Math.floor(due / STEP_MS) * STEP_MS);
  }

  /** One tap. Resolves when it is on disk and applied; throws a `Refusal` when nothing was logged. */
  async command(sender: CommandSender, message: CommandMessage, nowMs: () => number): Promise<AckMessage> {
    const key = `${message.clientId}:${message.n}`;
    const hash = requestHash(message);
    const known = this.#answers.get(key);
    if (known) {
      if (known.hash !== hash) throw new Refusal('number-reused');
      return known.ack;
    }
    const ack = this.#command(sender, message, hash, nowMs);
    this.#answers.set(key, { hash, ack });
    // Nothing was logged: the same tap may be tried again.
    ack.catch(() => this.#answers.delete(key));
    return ack;
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
      phase: this.phase,
      realEmergency: this.#realEmergency(),
      definition: this.body.definition,
      log: this.log,
      withdrawn: new Set(this.withdrawnBy.keys()),
      view: () => this.view(),
    });
    if (STEERING.has(command.kind) && message.baseSeq !== this.#nextSeq - 1) {
      throw new Refusal('stale-sequence', staleMessage(message.baseSeq, this.#nextSeq - 1), {
        currentSeq: this.#nextSeq - 1,
      });
    }
    const event = await this.append(command, sender.actor, nowMs, {
      agoMs: message.agoMs ?? 0,
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
      readonly client?: { readonly id: string; readonly number: number; readonly hash: string };
      readonly warnings?: StoredEvent['warnings'];
    } = {},
  ): Promise<RunEvent> {
    this.tick(nowMs());
    const appliedAtMs = this.clockMs;
    const agoMs = Math.round((more.agoMs ?? 0) / STEP_MS) * STEP_MS;
    const event: RunEvent = {
      ...body,
      seq: this.#nextSeq,
      take: this.#takeNumber,
      appliedAtMs,
      occurredAtMs: Math.max(0, appliedAtMs - agoMs),
      wallTime: new Date().toISOString(),
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

  #take(event: RunEvent, nowMs?: number): void {
    const before = this.phase;
    try {
      this.#engine.apply(event);
    } catch (error) {
      // It is on disk and stays in the log: a fault of ours must not lose a line, nor keep the run from coming back.
      console.error(`Run ${this.runId}: line ${event.seq} (${event.kind}) could not be applied:`, error);
    }
    this.log.push(event);
    this.#takeNumber = event.take;
    this.changes.push(event.seq);
    if (event.kind === 'event-withdrawn') this.#refreshWithdrawn();
    this.#dirty = true;
    if (this.phase === before) return;
    if (nowMs !== undefined) this.#anchor(nowMs);
    // The first row is the very start; later ones come with each whole second.
    if (this.phase === 'running' && this.clockMs === 0) this.#track();
    this.#endedAt = this.phase === 'ended' ? (this.#endedAt ?? event.wallTime) : null;
  }

  /** Which lines are withdrawn now: a later withdrawal may itself take back an earlier one. */
  #refreshWithdrawn(): void {
    const now = new Map<number, number>();
    for (let at = this.log.length - 1; at >= 0; at -= 1) {
      const event = this.log[at];
      if (event?.kind === 'event-withdrawn' && !now.has(event.seq)) now.set(event.targetSeq, event.seq);
    }
    for (const seq of new Set([...now.keys(), ...this.withdrawnBy.keys()])) {
      if (now.get(seq) !== this.withdrawnBy.get(seq)) this.changes.push(seq);
    }
    this.withdrawnBy.clear();
    for (const [seq, by] of now) this.withdrawnBy.set(seq, by);
  }

  #anchor(nowMs: number): void {
    this.#anchorNowMs = nowMs;
    this.#anchorClockMs = this.clockMs;
  }

  /** Steps second by second, keeping a row of each: what was shown is never worked out again. */
  #stepTo(ms: number): void {
    while (this.phase === 'running' && this.clockMs < ms) {
      const before = this.clockMs;
      this.#engine.advanceTo(Math.min(ms, (Math.floor(before / SECOND_MS) + 1) * SECOND_MS));
      if (this.clockMs === before) return;
      this.#dirty = true;
      if (this.clockMs % SECOND_MS === 0) this.#track();
    }
  }

  #track(): void {
    if (this.clockMs <= this.#lastTrackMs) return;
    this.#lastTrackMs = this.clockMs;
    this.#rows.push({ take: this.#takeNumber, row: this.#engine.trackRow() });
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
