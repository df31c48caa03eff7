/**
 * A run, live, for Svelte: the socket's news as reactive fields. Make one in a component, `start()` it in `onMount`
 * (it returns the stop function) and read its fields in markup.
 */
import { runClockAt } from '@breathline/protocol';
import type { AckMessage, CommandBody, CrewFrame, Derived, FacultyFrame, LogLine, MonitorFrame } from './shapes.ts';
import { api } from './client.ts';
import type { ApiError } from './errors.ts';
import type { GetTicket } from './first-ticket.ts';
import { crewOutbox, type CrewPlace } from './crew-store.ts';
import { keepSite, keptSite } from './join-store.ts';
import type { LeftTap, Said } from './line-types.ts';
import { LogBook } from './log-book.ts';
import { RunSocket, type ConnectionState, type RunSocketOptions } from './run-socket.ts';

abstract class LiveBase<Frame extends FacultyFrame | MonitorFrame | CrewFrame> {
  /** Latest frame; null before the first. */
  frame: Frame | null = $state.raw(null);
  connection: ConnectionState = $state('connecting');
  /** A lasting problem; the socket has stopped trying until `retry()`. */
  problem: ApiError | null = $state.raw(null);
  /** Commands the server has not yet acknowledged. */
  pending = $state(0);
  /** A tap has gone unanswered for too long, though the line seems to stand. */
  late = $state(false);
  /** Whole seconds since the server was last heard. */
  silentS = $state(0);
  protected socket: RunSocket;

  constructor(getTicket: GetTicket, accept: (frame: Frame) => void, more: Partial<RunSocketOptions> = {}) {
    this.socket = new RunSocket({
      ...more,
      getTicket,
      onFrame: (frame) => {
        this.frame = frame as Frame;
        accept(frame as Frame);
      },
      onConnection: (state) => (this.connection = state),
      onProblem: (problem) => (this.problem = problem),
      onPending: (count) => (this.pending = count),
      onUnanswered: (unanswered) => (this.late = unanswered),
    });
  }

  /** Begins; returns the function that ends it. */
  start(): () => void {
    const stop = this.socket.start();
    const tick = setInterval(() => (this.silentS = Math.floor((this.socket.silentMs ?? 0) / 1000)), 500);
    return () => {
      clearInterval(tick);
      stop();
    };
  }

  retry(): void {
    this.socket.retry();
  }

  /** See RunSocket.send. */
  send(command: CommandBody, options: { agoMs?: number; said?: Said } = {}): Promise<AckMessage> {
    return this.socket.send(command, options);
  }

  /** The number of the tap sent last. */
  get lastNumber(): number {
    return this.socket.lastNumber;
  }

  /** See RunSocket.left. */
  get left(): readonly LeftTap[] {
    return this.socket.left;
  }

  /** See RunSocket.undoWaiting. */
  undoWaiting(number: number): void {
    this.socket.undoWaiting(number);
  }

  /**
   * The run clock as the server's clock has it now, ms, however late the last frame came; null until a ping has told how far
   * this screen's clock is off, or where the frame brings no anchor.
   */
  runClockMs(): number | null {
    const anchor = this.frame?.anchor;
    const offset = this.socket.serverOffsetMs;
    return anchor === undefined || offset === null ? null : runClockAt(anchor, performance.now() + offset);
  }
}

/** The faculty's view of a run. The log and what was derived are gathered from the frames' parts. */
export class LiveRun extends LiveBase<FacultyFrame> {
  /** Whole log by sequence, withdrawn lines marked. */
  log: readonly LogLine[] = $state.raw([]);
  derived: readonly Derived[] = $state.raw([]);

  constructor(
    readonly runId: string,
    more: Partial<RunSocketOptions> = {},
  ) {
    const book = new LogBook();
    super(
      async (signal) => (await api.ticket(runId, signal)).ticket,
      (frame) => {
        const changed = book.take(frame);
        if (changed.log) this.log = book.log;
        if (changed.derived) this.derived = book.derived;
      },
      more,
    );
  }
}

/** A monitor's view, joined by code. `title` is safe to show. */
export class LiveMonitor extends LiveBase<MonitorFrame> {
  title = $state('');
  /** What the site has set, as last told; null when not known. Not checked here. */
  site: unknown = $state.raw(keptSite());

  /** `firstTicket` is the one the join page already holds; later connections ask for their own. */
  constructor(
    readonly code: string,
    firstTicket: string | null = null,
    more: Partial<RunSocketOptions> = {},
  ) {
    let held = firstTicket;
    super(
      async (signal) => {
        if (held !== null) {
          const ticket = held;
          held = null;
          return ticket;
        }
        const joined = await api.join(code, undefined, signal);
        this.title = joined.title;
        keepSite(joined.site);
        this.site = joined.site ?? null;
        return joined.ticket;
      },
      (frame) => (this.title = frame.title),
      more,
    );
  }
}

/** A crew phone's view: an observer's or an embedded participant's. It keeps its seat, and its taps over a reload. */
export class LiveCrew extends LiveBase<CrewFrame> {
  /** For the few things asked over HTTP; null until the first join of this page was answered. */
  pass: string | null = $state(null);

  constructor(
    readonly place: CrewPlace,
    first: { readonly ticket: string; readonly pass: string | null } | null = null,
    more: Partial<RunSocketOptions> = {},
  ) {
    let held = first;
    super(
      async (signal) => {
        if (held !== null) {
          const { ticket, pass } = held;
          held = null;
          this.pass = pass;
          return ticket;
        }
        const joined = await api.join(place.code, place.role, signal);
        this.pass = joined.pass ?? null;
        return joined.ticket;
      },
      () => undefined,
      { seat: place.seat, outbox: crewOutbox, ...more },
    );
  }
}
