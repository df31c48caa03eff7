/** The line to a run, against a small real WebSocket server on loopback that can be cut, silenced and brought back. */
import { afterEach, describe, expect, it } from 'vitest';
import { WebSocket, WebSocketServer } from 'ws';
import type { CommandMessage, FacultyFrame } from '@breathline/protocol';
import { ApiError } from '../src/lib/api/errors.ts';
import { LogBook } from '../src/lib/api/log-book.ts';
import {
  RunSocket,
  type ConnectionState,
  type KeptTaps,
  type Outbox,
  type RunSocketOptions,
  type SocketLike,
} from '../src/lib/api/run-socket.ts';

interface Joined {
  ticket: string;
  seat?: string;
  lastSeq?: number;
}

/** Keeps the server's side of the contract: first message `join`, one answer per client id and number, hash-checked. */
class SmallServer {
  joins: Joined[] = [];
  pings = 0;
  commands: CommandMessage[] = [];
  events: { n: number; kind: string; agoMs: number; heldMs: number }[] = [];
  /** Takes commands but swallows the answer. */
  mute = false;
  deaf = false;
  /** Lets nothing be withdrawn. */
  keeps = false;
  restarted = false;
  #answers = new Map<string, { hash: string; seq: number }>();
  #server: WebSocketServer | null = null;
  #sockets = new Set<WebSocket>();
  port = 0;

  async listen(): Promise<void> {
    this.#server = new WebSocketServer({ host: '127.0.0.1', port: this.port });
    await new Promise<void>((done) => this.#server?.once('listening', () => done()));
    this.port = (this.#server.address() as { port: number }).port;
    this.#server.on('connection', (socket) => {
      this.#sockets.add(socket);
      let joined = false;
      const say = (message: unknown) => socket.send(JSON.stringify(message));
      socket.on('message', (data) => {
        if (this.deaf) return;
        const message = JSON.parse(String(data));
        if (!joined) {
          if (message.t !== 'join' || message.ticket === 'stale') {
            say({ t: 'refused', n: null, code: 'ticket-unknown', message: 'That ticket is used up.' });
            return;
          }
          joined = true;
          this.joins.push(message);
          say({ t: 'hello', protocol: 1, role: 'faculty', screenId: 's' });
          say({
            t: 'faculty',
            roleSeq: 7,
            seq: 3,
            restarted: this.restarted,
            log: [],
            derived: [],
            joinCode: 'ACDEFG',
          });
          return;
        }
        if (message.t === 'ping') {
          this.pings += 1;
          return say({ t: 'pong', n: message.n, serverMs: performance.now() + 50_000 });
        }
        const command = message as CommandMessage;
        this.commands.push(command);
        const key = `${command.clientId}:${command.n}`;
        const hash = JSON.stringify([command.command, command.agoMs ?? 0]);
        const known = this.#answers.get(key);
        if (known && known.hash !== hash) {
          return say({ t: 'refused', n: command.n, code: 'number-reused', message: 'That number was used.' });
        }
        if (command.command.kind === 'note' && command.command.text === '') {
          return say({
            t: 'refused',
            n: command.n,
            code: 'empty-note',
            message: 'The note is empty.',
            hint: 'Write one.',
          });
        }
        if (this.keeps && command.command.kind === 'event-withdrawn')
          return say({ t: 'refused', n: command.n, code: 'not-withdrawable', message: 'That line stays.' });
        const seq = known?.seq ?? 100 + this.events.length;
        if (!known) {
          this.#answers.set(key, { hash, seq });
          this.events.push({
            n: command.n,
            kind: command.command.kind,
            agoMs: command.agoMs ?? 0,
            heldMs: command.heldMs ?? 0,
          });
        }
        if (!this.mute) say({ t: 'ack', n: command.n, seq, warnings: [] });
      });
      socket.on('close', () => this.#sockets.delete(socket));
    });
  }

  /** Cuts every line without a goodbye and stops listening. */
  async cut(): Promise<void> {
    for (const socket of this.#sockets) socket.terminate();
    await new Promise<void>((done) => (this.#server ? this.#server.close(() => done()) : done()));
    this.#server = null;
  }
}

const running: { stop(): void }[] = [];
const servers: SmallServer[] = [];

afterEach(async () => {
  for (const one of running.splice(0)) one.stop();
  for (const server of servers.splice(0)) await server.cut();
});

async function setUp(more: Partial<RunSocketOptions> = {}) {
  const server = new SmallServer();
  servers.push(server);
  await server.listen();
  const states: ConnectionState[] = [];
  let tickets = 0;
  const socket = new RunSocket({
    getTicket: async () => `t${++tickets}`,
    url: `ws://127.0.0.1:${server.port}`,
    connect: (url) => new WebSocket(url) as unknown as SocketLike,
    onConnection: (state) => states.push(state),
    ...more,
  });
  running.push(socket);
  return { server, socket, states };
}

async function until(holds: () => boolean, withinMs = 4_000): Promise<number> {
  const from = performance.now();
  while (!holds()) {
    if (performance.now() - from > withinMs) throw new Error(`not within ${withinMs} ms`);
    await new Promise((done) => setTimeout(done, 10));
  }
  return performance.now() - from;
}

describe('RunSocket', () => {
  it('joins with a ticket, then tells frames and answers taps', async () => {
    const { server, socket, states } = await setUp();
    socket.start();
    await until(() => socket.connection === 'live' && socket.frame !== null);
    expect(server.joins).toEqual([{ t: 'join', ticket: 't1' }]);
    const ack = await socket.send({ kind: 'mark' });
    expect(ack.seq).toBe(100);
    expect(states).toEqual(['live']);
    expect(socket.pendingCount).toBe(0);
  });

  it('rejects a refused tap with words for people', async () => {
    const { socket } = await setUp();
    socket.start();
    const failure = await socket.send({ kind: 'note', text: '' }).catch((thrown: unknown) => thrown);
    expect(failure).toBeInstanceOf(ApiError);
    expect(failure).toMatchObject({ code: 'empty-note', detail: 'The note is empty.', hint: 'Write one.' });
  });

  it('is back within two seconds of the network, with its last sequence and a fresh ticket', async () => {
    const { server, socket } = await setUp();
    socket.start();
    await until(() => socket.connection === 'live');
    await server.cut();
    await until(() => socket.connection !== 'live');
    await new Promise((done) => setTimeout(done, 2_500)); // long enough to reach the longest wait
    await server.listen();
    expect(await until(() => socket.connection === 'live')).toBeLessThan(2_000);
    expect(server.joins.at(-1)?.lastSeq).toBe(7);
    expect(server.joins.at(-1)?.ticket).not.toBe('t1');
  });

  it('keeps a tap made while the line is down, and says how long it waited', async () => {
    const { server, socket } = await setUp();
    socket.start();
    await until(() => socket.connection === 'live');
    await server.cut();
    await until(() => socket.connection !== 'live');
    const sent = socket.send({ kind: 'mark' }, { agoMs: 5_000 });
    await new Promise((done) => setTimeout(done, 1_200));
    await server.listen();
    await sent;
    expect(server.events).toHaveLength(1);
    expect(server.events[0]!.agoMs).toBe(5_000);
    expect(server.events[0]!.heldMs).toBeGreaterThan(1_000);
    expect(server.events[0]!.heldMs).toBeLessThan(4_000);
  });

  it('never logs a tap twice when its answer was lost on the way', async () => {
    const { server, socket } = await setUp();
    socket.start();
    await until(() => socket.connection === 'live');
    server.mute = true;
    const sent = socket.send({ kind: 'mark' });
    await until(() => server.events.length === 1);
    await server.cut();
    await new Promise((done) => setTimeout(done, 900)); // so that the second sending carries another wait
    server.mute = false;
    await server.listen();
    expect((await sent).seq).toBe(100);
    expect(server.events).toHaveLength(1);
    expect(server.commands.length).toBeGreaterThan(1);
  });

  it('sends waiting taps in the order they were made', async () => {
    const { server, socket } = await setUp();
    const first = socket.send({ kind: 'mark' });
    const second = socket.send({ kind: 'cuff-pressed' });
    const third = socket.send({ kind: 'run-resumed' });
    socket.start();
    await Promise.all([first, second, third]);
    expect(server.events.map((event) => event.kind)).toEqual(['mark', 'cuff-pressed', 'run-resumed']);
  });

  it('names the sequence it was looking at for steering taps only', async () => {
    const { server, socket } = await setUp();
    socket.start();
    await until(() => socket.frame !== null);
    await socket.send({ kind: 'run-ended', why: 'faculty' });
    await socket.send({ kind: 'mark' });
    expect(server.commands.map((command) => command.baseSeq)).toEqual([3, undefined]);
  });

  it('tries again with a fresh ticket when one was refused', async () => {
    let asked = 0;
    const { server, socket } = await setUp({ getTicket: async () => (++asked === 1 ? 'stale' : `t${asked}`) });
    socket.start();
    await until(() => socket.connection === 'live');
    expect(server.joins.map((join) => join.ticket)).toEqual(['t2']);
  });

  it('stops and says why when signed out', async () => {
    const problems: (ApiError | null)[] = [];
    const { socket } = await setUp({
      getTicket: async () => {
        throw new ApiError('not-signed-in', 'Not signed in', 'Sign in first.', undefined, 401);
      },
      onProblem: (problem) => problems.push(problem),
    });
    const waiting = socket.send({ kind: 'mark' }).catch((thrown: unknown) => thrown);
    socket.start();
    expect(await waiting).toMatchObject({ code: 'not-signed-in' });
    expect(socket.connection).toBe('closed');
    expect(problems.at(-1)?.status).toBe(401);
  });

  it('notices a line that has gone silent', async () => {
    let now = 0;
    const { server, socket } = await setUp({ now: () => now });
    socket.start();
    await until(() => socket.connection === 'live');
    server.deaf = true;
    now += 6_000;
    await until(() => socket.connection === 'reconnecting', 3_000);
    server.deaf = false;
    await until(() => socket.connection === 'live');
  });

  it('asks afresh beside a request that the network swallowed, and is live within two seconds of its return', async () => {
    let lost = true;
    let asked = 0;
    const { server, socket } = await setUp({
      getTicket: () => {
        asked += 1;
        return lost ? new Promise(() => undefined) : Promise.resolve('t');
      },
    });
    socket.start();
    await new Promise((resolve) => setTimeout(resolve, 2_600));
    lost = false;
    const from = Date.now();
    await until(() => socket.connection === 'live', 3_000);
    expect(Date.now() - from).toBeLessThan(2_000);
    expect(asked).toBeGreaterThanOrEqual(3);
    expect(server.joins).toHaveLength(1);
  }, 15_000);

  it('asks for the server’s clock more than once, however much it is told', async () => {
    const { server, socket } = await setUp();
    socket.start();
    await until(() => server.pings >= 4, 4_000);
    expect(socket.serverOffsetMs).not.toBeNull();
  });

  it('says when the server came back and waits', async () => {
    const { server, socket } = await setUp();
    server.restarted = true;
    socket.start();
    await until(() => socket.connection === 'restarted');
  });

  it('refuses what is still waiting when the screen closes', async () => {
    const { socket } = await setUp({ getTicket: () => new Promise(() => undefined) });
    socket.start();
    const waiting = socket.send({ kind: 'mark' }).catch((thrown: unknown) => thrown);
    socket.stop();
    expect(await waiting).toMatchObject({ code: 'SCREEN_CLOSED' });
  });
});

describe('RunSocket, a crew phone', () => {
  const box = (): Outbox & { kept: KeptTaps | null } => ({
    kept: null,
    load() {
      return this.kept;
    },
    save(kept) {
      this.kept = kept;
    },
  });

  it('joins on its own seat, and learns the server’s clock from a ping', async () => {
    const { server, socket } = await setUp({ seat: 'abc' });
    socket.start();
    await until(() => socket.serverOffsetMs !== null);
    expect(server.joins[0]?.seat).toBe('abc');
    expect(socket.serverOffsetMs).toBeGreaterThan(49_900);
    expect(socket.serverOffsetMs).toBeLessThan(50_100);
    expect(socket.role).toBe('faculty');
  });

  it('a tap outlives the page: the next page sends it once, under the same number, with its wait', async () => {
    const outbox = box();
    const first = await setUp({ outbox, getTicket: () => new Promise(() => undefined) });
    first.socket.start();
    first.socket.send({ kind: 'mark' }).catch(() => undefined);
    const kept = outbox.kept;
    expect(kept?.taps).toHaveLength(1);
    await new Promise((done) => setTimeout(done, 700));
    const second = await setUp({ outbox: { load: () => kept, save: (next) => outbox.save(next) } });
    expect(second.socket.clientId).toBe(first.socket.clientId);
    second.socket.start();
    await until(() => second.server.events.length === 1);
    expect(second.server.events[0]).toMatchObject({ n: 1, kind: 'mark' });
    expect(second.server.events[0]!.heldMs).toBeGreaterThan(650);
    await until(() => outbox.kept?.taps.length === 0);
    await second.socket.send({ kind: 'mark' });
    expect(second.server.events.at(-1)?.n).toBe(2);
  });

  it('an undo of a waiting tap outlives the page, and is dated by when it was pressed', async () => {
    const outbox = box();
    const first = await setUp({ outbox, getTicket: () => new Promise(() => undefined) });
    first.socket.start();
    first.socket.send({ kind: 'cuff-pressed' }).catch(() => undefined);
    first.socket.send({ kind: 'mark' }).catch(() => undefined);
    await new Promise((done) => setTimeout(done, 600));
    first.socket.undoWaiting(first.socket.lastNumber);
    const kept = outbox.kept;
    await new Promise((done) => setTimeout(done, 700));
    const second = await setUp({ outbox: { load: () => kept, save: (next) => outbox.save(next) } });
    second.socket.start();
    await until(() => second.server.events.length === 3);
    const { commands, events } = second.server;
    expect(events.map(({ kind }) => kind)).toEqual(['cuff-pressed', 'mark', 'event-withdrawn']);
    expect(commands.at(-1)?.command).toEqual({ kind: 'event-withdrawn', targetSeq: 101 });
    // The tap waited since before its undo, the undo since before the reload.
    expect(events[1]!.heldMs - events[2]!.heldMs).toBeGreaterThan(450);
    expect(events[2]!.heldMs).toBeGreaterThan(650);
    await until(() => outbox.kept?.taps.length === 0);
  });

  it('an undo that is refused is said', async () => {
    const refused: number[] = [];
    const { server, socket } = await setUp({ onUndoRefused: (_problem, targetSeq) => refused.push(targetSeq) });
    server.keeps = true;
    void socket.send({ kind: 'mark' });
    socket.undoWaiting(socket.lastNumber);
    socket.start();
    await until(() => refused.length === 1);
    expect(refused).toEqual([100]);
  });

  it('steering is not kept for a later page', async () => {
    const outbox = box();
    const { socket } = await setUp({ outbox });
    socket.start();
    await until(() => socket.frame !== null);
    socket.send({ kind: 'run-ended', why: 'faculty' }).catch(() => undefined);
    expect(outbox.kept?.taps).toEqual([]);
  });
});

describe('LogBook', () => {
  const line = (seq: number, withdrawnBy: number | null = null) =>
    ({ event: { seq, kind: 'mark' }, withdrawnBy }) as unknown as FacultyFrame['log'][number];
  const due = (atMs: number): FacultyFrame['derived'][number] => ({ kind: 'arrest', atMs, on: true });

  it('keeps each line once, in order, in its last form, and each derived thing once', () => {
    const book = new LogBook();
    book.take({ log: [line(2), line(1)], derived: [due(100)] });
    expect(book.take({ log: [line(2, 3), line(3)], derived: [due(100), due(200)] })).toEqual({
      log: true,
      derived: true,
    });
    expect(book.log.map((entry) => [entry.event.seq, entry.withdrawnBy])).toEqual([
      [1, null],
      [2, 3],
      [3, null],
    ]);
    expect(book.derived).toEqual([due(100), due(200)]);
    expect(book.take({ log: [], derived: [due(200)] })).toEqual({ log: false, derived: false });
  });
});
