/**
 * One crew phone's hold on one run: what it was sent, the clock as it reads now, and its taps. What was tapped shows at once
 * and says that it waits until the server has it on disk.
 */
import type { EventBody } from '@breathline/engine';
import {
  asApiError,
  LiveCrew,
  wordsOf,
  type AckMessage,
  type ApiError,
  type CrewPlace,
  type LeftTap,
} from '../api/index.ts';

/** The last tap of this phone, and how it went. */
export interface CrewTap {
  readonly id: number;
  readonly command: EventBody;
  readonly label: string;
  readonly state: 'waiting' | 'logged' | 'refused';
  readonly seq: number | null;
  /** Run-clock ms at which it happened. */
  readonly occurredAtMs: number;
  /** Its number on this phone's line. */
  readonly number?: number;
  /** Undone while it waited: withdrawn as soon as it is on the log. */
  readonly takenBack?: true;
  /** Why it was refused, in words. */
  readonly problem: string | null;
}

export class CrewSession {
  readonly live: LiveCrew;
  /** The run clock as it reads now, ms. */
  nowMs = $state(0);
  /** Taps that wait or were refused, and the last one that was logged; oldest first. */
  taps: readonly CrewTap[] = $state.raw([]);
  #nextId = 1;
  #frameAt = 0;
  #frameSeq = -1;

  constructor(
    readonly place: CrewPlace,
    first: { readonly ticket: string; readonly pass: string | null } | null,
  ) {
    this.live = new LiveCrew(place, first, {
      onUndoRefused: (error, targetSeq) => this.#undoRefused(error, targetSeq),
    });
    this.#takeOver(this.live.left);
  }

  readonly frame = $derived.by(() => this.live.frame);
  readonly phase = $derived.by(() => this.live.frame?.phase ?? 'ready');
  /** The line stands, as far as it is known. */
  readonly lineUp = $derived.by(() => this.live.connection === 'live' || this.live.connection === 'restarted');
  /** Taps are reaching the server. */
  readonly online = $derived.by(() => this.lineUp && !this.live.late);
  /** Nothing may be logged: before the start, after the end, during a stop. */
  readonly disabled = $derived.by(
    () => !this.live.frame || this.live.frame.blank || this.phase === 'ready' || this.phase === 'ended',
  );
  /** What an observer has to say of it may be said after the end as well: ticks, comments, problems of the place. */
  readonly closed = $derived.by(() => !this.live.frame || this.live.frame.blank || this.phase === 'ready');
  readonly last = $derived.by(() => this.taps.at(-1) ?? null);

  /** Begins; returns the function that ends it. */
  start(): () => void {
    const stop = this.live.start();
    const beat = setInterval(() => this.#tick(), 250);
    return () => {
      clearInterval(beat);
      stop();
    };
  }

  #tick(): void {
    const { frame } = this.live;
    if (!frame) return;
    if (frame.roleSeq !== this.#frameSeq) {
      this.#frameSeq = frame.roleSeq;
      this.#frameAt = performance.now();
    }
    const own = frame.clockMs + (frame.phase === 'running' ? performance.now() - this.#frameAt : 0);
    this.nowMs = this.live.runClockMs() ?? own;
  }

  /** What an earlier page of this phone left waiting stands as if it had been tapped here, its undo too. */
  #takeOver(left: readonly LeftTap[]): void {
    for (const { number, command, said, undone, answered } of left) {
      const tap: CrewTap = {
        id: this.#nextId++,
        command: command as EventBody,
        label: said.label,
        occurredAtMs: said.atMs,
        state: 'waiting',
        seq: null,
        problem: null,
        number,
        ...(undone ? { takenBack: true } : {}),
      };
      this.taps = [...this.taps, tap];
      void this.#follow(tap, answered);
    }
  }

  /** Logs one thing; resolves true once the server has it. `agoMs`: it happened that long before, on the run clock. */
  tap(command: EventBody, label: string, options: { agoMs?: number } = {}): Promise<boolean> {
    const agoMs = Math.round(options.agoMs ?? 0);
    const occurredAtMs = Math.max(0, this.nowMs - agoMs);
    const tap: CrewTap = {
      id: this.#nextId++,
      command,
      label,
      occurredAtMs,
      state: 'waiting',
      seq: null,
      problem: null,
    };
    // What was logged before is on the page already; what waits or was refused stays in sight.
    this.taps = [...this.taps.filter((each) => each.state === 'waiting'), tap];
    const answered = this.live.send(command, {
      ...(agoMs > 0 ? { agoMs } : {}),
      said: { label, atMs: occurredAtMs },
    });
    this.#change(tap, { number: this.live.lastNumber });
    return this.#follow(tap, answered);
  }

  async #follow(tap: CrewTap, answered: Promise<AckMessage>): Promise<boolean> {
    try {
      const ack = await answered;
      this.#change(tap, { state: 'logged', seq: ack.seq });
      return true;
    } catch (thrown) {
      const error = asApiError(thrown);
      if (error.code !== 'SCREEN_CLOSED') this.#change(tap, { state: 'refused', problem: wordsOf(error) });
      return false;
    }
  }

  #change({ id }: CrewTap, change: Partial<CrewTap>): void {
    this.taps = this.taps.map((each) => (each.id === id ? { ...each, ...change } : each));
  }

  /** Takes back the last tap: at once if it is on the log, else as soon as it is. */
  undo(tap: CrewTap): void {
    if (tap.seq === null) {
      if (tap.state !== 'waiting' || tap.number === undefined) return;
      this.live.undoWaiting(tap.number);
      this.taps = this.taps.map((each) => (each.id === tap.id ? { ...each, takenBack: true } : each));
      return;
    }
    void this.tap({ kind: 'event-withdrawn', targetSeq: tap.seq }, `Taken back: ${tap.label}`);
  }

  /** An undone tap stands on the log after all. */
  #undoRefused(error: ApiError, targetSeq: number): void {
    const refused = { state: 'refused', seq: null, problem: wordsOf(error), occurredAtMs: this.nowMs } as const;
    const command: EventBody = { kind: 'event-withdrawn', targetSeq };
    this.taps = [...this.taps, { id: this.#nextId++, command, label: 'Undo', ...refused }];
  }

  /** What this phone tapped last of a kind and the server has not answered for yet. */
  waiting<K extends EventBody['kind']>(kind: K): readonly Extract<EventBody, { kind: K }>[] {
    return this.taps.flatMap(({ command, state, takenBack }) =>
      state === 'waiting' && !takenBack && command.kind === kind ? [command as Extract<EventBody, { kind: K }>] : [],
    );
  }
}
