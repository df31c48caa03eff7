/**
 * A console's own line to the server, without a page around it, while its network goes and its server is killed: every tap is
 * on the log once, in order, at its true time; and a page that is loaded again meanwhile sends what the one before had kept.
 */
import { WebSocket } from 'ws';
import { afterEach, describe, expect, it } from 'vitest';
import { runClockAt, type CommandBody } from '@breathline/protocol';
import type { RunEvent, RunExport } from '@breathline/engine';
import { offlineError } from '../../apps/web/src/lib/api/errors.ts';
import { RunSocket, type SocketLike } from '../../apps/web/src/lib/api/run-socket.ts';
import { PageOutbox, tapsKept, type Keep } from '../../apps/web/src/lib/console/outbox.ts';
import { DOSE, TestServer, sleep, type TestScreen } from './server.ts';

/** A browser's storage. */
class Shelf implements Keep {
  readonly #all = new Map<string, string>();
  get length(): number {
    return this.#all.size;
  }
  key(at: number): string | null {
    return [...this.#all.keys()][at] ?? null;
  }
  getItem(key: string): string | null {
    return this.#all.get(key) ?? null;
  }
  setItem(key: string, value: string): void {
    this.#all.set(key, value);
  }
  removeItem(key: string): void {
    this.#all.delete(key);
  }
}

/** A console's line over a network that can be cut. */
class Line {
  away = false;
  readonly shelf = new Shelf();
  readonly sockets = new Set<WebSocket>();
  socket: RunSocket;
  outbox: PageOutbox;

  constructor(
    readonly server: TestServer,
    readonly runId: string,
  ) {
    ({ socket: this.socket, outbox: this.outbox } = this.#page());
  }

  #page(): { socket: RunSocket; outbox: PageOutbox } {
    const outbox = new PageOutbox(this.runId, this.shelf);
    const socket = new RunSocket({
      outbox,
      getTicket: async () => {
        if (this.away) throw offlineError();
        const { status, body } = await this.server
          .call<{ ticket: string }>('POST', `/api/runs/${this.runId}/ticket`, {})
          .catch(() => ({ status: 0, body: { ticket: '' } }));
        if (status !== 200) throw offlineError();
        return body.ticket;
      },
      connect: () => {
        const made = new WebSocket(`${this.server.origin.replace('http', 'ws')}/api/socket`);
        this.sockets.add(made);
        if (this.away) made.terminate();
        return made as unknown as SocketLike;
      },
    });
    socket.start();
    return { socket, outbox };
  }

  go(): void {
    this.away = true;
    for (const socket of this.sockets) socket.terminate();
  }

  /** The page goes, another comes. */
  reload(): void {
    this.outbox.leave();
    this.socket.stop();
    ({ socket: this.socket, outbox: this.outbox } = this.#page());
  }

  async untilEmpty(withinMs = 10_000): Promise<void> {
    const end = Date.now() + withinMs;
    while (this.socket.pendingCount > 0 || this.socket.connection === 'connecting') {
      if (Date.now() > end) throw new Error(`${this.socket.pendingCount} taps still wait`);
      await sleep(20);
    }
  }
}

const open: { dispose(): Promise<void>; stop(): void }[] = [];
afterEach(async () => {
  for (const each of open.splice(0)) {
    each.stop();
    await each.dispose();
  }
});

async function setUp(): Promise<{ server: TestServer; line: Line; runId: string; other: TestScreen }> {
  const server = await TestServer.signedIn();
  const { runId } = await server.newRun();
  const line = new Line(server, runId);
  open.push({ dispose: () => server.dispose(), stop: () => line.socket.stop() });
  const other = await server.faculty(runId);
  await line.socket.send({ kind: 'run-started' });
  return { server, line, runId, other };
}

const eventsOf = async (server: TestServer, runId: string): Promise<readonly RunEvent[]> =>
  (await server.call<RunExport>('GET', `/api/runs/${runId}/export`)).body.events;

/** What the wall clock lacks to the run clock, ms: from the quickest frame of two seconds. */
const runAhead = async (screen: TestScreen): Promise<number> => {
  let best = -Infinity;
  let seen = screen.received.length;
  const end = Date.now() + 2_000;
  while (Date.now() < end) {
    await sleep(2);
    if (screen.received.length === seen) continue;
    seen = screen.received.length;
    best = Math.max(best, screen.faculty.view.clockMs - Date.now());
  }
  return best;
};

const given = (step: 'said' | 'drawn-up' | 'given'): CommandBody => ({ ...DOSE, step }) as CommandBody;
const TAPS: readonly CommandBody[] = [
  { kind: 'mark' },
  given('said'),
  { kind: 'device-attached', device: 'ecg' },
  given('drawn-up'),
  { kind: 'note', text: 'Looked again.' },
  given('given'),
  { kind: 'device-attached', device: 'oximeter' },
  { kind: 'mark' },
  { kind: 'device-removed', device: 'ecg' },
  { kind: 'mark' },
];

/** `BREATHLINE_AWAY_S=60` stays away for a whole minute. */
const AWAY_S = Number(process.env['BREATHLINE_AWAY_S'] ?? 12);

describe('a console away', { timeout: 200_000 }, () => {
  it('loses no tap, doubles none, and has each where the run clock stood', async () => {
    const { server, line, runId, other } = await setUp();
    const first = await line.socket.send({ kind: 'mark' });
    await sleep(2_000);
    // The run clock as the server has it, by its own anchor and the quickest of some pings: no frame's delay is in it.
    const offsetMs = line.socket.serverOffsetMs ?? NaN;
    const runNow = (): number => runClockAt(other.faculty.anchor!, performance.now() + offsetMs);
    const before = (await eventsOf(server, runId)).length;
    line.go();
    const at: number[] = [];
    // One more than the list: the line of before is taken back.
    const taps: CommandBody[] = [...TAPS, { kind: 'event-withdrawn', targetSeq: first.seq }];
    for (const tap of taps) {
      await sleep((AWAY_S * 1000) / (taps.length + 1));
      at.push(runNow());
      line.socket.send(tap).catch(() => undefined);
    }
    expect(line.socket.pendingCount).toBe(taps.length);
    expect((await eventsOf(server, runId)).length).toBe(before);
    await sleep((AWAY_S * 1000) / (taps.length + 1));
    line.away = false;
    const back = Date.now();
    await line.untilEmpty();
    const tookMs = Date.now() - back;
    const news = (await eventsOf(server, runId)).slice(before);
    expect(news.map(({ kind }) => kind)).toEqual(taps.map(({ kind }) => kind));
    // An undo is about a line, and means now: where it stands in time is of no account.
    const off = news.flatMap(({ kind, occurredAtMs }, n) =>
      kind === 'event-withdrawn' ? [] : [Math.round(occurredAtMs - at[n]!)],
    );
    expect(
      off.filter((ms) => Math.abs(ms) > 500),
      `ms off: ${off.join(', ')}; merged in ${tookMs} ms`,
    ).toEqual([]);
    expect(tookMs).toBeLessThan(2_000);
    await other.until(() => news.every(({ seq }) => other.log.has(seq)));
    console.log(
      `${taps.length} taps in ${AWAY_S} s away: none lost or doubled, at most ${Math.max(...off.map(Math.abs))} ms off, merged ${tookMs} ms after the network`,
    );
  });

  it('and its server killed meanwhile: taps of before, between and after are each there once, in order', async () => {
    const { server, line, runId, other } = await setUp();
    const ahead = await runAhead(other);
    const before = (await eventsOf(server, runId)).length;
    line.go();
    await sleep(500);
    const firstAt = Date.now() + ahead;
    line.socket.send({ kind: 'mark' }).catch(() => undefined);
    await sleep(2_000);
    const killedAt = Date.now() + ahead;
    await server.kill();
    line.socket.send(given('said')).catch(() => undefined);
    server.env['PORT'] = new URL(server.origin).port;
    await server.start();
    const again = await server.faculty(runId);
    await again.tap({ kind: 'run-resumed' });
    await sleep(1_500);
    const resumed = await runAhead(again);
    const lastAt = Date.now() + resumed;
    line.socket.send(given('given')).catch(() => undefined);
    await sleep(1_000);
    line.away = false;
    await line.untilEmpty();
    const news = (await eventsOf(server, runId))
      .slice(before)
      .filter(({ clientId }) => clientId === line.socket.clientId);
    expect(news.map(({ kind }) => kind)).toEqual(['mark', 'intervention', 'intervention']);
    const [mark, said, dose] = news.map(({ occurredAtMs }) => occurredAtMs);
    expect(Math.abs(mark! - firstAt), 'before the kill').toBeLessThan(1_000);
    // While the server was away the run stood still, about where it was killed.
    expect(Math.abs(said! - killedAt), 'in between').toBeLessThan(1_500);
    expect(Math.abs(dose! - lastAt), 'after it').toBeLessThan(500);
    console.log(
      `server killed while away: ${Math.round(mark! - firstAt)}, ${Math.round(said! - killedAt)}, ${Math.round(dose! - lastAt)} ms off before, between, after`,
    );
  });

  it('and its page loaded again meanwhile: what waited is kept, counted and sent by the next page, once', async () => {
    const { server, line, runId, other } = await setUp();
    const ahead = await runAhead(other);
    const before = (await eventsOf(server, runId)).length;
    line.go();
    await sleep(500);
    const at = Date.now() + ahead;
    line.socket.send({ kind: 'mark' }).catch(() => undefined);
    line.socket.send(given('given')).catch(() => undefined);
    expect(tapsKept(runId, line.shelf)).toHaveLength(2);
    await sleep(700);
    line.reload();
    expect(tapsKept(runId, line.shelf)).toHaveLength(2);
    await sleep(1_000);
    line.reload();
    line.away = false;
    await line.untilEmpty();
    const news = (await eventsOf(server, runId)).slice(before);
    expect(news.map(({ kind }) => kind)).toEqual(['mark', 'intervention']);
    for (const { occurredAtMs } of news) expect(Math.abs(occurredAtMs - at)).toBeLessThan(500);
    expect(tapsKept(runId, line.shelf)).toEqual([]);
  });
});
