/**
 * Every way back to the server, with the clock in the test's hands: however long the network was away, whatever it did to what
 * was sent, and whether or not the browser says that it is back, the screen is live within two seconds; only what swallows
 * every packet without a word for most of a minute may cost more.
 */
import { afterEach, beforeEach, describe, expect, it, vi } from 'vitest';
import { ApiError, offlineError } from '../src/lib/api/errors.ts';
import { RunSocket, type ConnectionState, type SocketLike } from '../src/lib/api/run-socket.ts';

const PROMISE_MS = 2_000;
/** There or back. */
const WAY_MS = 5;
/** A packet that was lost is sent again after so long since it first was, ever more rarely (RFC 6298 5.5, doubling from 200 ms). */
const AGAIN_MS = [200, 600, 1_400, 3_000, 6_200, 12_600, 25_400, 50_800];

/** A line that hangs in opening asks again so long after it began (Linux, first after a second, then doubling). */
const OPENS_MS = [1_000, 3_000, 7_000, 15_000, 31_000, 63_000];

/** `refuses`: nobody listens. `swallows`: what is sent goes nowhere and nobody says so. `unplugged`: the browser knows. */
type Weather = 'up' | 'refuses' | 'swallows' | 'unplugged';

/** A network and a server behind it. */
class Net {
  weather: Weather = 'up';
  /** How long the server takes for a ticket, ms. */
  ticketMs = 2;
  joins = 0;
  #sockets = new Set<FakeSocket>();
  #lines: { readonly since: number; taken: boolean; readonly hangs: boolean }[] = [];
  #awayAt = 0;

  go(weather: Weather): void {
    this.weather = weather;
    this.#awayAt = Date.now();
    if (weather === 'refuses') for (const socket of this.#sockets) socket.cut();
  }

  /** @param goodbye The server was started again meanwhile: it knows no line of before, and says so at the first word of one. */
  back(goodbye: boolean): void {
    const lost = Date.now() - this.#awayAt;
    const swallowed = this.weather === 'swallows';
    this.weather = 'up';
    for (const socket of this.#sockets) {
      if (!swallowed) socket.cut();
      else if (socket.readyState === 0) continue;
      else if (goodbye) socket.doomed = true;
      // What was lost comes through at its next sending, if the line still stands by then.
      else socket.mute(Math.min(...AGAIN_MS.filter((ms) => ms >= lost)) - lost);
    }
  }

  open(socket: FakeSocket): void {
    this.#sockets.add(socket);
    if (this.weather === 'up') setTimeout(() => this.weather === 'up' && socket.opened(), 2 * WAY_MS);
    else if (this.weather !== 'swallows') setTimeout(() => socket.cut(), 1);
    else
      for (const ms of OPENS_MS.slice(0, 2))
        setTimeout(() => this.weather === 'up' && this.#sockets.has(socket) && socket.opened(), ms + 2 * WAY_MS);
  }

  gone(socket: FakeSocket): void {
    this.#sockets.delete(socket);
  }

  /**
   * As a browser does it: at most six lines to one server; one that hangs in opening is not given up with its request but
   * handed on to the next, and its first packet is sent again ever more rarely.
   */
  ticket(signal?: AbortSignal): Promise<string> {
    return new Promise((resolve, reject) => {
      if (this.weather === 'refuses' || this.weather === 'unplugged') {
        setTimeout(() => reject(offlineError()), 1);
        return;
      }
      let line = this.#lines.length < 6 ? undefined : this.#lines.find(({ taken }) => !taken);
      if (this.#lines.length < 6) {
        line = { since: Date.now(), taken: true, hangs: this.weather === 'swallows' };
        this.#lines.push(line);
      }
      if (!line) return;
      const mine = line;
      mine.taken = true;
      let timer: ReturnType<typeof setTimeout>;
      const look = (): void => {
        const at = mine.since + (mine.hangs ? (OPENS_MS.find((ms) => mine.since + ms >= Date.now()) ?? Infinity) : 0);
        const wait = Math.max(0, at - Date.now()) + this.ticketMs + 2 * WAY_MS;
        timer = setTimeout(() => {
          if (this.weather !== 'up') return look();
          this.#lines.splice(this.#lines.indexOf(mine), 1);
          resolve('t');
        }, wait);
      };
      look();
      signal?.addEventListener('abort', () => {
        clearTimeout(timer);
        mine.taken = false;
        if (!mine.hangs) this.#lines.splice(this.#lines.indexOf(mine), 1);
        reject(offlineError());
      });
    });
  }
}

class FakeSocket implements SocketLike {
  readyState = 0;
  onopen: ((event: never) => void) | null = null;
  onmessage: ((event: { data: unknown }) => void) | null = null;
  onclose: ((event: never) => void) | null = null;
  onerror: ((event: never) => void) | null = null;
  #joined = false;
  #talk: ReturnType<typeof setInterval> | undefined;
  #deafUntil = 0;
  doomed = false;

  constructor(readonly net: Net) {
    net.open(this);
  }

  opened(): void {
    if (this.readyState !== 0) return;
    this.readyState = 1;
    this.onopen?.(undefined as never);
  }

  cut(): void {
    if (this.readyState === 3) return;
    this.close();
    this.onclose?.(undefined as never);
  }

  mute(ms: number): void {
    this.#deafUntil = Date.now() + ms;
  }

  close(): void {
    this.readyState = 3;
    clearInterval(this.#talk);
    this.net.gone(this);
  }

  send(text: string): void {
    if (this.net.weather !== 'up') return;
    if (this.doomed) return void setTimeout(() => this.cut(), 2 * WAY_MS);
    const message = JSON.parse(text) as { t: string; n: number };
    setTimeout(() => {
      if (message.t === 'ping') this.#say({ t: 'pong', n: message.n, serverMs: Date.now() });
      if (message.t !== 'join' || this.#joined) return;
      this.#joined = true;
      this.net.joins += 1;
      this.#say({ t: 'hello', protocol: 1, role: 'monitor', screenId: 's', again: 'again' });
      const frame = (): void => this.#say({ t: 'monitor', roleSeq: 1, restarted: false });
      frame();
      this.#talk = setInterval(frame, 1_000);
    }, 2 * WAY_MS);
  }

  #say(message: unknown): void {
    if (this.readyState !== 1 || this.net.weather !== 'up' || this.doomed) return;
    if (Date.now() < this.#deafUntil) return;
    this.onmessage?.({ data: JSON.stringify(message) });
  }
}

let net: Net;
let socket: RunSocket;
let heardAt: number;
let states: ConnectionState[];
const page = new EventTarget();
const sheet = Object.assign(new EventTarget(), { visibilityState: 'visible' });

beforeEach(() => {
  vi.useFakeTimers({ toFake: ['setTimeout', 'clearTimeout', 'setInterval', 'clearInterval', 'Date', 'performance'] });
  vi.stubGlobal('window', page);
  vi.stubGlobal('document', sheet);
  vi.stubGlobal('navigator', { onLine: true });
});

afterEach(() => {
  socket.stop();
  vi.useRealTimers();
  vi.unstubAllGlobals();
});

/** A screen that is live, after a moment of its own so that beats and breaks do not fall on the same instants. */
async function live(afterMs = 0): Promise<void> {
  net = new Net();
  states = [];
  heardAt = 0;
  socket = new RunSocket({
    getTicket: (signal) => net.ticket(signal),
    connect: () => new FakeSocket(net),
    onFrame: () => (heardAt = Date.now()),
    onConnection: (state) => states.push(state),
  });
  socket.start();
  await vi.advanceTimersByTimeAsync(1_000 + afterMs);
  expect(socket.connection).toBe('live');
}

/** How long until a frame comes, ms; gives up at three times the promise. */
async function untilNews(): Promise<number> {
  const from = Date.now();
  while (heardAt < from) {
    if (Date.now() - from > 3 * PROMISE_MS) return Infinity;
    await vi.advanceTimersByTimeAsync(10);
  }
  return heardAt - from;
}

/** Breaks of many lengths, each ending somewhere else between two tries. */
const LENGTHS = [700, 1_300, 2_100, 2_900, 3_100, 3_600, 4_450, 7_000, 15_250, 30_730, 61_000];
/** So long the browser holds no socket back, and each may be tried afresh every few seconds. */
const UNTIL_HELD_BACK = LENGTHS.filter((ms) => ms < 54_000);
/** Later a line is left to its device for seven seconds, which asks again at the first, the third and the seventh. */
const HELD_BACK = [61_000, 95_000];
const HELD_BACK_MS = 4_500;

async function longest(away: Weather, back: () => void, lengths: readonly number[] = LENGTHS): Promise<number> {
  let most = 0;
  for (const [at, ms] of lengths.entries()) {
    for (const shift of [0, 170, 340, 510, 680, 850]) {
      await live(at * 37 + shift);
      net.go(away);
      await vi.advanceTimersByTimeAsync(ms + shift);
      back();
      most = Math.max(most, await untilNews());
      socket.stop();
    }
  }
  return most;
}

const say = (name: string): void => void page.dispatchEvent(new Event(name));

describe('live again within two seconds', () => {
  it('of a server that was away, which no browser tells of', async () => {
    expect(await longest('refuses', () => net.back(true))).toBeLessThan(PROMISE_MS);
  });

  it('of a network that swallowed what was sent, and comes back without a word', async () => {
    const back = (): void => net.back(false);
    expect(await longest('swallows', back, UNTIL_HELD_BACK)).toBeLessThan(PROMISE_MS);
    expect(await longest('swallows', back, HELD_BACK)).toBeLessThan(HELD_BACK_MS);
  });

  it('of a network that swallowed what was sent, and a server that was restarted meanwhile', async () => {
    // A line that looks whole for a while is found dead by its first word.
    const back = (): void => net.back(true);
    expect(await longest('swallows', back, UNTIL_HELD_BACK)).toBeLessThan(PROMISE_MS);
    expect(await longest('swallows', back, HELD_BACK)).toBeLessThan(HELD_BACK_MS);
  });

  it('of a network that the browser knew to be away, with its word and without', async () => {
    const leave = async (told: boolean): Promise<number> => {
      let most = 0;
      for (const ms of LENGTHS) {
        await live(ms % 400);
        net.go('unplugged');
        vi.stubGlobal('navigator', { onLine: false });
        say('offline');
        await vi.advanceTimersByTimeAsync(ms);
        expect(socket.connection).toBe('offline');
        vi.stubGlobal('navigator', { onLine: true });
        net.back(false);
        if (told) say('online');
        most = Math.max(most, await untilNews());
        socket.stop();
      }
      return most;
    };
    expect(await leave(false)).toBeLessThan(PROMISE_MS);
    // Told, it does not wait for its next try.
    expect(await leave(true)).toBeLessThan(150);
  });

  it('of the browser’s word, though a try of before hangs on the network that went', async () => {
    for (const ms of [3_200, 3_500, 3_900, 4_300]) {
      await live();
      net.go('swallows');
      await vi.advanceTimersByTimeAsync(ms);
      net.back(false);
      say('online');
      expect(await untilNews()).toBeLessThan(1_000);
      socket.stop();
    }
  });

  it('of a page that was put away with its timers stopped, and of a device that slept', async () => {
    await live();
    net.go('swallows');
    // Two minutes pass in which nothing of the page runs; its steady clock may stand still too.
    vi.setSystemTime(Date.now() + 120_000);
    net.back(true);
    sheet.dispatchEvent(new Event('visibilitychange'));
    expect(await untilNews()).toBeLessThan(PROMISE_MS);
  });

  it('of a page that comes back to a line that only looks whole', async () => {
    await live();
    // The server forgot this line; the browser does not know yet.
    net.go('swallows');
    await vi.advanceTimersByTimeAsync(500);
    net.back(true);
    sheet.dispatchEvent(new Event('visibilitychange'));
    expect(await untilNews()).toBeLessThan(PROMISE_MS);
  });
});

it('gets through a network on which opening a line takes longer than the shortest patience', async () => {
  net = new Net();
  net.open = (line: FakeSocket) => void setTimeout(() => line.opened(), 1_700);
  net.ticketMs = 900;
  heardAt = 0;
  socket = new RunSocket({
    getTicket: (signal) => net.ticket(signal),
    connect: () => new FakeSocket(net),
    onFrame: () => (heardAt = Date.now()),
  });
  socket.start();
  await vi.advanceTimersByTimeAsync(8_000);
  expect(socket.connection).toBe('live');
  expect(net.joins).toBe(1);
});

it('asks for its ticket a few times beside itself at most, however long the server takes', async () => {
  net = new Net();
  let open = 0;
  let most = 0;
  let asked = 0;
  socket = new RunSocket({
    getTicket: (signal) =>
      new Promise((resolve, reject) => {
        asked += 1;
        most = Math.max(most, ++open);
        // The first answer of a slow server comes after six seconds.
        const timer = setTimeout(() => ((open -= 1), resolve('t')), 6_000);
        signal?.addEventListener('abort', () => (clearTimeout(timer), (open -= 1), reject(offlineError())));
      }),
    connect: () => new FakeSocket(net),
  });
  socket.start();
  await vi.advanceTimersByTimeAsync(6_500);
  expect(socket.connection).toBe('live');
  expect(asked).toBeGreaterThan(4);
  expect(most).toBeLessThanOrEqual(5);
  expect(open).toBe(0);
});

it('says of a tap that waited while the device slept how long it waited on the wall', async () => {
  await live();
  let slept = 0;
  const steady = performance.now.bind(performance);
  vi.spyOn(performance, 'now').mockImplementation(() => steady() - slept);
  const sent: { heldMs?: number }[] = [];
  const { send } = FakeSocket.prototype;
  vi.spyOn(FakeSocket.prototype, 'send').mockImplementation(function (this: FakeSocket, text: string) {
    if (text.includes('"command"')) sent.push(JSON.parse(text) as { heldMs?: number });
    send.call(this, text);
  });
  net.go('refuses');
  await vi.advanceTimersByTimeAsync(100);
  socket.send({ kind: 'mark' }).catch(() => undefined);
  vi.setSystemTime(Date.now() + 60_000);
  slept = 60_000;
  net.back(true);
  sheet.dispatchEvent(new Event('visibilitychange'));
  await vi.advanceTimersByTimeAsync(1_500);
  expect(sent.length).toBeGreaterThan(0);
  expect(sent[0]!.heldMs).toBeGreaterThan(59_500);
  expect(sent[0]!.heldMs).toBeLessThan(62_000);
});

it('goes on saying that the line is down while every try fails, also before the first word', async () => {
  const said: ConnectionState[] = [];
  socket = new RunSocket({
    getTicket: () => Promise.reject(new ApiError('HTTP_500', 'The server failed', 'It failed.', undefined, 500)),
    connect: () => new FakeSocket(net),
    onConnection: (state) => said.push(state),
  });
  socket.start();
  await vi.advanceTimersByTimeAsync(10_000);
  expect(said).toEqual(['reconnecting']);
});
