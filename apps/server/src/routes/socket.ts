/**
 * The live connection. The first message is `join` with a one-use ticket, or with what this screen was given
 * to come back with; after that commands come in and frames go out.
 * Whatever is wrong with a message is answered to its sender and to nobody else.
 */
import { randomBytes } from 'node:crypto';
import type { FastifyInstance } from 'fastify';
import type { WebSocket } from 'ws';
import {
  PROTOCOL_VERSION,
  parseClientMessage,
  problem,
  type ClientMessage,
  type CommandMessage,
  type JoinMessage,
  type Problem,
  type Role,
  type ServerMessage,
} from '@breathline/protocol';
import type { Services } from '../app.ts';
import { Refusal } from '../refusal.ts';
import type { LiveRun } from '../services/live-run.ts';
import { monotonicMs } from '../services/run-registry.ts';
import type { Screen, Screens } from '../services/screens.ts';

/** A connection that has not joined by then is closed. */
const JOIN_WITHIN_MS = 10_000;
const HEARTBEAT_MS = 15_000;
/** More than a person can tap; a screen gone wild is told to slow down. */
const MESSAGES_PER_SECOND = 40;
const BURST = 120;
/** Unsent bytes past which steady frames are skipped, and past which the screen is given up. */
const CONGESTED_BYTES = 256 * 1024;
const LOST_BYTES = 8 * 1024 * 1024;
/** Past this the WebSocket library itself closes the connection; from 64 KB up to it the sender is told what is wrong. */
export const MAX_PAYLOAD_BYTES = 1024 * 1024;

/** A bucket of tokens: bursts pass, floods do not. */
class Pace {
  #left = BURST;
  #at = monotonicMs();

  take(): boolean {
    const now = monotonicMs();
    this.#left = Math.min(BURST, this.#left + ((now - this.#at) / 1000) * MESSAGES_PER_SECOND);
    this.#at = now;
    if (this.#left < 1) return false;
    this.#left -= 1;
    return true;
  }
}

/** One connected screen. */
class Connection implements Screen {
  readonly #socket: WebSocket;
  readonly #services: Services;
  readonly #pace = new Pace();
  readonly #screenId = randomBytes(6).toString('hex');
  #seat = this.#screenId;
  #joined: { readonly role: Role; readonly run: LiveRun; readonly screens: Screens } | null = null;
  #joining = false;

  constructor(socket: WebSocket, services: Services) {
    this.#socket = socket;
    this.#services = services;
  }

  get role(): Role {
    return this.#joined?.role ?? 'monitor';
  }

  /** Of a crew phone: its own over reconnects, if it keeps one. */
  get seat(): string {
    return this.#seat;
  }

  get joined(): boolean {
    return this.#joined !== null;
  }

  congested(): boolean {
    return this.#socket.bufferedAmount > CONGESTED_BYTES;
  }

  send(message: ServerMessage): void {
    if (this.#socket.readyState !== this.#socket.OPEN) return;
    if (this.#socket.bufferedAmount > LOST_BYTES) return this.#socket.terminate();
    this.#socket.send(JSON.stringify(message));
  }

  refuse({ code, message, hint }: Problem, n: number | null): void {
    this.send({ t: 'refused', n, code, message, hint });
  }

  leave(): void {
    this.#joined?.screens.leave(this);
    this.#joined = null;
  }

  async receive(data: Buffer): Promise<void> {
    if (!this.#pace.take()) return this.refuse(problem('too-many-attempts', 'This screen is sending too fast.'), null);
    const parsed = parseClientMessage(data);
    if (!parsed.ok) return this.refuse(parsed.problem, parsed.n);
    try {
      await this.#handle(parsed.message);
    } catch (error) {
      const n = 'n' in parsed.message ? parsed.message.n : null;
      if (error instanceof Refusal) return this.refuse(this.#wordsFor(error), n);
      console.error('A message could not be handled:', error);
      this.refuse(problem('server-fault'), n);
    }
  }

  /** A monitor is told no more than that it was refused: no phase, no sequence. */
  #wordsFor({ problem: refused }: Refusal): Problem {
    return this.#joined?.role === 'monitor' ? problem(refused.code) : refused;
  }

  #handle(message: ClientMessage): Promise<void> | void {
    switch (message.t) {
      case 'join':
        return this.#join(message);
      case 'ping':
        return this.send({ t: 'pong', n: message.n, serverMs: monotonicMs() });
      case 'command':
        return this.#command(message);
    }
  }

  async #join({ ticket, lastSeq, seat }: JoinMessage): Promise<void> {
    if (this.#joined || this.#joining) throw new Refusal('already-joined');
    const { auth, registry } = this.#services;
    this.#joining = true;
    try {
      const { runId, role, comesBack } = await auth.redeem(ticket);
      const { run, screens } = await registry.get(runId);
      if (this.#socket.readyState !== this.#socket.OPEN) return;
      this.#joined = { role, run, screens };
      this.#seat = seat ?? this.#screenId;
      const again = comesBack ? ticket : auth.issueAgain({ runId, role });
      this.send({ t: 'hello', protocol: PROTOCOL_VERSION, role, screenId: this.#screenId, again });
      screens.join(this, lastSeq);
    } finally {
      this.#joining = false;
    }
  }

  async #command(message: CommandMessage): Promise<void> {
    if (!this.#joined) throw new Refusal('not-joined');
    const { role, run } = this.#joined;
    // A seat of the crew is where the phone joined, not what a message says.
    const seat = role === 'faculty' || role === 'monitor' ? message.clientId : this.#seat;
    const actor = { role: role === 'faculty' ? 'lead' : role, seat } as const;
    const ack = await run.command({ role, actor }, message, monotonicMs);
    this.send(role === 'monitor' ? { ...ack, seq: 0, warnings: [] } : ack);
  }
}

export const socketRoutes = (app: FastifyInstance, services: Services): void => {
  const live = new Map<WebSocket, { heard: boolean }>();
  const heartbeat = setInterval(() => {
    for (const [socket, state] of live) {
      if (!state.heard) socket.terminate();
      state.heard = false;
      socket.ping();
    }
  }, HEARTBEAT_MS);
  heartbeat.unref();
  app.addHook('onClose', async () => clearInterval(heartbeat));

  const serve = (socket: WebSocket): void => {
    const connection = new Connection(socket, services);
    const state = { heard: true };
    live.set(socket, state);
    const late = setTimeout(() => {
      if (!connection.joined) socket.close(4401, 'no join');
    }, JOIN_WITHIN_MS);
    socket.on('pong', () => {
      state.heard = true;
    });
    socket.on('message', (data: Buffer | ArrayBuffer | Buffer[]) => {
      state.heard = true;
      const bytes = Array.isArray(data) ? Buffer.concat(data) : Buffer.from(data as Buffer);
      void connection.receive(bytes);
    });
    socket.on('error', () => undefined);
    socket.on('close', () => {
      clearTimeout(late);
      live.delete(socket);
      connection.leave();
    });
  };
  // Under /api, so that one proxy rule carries everything.
  app.get('/api/socket', { websocket: true }, serve);
};
