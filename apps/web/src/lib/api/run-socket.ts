/**
 * One screen's live line to a run: joins with a one-use ticket, keeps the latest frame, and sends commands that are
 * never lost and never doubled. A command is kept until the server says it is on disk or refuses it; after a break it
 * is sent again under the same client id and number, with how long it waited: the server knows what the run clock then
 * showed.
 */
import {
  PROTOCOL_VERSION,
  STEERING_KINDS,
  type AckMessage,
  type ClientMessage,
  type CommandBody,
  type Role,
  type ServerMessage,
} from '@breathline/protocol';
import { ApiError, asApiError, sentence } from './errors.ts';
import { FATAL, Knocks, firstTicket, type WayIn } from './first-ticket.ts';
import { whenBack } from './coming-back.ts';
import { Patience } from './patience.ts';
import {
  BACKOFF_MS,
  PING_EVERY_MS,
  SILENCE_MS,
  BEAT_MS,
  JOIN_PATIENCE_MS,
  PROVE_MS,
  RESEND_MS,
  TOLD_TO_WAIT_MS,
  DRIFT_MS,
} from './line-timing.ts';
import { socketOf } from './line-types.ts';
import type { AnyFrame, ConnectionState, LeftTap, Pending, RunSocketOptions, Said, SocketLike } from './line-types.ts';
import { ServerClock } from './server-clock.ts';
import { Unanswered } from './unanswered.ts';
import { tellFrame, tellLineUp } from './under-way.ts';
import { commandOf, WaitingTaps } from './waiting-taps.ts';

export type {
  AnyFrame,
  ConnectionState,
  KeptTaps,
  LeftTap,
  Outbox,
  RunSocketOptions,
  SocketLike,
} from './line-types.ts';
export { newClientId } from './waiting-taps.ts';

export class RunSocket {
  #options: RunSocketOptions;
  #now: () => number;
  #socket: SocketLike | null = null;
  #joined = false;
  #stopped = false;
  #tries = 0;
  #attempt = 0;
  #lastHeard = 0;
  #lastSeq: number | undefined;
  #frame: AnyFrame | null = null;
  #role: Role | null = null;
  #clock = new ServerClock();
  #state: ConnectionState = 'connecting';
  #waiting: WaitingTaps;
  #unanswered: Unanswered;
  #timer: ReturnType<typeof setTimeout> | null = null;
  #beat: ReturnType<typeof setInterval> | null = null;
  /** Ends a step of getting in that takes too long, or a line that has to prove itself. */
  #limit: ReturnType<typeof setTimeout> | null = null;
  #patience = new Patience();
  #drift = 0;
  #deafen: () => void = () => undefined;
  #outOfDate = false;
  /** What the server gave this screen to come back with; null before it was in, and after it was refused. */
  #again: string | null = null;
  #knocks: Knocks;

  constructor(options: RunSocketOptions) {
    this.#options = options;
    this.#now = options.now ?? (() => performance.now());
    this.#waiting = new WaitingTaps(options.outbox, options.clientId, this.#now(), (count) => {
      options.onPending?.(count);
      if (!this.#stopped) this.#unanswered.look();
    });
    this.#knocks = new Knocks(() => socketOf(options), this.#now);
    this.#unanswered = new Unanswered(this.#waiting, this.#now, (is) => options.onUnanswered?.(is));
  }

  get clientId(): string {
    return this.#waiting.clientId;
  }

  /** Latest frame, or null before the first. */
  get frame(): AnyFrame | null {
    return this.#frame;
  }

  /** What the server says this screen is; null before it did. */
  get role(): Role | null {
    return this.#role;
  }

  /** What to add to `now()` to get the server's clock, ms; null until a ping was answered with it. */
  get serverOffsetMs(): number | null {
    return this.#clock.offsetMs;
  }

  get connection(): ConnectionState {
    return this.#state;
  }

  get pendingCount(): number {
    return this.#waiting.count;
  }

  /** Milliseconds since anything came from the server; null before the first word. */
  get silentMs(): number | null {
    return this.#lastHeard === 0 ? null : this.#now() - this.#lastHeard;
  }

  /** Starts, and goes on until `stop`. Returns a function that stops it. */
  start(): () => void {
    this.#stopped = false;
    this.#deafen = whenBack(this.#wake, this.#wentOffline);
    this.#drift = Date.now() - this.#now();
    this.#beat = setInterval(() => this.#heartbeat(), BEAT_MS);
    void this.#open();
    return () => this.stop();
  }

  /** Closes for good. Commands still waiting are refused with SCREEN_CLOSED. */
  stop(): void {
    this.#stopped = true;
    this.#deafen();
    if (this.#beat) clearInterval(this.#beat);
    if (this.#timer) clearTimeout(this.#timer);
    this.#beat = this.#timer = null;
    this.#unanswered.stop();
    tellFrame(this, null);
    this.#drop();
    this.#setState('closed');
    this.#refuseAll(
      new ApiError('SCREEN_CLOSED', 'This screen was closed', 'The screen closed before the server had this.'),
    );
  }

  /** After a lasting problem was mended (signed in again): tries afresh. */
  retry(): void {
    if (this.#outOfDate) return location.reload();
    this.#options.onProblem?.(null);
    this.#tries = 0;
    if (!this.#joined) void this.#open();
  }

  /**
   * Sends one tap. Resolves when it is on the server's disk, with cautions to show inline; rejects with ApiError when
   * refused (nothing was logged). Safe to call while the line is down: it waits.
   * @param options.agoMs "that was 20 s ago", ms.
   * @param options.said What this screen says of it, for the page that comes after this one.
   */
  send(command: CommandBody, options: { agoMs?: number; said?: Said } = {}): Promise<AckMessage> {
    const steering = (STEERING_KINDS as readonly string[]).includes(command.kind);
    const seq = this.#frame?.t === 'faculty' ? this.#frame.seq : undefined;
    return new Promise<AckMessage>((resolve, reject) => {
      const pending = this.#waiting.add({
        command,
        agoMs: Math.max(0, options.agoMs ?? 0),
        baseSeq: steering ? seq : undefined,
        askedAt: this.#now(),
        wallMs: Date.now(),
        said: options.said,
        resolve,
        reject,
      });
      if (this.#joined) this.#transmit(pending);
    });
  }

  /** The number of the tap sent last. */
  get lastNumber(): number {
    return this.#waiting.lastNumber;
  }

  /** Taps an earlier page of this screen left waiting, oldest first. */
  get left(): readonly LeftTap[] {
    return this.#waiting.left;
  }

  /** Undoes a tap that waits: it is withdrawn as soon as it is on the log, as of now, also by the page that comes after this one. */
  undoWaiting(number: number): void {
    this.#waiting.undo(number, this.#now());
  }

  #withdrawIfUndone({ n, seq }: AckMessage): void {
    const undone = this.#waiting.undone(n);
    if (!undone) return;
    const withdrawal = this.#waiting.add({
      command: { kind: 'event-withdrawn', targetSeq: seq },
      agoMs: 0,
      baseSeq: undefined,
      ...undone,
      resolve: () => undefined,
      reject: (problem) => problem.code !== 'SCREEN_CLOSED' && this.#options.onUndoRefused?.(problem, seq),
    });
    this.#transmit(withdrawal);
  }

  #transmit(pending: Pending): void {
    this.#write(commandOf(this.clientId, pending, this.#now()));
  }

  #ping(): void {
    this.#write({ t: 'ping', n: this.#clock.ask(this.#now()) });
  }

  #write(message: ClientMessage): void {
    if (this.#socket?.readyState === 1) this.#socket.send(JSON.stringify(message));
  }

  /**
   * The ticket first, then the socket: browsers hold back sockets after many that came to nothing, so that none is tried in
   * earnest before a request came through.
   */
  async #open(): Promise<void> {
    if (this.#stopped || this.#socket) return;
    const attempt = ++this.#attempt;
    const wanted = (): boolean => attempt === this.#attempt && !this.#stopped;
    // A try after one that failed is no news: what says that the line is down must not begin afresh each time.
    if (this.#tries === 0 && this.#state !== 'offline')
      this.#setState(this.#lastHeard === 0 ? 'connecting' : 'reconnecting');
    let socket: SocketLike;
    let way: WayIn;
    try {
      way = await firstTicket(this.#options.getTicket, wanted, this.#knocks, this.#again);
      if (!wanted()) return way.socket?.close();
      socket = way.socket ?? socketOf(this.#options);
    } catch (thrown) {
      if (!wanted()) return;
      const error = asApiError(thrown);
      if (FATAL.has(error.status)) return this.#fail(error);
      this.#setState(error.code === 'OFFLINE' ? 'offline' : 'reconnecting');
      this.#later(error.status === 429 ? TOLD_TO_WAIT_MS : undefined);
      return;
    }
    this.#socket = socket;
    const askedAt = this.#now();
    const join = (): void => {
      if (this.#socket !== socket) return;
      this.#write({
        t: 'join',
        ticket: way.ticket,
        ...(this.#lastSeq === undefined ? {} : { lastSeq: this.#lastSeq }),
        ...(this.#options.seat === undefined ? {} : { seat: this.#options.seat }),
      });
      this.#within(JOIN_PATIENCE_MS, () => this.#lost(0));
    };
    socket.onopen = () => {
      if (this.#socket === socket) this.#patience.opened(this.#now() - askedAt);
      join();
    };
    socket.onmessage = (event) => {
      if (this.#socket === socket) this.#receive(event.data);
    };
    socket.onclose = () => {
      if (this.#socket === socket) this.#lost();
    };
    socket.onerror = () => {
      // A close always follows.
    };
    if (way.socket) return join();
    this.#within(this.#patience.ms, () => {
      this.#patience.hung();
      this.#lost(0);
    });
  }

  /** Does it after so long, unless something else is being waited for by then. */
  #within(ms: number | null, late: () => void = () => undefined): void {
    if (this.#limit) clearTimeout(this.#limit);
    this.#limit = ms === null ? null : setTimeout(late, ms);
  }

  #receive(data: unknown): void {
    this.#lastHeard = this.#now();
    let message: ServerMessage;
    try {
      message = JSON.parse(String(data)) as ServerMessage;
    } catch {
      return;
    }
    switch (message.t) {
      case 'hello':
        if (message.protocol !== PROTOCOL_VERSION) {
          this.#fail(
            new ApiError(
              'PROTOCOL_MISMATCH',
              'This screen is out of date',
              `The server speaks version ${message.protocol}; this screen speaks ${PROTOCOL_VERSION}.`,
              'Load the page again. If it says so again, close it on this device everywhere and open it anew.',
            ),
          );
          // It can show nothing of its run: a newer screen may come at once.
          this.#outOfDate = true;
          tellFrame(this, null);
          tellLineUp();
          return;
        }
        this.#joined = true;
        this.#again = message.again;
        this.#within(null);
        this.#tries = 0;
        if (message.role !== this.#role) {
          this.#role = message.role;
          this.#options.onRole?.(message.role);
        }
        this.#options.onProblem?.(null);
        this.#setState('live');
        this.#unanswered.joined();
        tellLineUp();
        for (const pending of this.#waiting) this.#transmit(pending);
        this.#ping();
        return;
      case 'ack': {
        this.#withdrawIfUndone(message);
        this.#settle(message.n)?.resolve(message);
        return;
      }
      case 'refused': {
        if (message.n === null) {
          if (this.#joined) return;
          // A refused join: the next try brings a fresh ticket.
          this.#again = null;
          this.#lost();
          return;
        }
        this.#settle(message.n)?.reject(
          new ApiError(message.code, 'Not done', sentence(message.message), message.hint),
        );
        return;
      }
      case 'faculty':
      case 'monitor':
      case 'crew':
        this.#frame = message;
        tellFrame(this, message);
        this.#lastSeq = message.roleSeq;
        this.#setState(message.restarted ? 'restarted' : 'live');
        this.#options.onFrame?.(message);
        return;
      case 'pong': {
        this.#clock.answered(message.n, message.serverMs, this.#now());
        return;
      }
    }
  }

  #settle(n: number): Pending | undefined {
    // Closing the page is what the outbox is for.
    return this.#waiting.settle(n, !this.#stopped);
  }

  #refuseAll(error: ApiError): void {
    this.#waiting.refuseAll(error, !this.#stopped);
  }

  #fail(error: ApiError): void {
    this.#drop();
    this.#setState('closed');
    this.#options.onProblem?.(error);
    this.#refuseAll(error);
  }

  #heartbeat(): void {
    const now = this.#now();
    const drift = Date.now() - now;
    if (Math.abs(drift - this.#drift) > DRIFT_MS) this.#clock.forget();
    this.#drift = drift;
    if (!this.#joined) return;
    const silent = now - this.#lastHeard;
    if (silent > SILENCE_MS) this.#lost();
    else if (silent > PING_EVERY_MS - BEAT_MS) this.#ping();
    else if (this.#clock.wantsAsking(now)) this.#ping();
    for (const pending of this.#waiting) {
      if (now - pending.lastSentAt > RESEND_MS) this.#transmit(pending);
    }
  }

  /** Lets go of the socket without waiting for its close event. */
  #drop(): void {
    const socket = this.#socket;
    this.#socket = null;
    this.#joined = false;
    this.#attempt++;
    this.#within(null);
    this.#clock.forget();
    if (!socket) return;
    socket.onopen = socket.onmessage = socket.onclose = null;
    socket.onerror = () => undefined;
    try {
      socket.close();
    } catch {
      // Already gone.
    }
  }

  /** @param againMs How long before the next try; left out: as long as the tries before it say. */
  #lost(againMs?: number): void {
    this.#drop();
    if (this.#stopped) return;
    this.#setState(typeof navigator !== 'undefined' && navigator.onLine === false ? 'offline' : 'reconnecting');
    this.#later(againMs);
  }

  #later(againMs?: number): void {
    if (this.#stopped || this.#timer) return;
    const backoff = BACKOFF_MS[Math.min(this.#tries, BACKOFF_MS.length - 1)] ?? 1_000;
    this.#tries++;
    this.#timer = setTimeout(() => {
      this.#timer = null;
      void this.#open();
    }, againMs ?? backoff);
  }

  /** The network, the page or the device is back: what was under way may hang on the network that went. */
  #wake = (): void => {
    if (this.#stopped || this.#state === 'closed') return;
    if (this.#joined) {
      const askedAt = this.#now();
      this.#ping();
      this.#within(PROVE_MS, () => {
        if (this.#lastHeard < askedAt) this.#lost(0);
      });
      return;
    }
    if (this.#timer) clearTimeout(this.#timer);
    this.#timer = null;
    this.#tries = 0;
    this.#drop();
    if (this.#state === 'offline') this.#setState('reconnecting');
    void this.#open();
  };

  #wentOffline = (): void => {
    if (this.#socket) this.#lost();
    else if (this.#state !== 'closed') this.#setState('offline');
  };

  #setState(next: ConnectionState): void {
    if (next === this.#state) return;
    this.#state = next;
    this.#options.onConnection?.(next);
  }
}
