/** A line that looks alive while nothing comes of what is tapped: said by the tap's own age, on a clock the test moves. */
import { afterEach, beforeEach, describe, expect, it, vi } from 'vitest';
import type { AckMessage } from '@breathline/protocol';
import { RunSocket, type SocketLike } from '../src/lib/api/run-socket.ts';
import { UNANSWERED_MS } from '../src/lib/api/unanswered.ts';

/** A server that greets, keeps talking, and answers a tap only when told to. */
class TalkingServer implements SocketLike {
  readyState = 1;
  onopen: SocketLike['onopen'] = null;
  onmessage: SocketLike['onmessage'] = null;
  onclose: SocketLike['onclose'] = null;
  onerror: SocketLike['onerror'] = null;
  taps: number[] = [];

  send(data: string): void {
    const message = JSON.parse(data) as { t: string; n: number };
    if (message.t === 'join')
      setTimeout(() => this.say({ t: 'hello', protocol: 1, role: 'faculty', screenId: 's' }), 1);
    if (message.t === 'command') this.taps.push(message.n);
  }
  close(): void {}
  say(message: object): void {
    this.onmessage?.({ data: JSON.stringify(message) });
  }
  answer(n: number): void {
    this.say({ t: 'ack', n, seq: 100 + n, warnings: [] } satisfies Partial<AckMessage>);
  }
}

let server: TalkingServer;
let socket: RunSocket;
/** What was told, and when, ms after the line stood. */
let told: [ms: number, unanswered: boolean][];
let from: number;

beforeEach(async () => {
  vi.useFakeTimers();
  server = new TalkingServer();
  told = [];
  socket = new RunSocket({
    getTicket: async () => 'ticket',
    connect: () => {
      setTimeout(() => server.onopen?.({} as never), 5);
      return server;
    },
    now: () => performance.now(),
    onUnanswered: (is) => told.push([Math.round(performance.now() - from), is]),
  });
  socket.start();
  await vi.advanceTimersByTimeAsync(10);
  expect(socket.connection).toBe('live');
  from = performance.now();
});

afterEach(() => {
  socket.stop();
  vi.useRealTimers();
});

function tap(): void {
  // Those the end of a test finds waiting are refused.
  socket.send({ kind: 'mark' }).catch(() => undefined);
}

/** The server goes on speaking, as a line does that carries everything but taps. */
async function pass(ms: number): Promise<void> {
  for (let left = ms; left > 0; left -= 250) {
    await vi.advanceTimersByTimeAsync(Math.min(250, left));
    server.say({ t: 'pong', n: 1, serverMs: 0 });
  }
}

describe('a tap the server does not answer', () => {
  it('is said within two seconds of the tap, whatever else the line carries, and over with its answer', async () => {
    await pass(1_100);
    tap();
    await pass(1_000);
    // A later tap does not put it off, nor does the server's talk.
    tap();
    await pass(2_000);
    expect(UNANSWERED_MS).toBeLessThanOrEqual(1_500);
    expect(told).toEqual([[1_100 + UNANSWERED_MS, true]]);
    expect(socket.connection).toBe('live');
    server.answer(1);
    expect(told).toHaveLength(1);
    server.answer(2);
    expect(told.at(-1)?.[1]).toBe(false);
    await pass(5_000);
    expect(told).toHaveLength(2);
  });

  it('is said when the whole line has gone dumb, before its silence would tell', async () => {
    await vi.advanceTimersByTimeAsync(200);
    tap();
    await vi.advanceTimersByTimeAsync(UNANSWERED_MS);
    expect(told).toEqual([[200 + UNANSWERED_MS, true]]);
    expect(socket.connection).toBe('live');
  });

  it('is not said of one that is answered in time, nor after the page was closed', async () => {
    tap();
    await pass(UNANSWERED_MS - 100);
    server.answer(1);
    await pass(3_000);
    tap();
    socket.stop();
    await vi.advanceTimersByTimeAsync(5_000);
    expect(told).toEqual([]);
  });
});
