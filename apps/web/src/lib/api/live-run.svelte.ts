/**
 * A run, live, for Svelte: the socket's news as reactive fields. Make one in a component, `start()` it in `onMount`
 * (it returns the stop function) and read its fields in markup.
 */
import type { AckMessage, CommandBody, Derived, FacultyFrame, LogLine, MonitorFrame } from './shapes.ts';
import { api } from './client.ts';
import type { ApiError } from './errors.ts';
import { LogBook } from './log-book.ts';
import { RunSocket, type ConnectionState, type RunSocketOptions } from './run-socket.ts';

abstract class LiveBase<Frame extends FacultyFrame | MonitorFrame> {
  /** Latest frame; null before the first. */
  frame: Frame | null = $state.raw(null);
  connection: ConnectionState = $state('connecting');
  /** A lasting problem; the socket has stopped trying until `retry()`. */
  problem: ApiError | null = $state.raw(null);
  /** Commands the server has not yet acknowledged. */
  pending = $state(0);
  /** Whole seconds since the server was last heard. */
  silentS = $state(0);
  protected socket: RunSocket;

  constructor(getTicket: () => Promise<string>, accept: (frame: Frame) => void, more: Partial<RunSocketOptions> = {}) {
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
      async () => (await api.ticket(runId)).ticket,
      (frame) => {
        const changed = book.take(frame);
        if (changed.log) this.log = book.log;
        if (changed.derived) this.derived = book.derived;
      },
      more,
    );
  }

  /** See RunSocket.send. */
  send(command: CommandBody, options: { agoMs?: number } = {}): Promise<AckMessage> {
    return this.socket.send(command, options);
  }
}

/** A monitor's view, joined by code. `title` is safe to show. */
export class LiveMonitor extends LiveBase<MonitorFrame> {
  title = $state('');

  /** `firstTicket` is the one the join page already holds; later connections ask for their own. */
  constructor(
    readonly code: string,
    firstTicket: string | null = null,
    more: Partial<RunSocketOptions> = {},
  ) {
    let held = firstTicket;
    super(
      async () => {
        if (held !== null) {
          const ticket = held;
          held = null;
          return ticket;
        }
        const joined = await api.join(code);
        this.title = joined.title;
        return joined.ticket;
      },
      (frame) => (this.title = frame.title),
      more,
    );
  }
}
