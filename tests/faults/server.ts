/**
 * A real server in a process of its own, on a free loopback port with a data folder of its own, for tests that kill it,
 * restart it and send it what no screen would.
 */
import { spawn, type ChildProcess } from 'node:child_process';
import { once } from 'node:events';
import { cpSync, existsSync, mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import path from 'node:path';
import WebSocket from 'ws';
import type {
  AckMessage,
  CommandBody,
  CommandMessage,
  CrewFrame,
  CrewRole,
  FacultyFrame,
  JoinAnswer,
  MonitorFrame,
  ProblemBody,
  RefusedMessage,
  ServerMessage,
} from '@breathline/protocol';

import { putEmptyDatabase } from '../empty-database.ts';
import { ROOT } from '../root.ts';

export const PASSPHRASE = 'quiet orange kettle';

export interface Answer<T = unknown> {
  readonly status: number;
  readonly body: T;
  readonly headers: Headers;
}

const toRemove: string[] = [];
process.on('exit', () => {
  for (const folder of toRemove) rmSync(folder, { recursive: true, force: true });
});

/** A folder of its own, gone when the tests are done. */
const ownFolder = (name: string): string => {
  const folder = mkdtempSync(path.join(tmpdir(), `breathline-${name}-`));
  toRemove.push(folder);
  return folder;
};

/** What a new run is known by. */
export interface NewRunAnswer {
  readonly runId: string;
  readonly joinCode: string;
  readonly crewCode: string;
}

export class TestServer {
  readonly dataFolder: string;
  readonly env: Record<string, string>;
  #process: ChildProcess | null = null;
  #output = '';
  #cookie = '';
  origin = '';

  constructor(env: Record<string, string> = {}) {
    this.dataFolder = ownFolder('test');
    putEmptyDatabase(this.dataFolder);
    this.env = env;
  }

  /** One that is up, with faculty signed in. */
  static async signedIn(env: Record<string, string> = {}): Promise<TestServer> {
    const server = new TestServer(env);
    await server.start();
    await server.login();
    return server;
  }

  /** Starts (or starts again on the same data). */
  async start(): Promise<void> {
    this.#output = '';
    const child = spawn(process.execPath, ['apps/server/bin/start.mjs'], {
      cwd: ROOT,
      env: {
        PATH: process.env['PATH'] ?? '',
        HOME: process.env['HOME'] ?? '/tmp',
        PORT: '0',
        BREATHLINE_API_ONLY: '1',
        BREATHLINE_PASSPHRASE: PASSPHRASE,
        BREATHLINE_SCENARIOS: path.join(ROOT, 'tests/faults/scenarios'),
        BREATHLINE_DATA: this.dataFolder,
        ...this.env,
      },
      stdio: ['ignore', 'pipe', 'pipe'],
    });
    this.#process = child;
    child.stdout?.on('data', (data: Buffer) => (this.#output += data.toString()));
    child.stderr?.on('data', (data: Buffer) => (this.#output += data.toString()));
    for (let waited = 0; waited < 60_000; waited += 20) {
      const address = /Open (https?:\S+)/.exec(this.#output)?.[1];
      if (address && this.#output.includes('Stop with')) {
        this.origin = address;
        return;
      }
      if (child.exitCode !== null) break;
      await sleep(20);
    }
    throw new Error(`The server did not start:\n${this.#output}`);
  }

  get output(): string {
    return this.#output;
  }

  /** Its process; null before it was started. */
  get pid(): number | null {
    return this.#process?.pid ?? null;
  }

  /** Pulls the plug: no goodbye, no last write. */
  async kill(): Promise<void> {
    await this.#end('SIGKILL');
  }

  async stop(): Promise<number | null> {
    return this.#end('SIGTERM');
  }

  async #end(signal: NodeJS.Signals): Promise<number | null> {
    const child = this.#process;
    if (!child || child.exitCode !== null || child.signalCode !== null) return null;
    const gone = once(child, 'exit');
    child.kill(signal);
    await gone;
    return child.exitCode;
  }

  async dispose(): Promise<void> {
    await this.kill();
    rmSync(this.dataFolder, { recursive: true, force: true });
  }

  async call<T = unknown>(
    method: string,
    address: string,
    body?: unknown,
    options: { readonly anonymous?: boolean; readonly headers?: Record<string, string> } = {},
  ): Promise<Answer<T>> {
    const response = await fetch(this.origin + address, {
      method,
      headers: {
        ...(body === undefined ? {} : { 'content-type': 'application/json' }),
        ...(this.#cookie && !options.anonymous ? { cookie: this.#cookie } : {}),
        ...options.headers,
      },
      ...(body === undefined
        ? {}
        : { body: typeof body === 'string' || body instanceof Blob ? body : JSON.stringify(body) }),
    });
    const text = await response.text();
    const set = response.headers.get('set-cookie');
    if (set?.startsWith('breathline_session=') && !options.anonymous) this.#cookie = set.split(';')[0] ?? '';
    return { status: response.status, body: (text ? tryJson(text) : undefined) as T, headers: response.headers };
  }

  async login(): Promise<void> {
    const { status } = await this.call('POST', '/api/login', { passphrase: PASSPHRASE });
    if (status !== 204) throw new Error(`sign-in answered ${status}`);
  }

  async newRun(): Promise<NewRunAnswer> {
    const { status, body } = await this.call<NewRunAnswer>('POST', '/api/runs', {
      scenarioId: 'fault-drill',
      packId: 'fixture-pack',
    });
    if (status !== 200) throw new Error(`a new run answered ${status}: ${JSON.stringify(body)}`);
    return body;
  }

  async faculty(runId: string, lastSeq?: number): Promise<TestScreen> {
    const { body } = await this.call<{ ticket: string }>('POST', `/api/runs/${runId}/ticket`, {});
    return TestScreen.join(this.origin, body.ticket, lastSeq === undefined ? {} : { lastSeq });
  }

  /** A phone of the crew, joined by the crew's code; the pass it got comes with it. */
  async crew(crewCode: string, as: CrewRole, seat?: string): Promise<TestScreen & { pass: string }> {
    const { body } = await this.call<JoinAnswer>('POST', '/api/join', { code: crewCode, as }, { anonymous: true });
    const screen = await TestScreen.join(this.origin, body.ticket, seat === undefined ? {} : { seat });
    return Object.assign(screen, { pass: body.pass ?? '' });
  }

  async monitor(joinCode: string): Promise<TestScreen> {
    const { body } = await this.call<{ ticket: string }>('POST', '/api/join', { code: joinCode }, { anonymous: true });
    return TestScreen.join(this.origin, body.ticket);
  }
}

const tryJson = (text: string): unknown => {
  try {
    return JSON.parse(text) as unknown;
  } catch {
    return text;
  }
};

/** A dose as a console would log it. */
export const DOSE: CommandBody = {
  kind: 'intervention',
  intervention: 'adrenaline-im',
  step: 'given',
  amount: 300,
  unit: 'micrograms',
  doseSeen: true,
};

export const sleep = (ms: number): Promise<void> => new Promise((resolve) => setTimeout(resolve, ms));

/** A screen as a test sees it: everything it was sent, and a way to wait for what it should be sent next. */
export class TestScreen {
  readonly socket: WebSocket;
  readonly received: ServerMessage[] = [];
  readonly texts: string[] = [];
  closed: number | null = null;
  clientId = `seat-${Math.random().toString(36).slice(2)}`;
  #n = 0;
  #watchers = new Set<() => void>();

  private constructor(socket: WebSocket) {
    this.socket = socket;
    socket.on('message', (data: Buffer) => {
      this.texts.push(data.toString());
      this.received.push(JSON.parse(data.toString()) as ServerMessage);
      for (const watcher of [...this.#watchers]) watcher();
    });
    socket.on('close', (code) => {
      this.closed = code;
      for (const watcher of [...this.#watchers]) watcher();
    });
    socket.on('error', () => undefined);
  }

  static async open(origin: string, headers: Record<string, string> = {}): Promise<TestScreen> {
    const socket = new WebSocket(`${origin.replace('http', 'ws')}/api/socket`, { headers });
    const screen = new TestScreen(socket);
    await once(socket, 'open');
    return screen;
  }

  static async join(
    origin: string,
    ticket: string,
    more: { lastSeq?: number; seat?: string } = {},
  ): Promise<TestScreen> {
    const screen = await TestScreen.open(origin);
    screen.send({ t: 'join', ticket, ...more });
    await screen.until(({ t }) => t === 'faculty' || t === 'monitor' || t === 'crew');
    return screen;
  }

  /** What the server gave this screen to come back with. */
  get again(): string {
    const hello = this.received.find((message) => message.t === 'hello');
    if (!hello) throw new Error('This screen was not greeted.');
    return hello.again;
  }

  send(message: unknown): void {
    this.socket.send(typeof message === 'string' || message instanceof Uint8Array ? message : JSON.stringify(message));
  }

  /** The first message, from `from` on, that fits. */
  async until<T extends ServerMessage>(
    fits: ((message: ServerMessage) => message is T) | ((message: ServerMessage) => boolean),
    { from = 0, withinMs = 10_000 }: { readonly from?: number; readonly withinMs?: number } = {},
  ): Promise<T> {
    const deadline = Date.now() + withinMs;
    for (;;) {
      const found = this.received.slice(from).find(fits as (message: ServerMessage) => boolean);
      if (found) return found as T;
      const left = deadline - Date.now();
      if (left <= 0)
        throw new Error(`Nothing fitted; the last was ${JSON.stringify(this.received.at(-1))?.slice(0, 400)}`);
      await new Promise<void>((resolve) => {
        const timer = setTimeout(done, left);
        const watchers = this.#watchers;
        function done() {
          clearTimeout(timer);
          watchers.delete(done);
          resolve();
        }
        watchers.add(done);
      });
    }
  }

  message(command: CommandBody, more: Partial<CommandMessage> = {}): CommandMessage {
    this.#n += 1;
    return { t: 'command', clientId: this.clientId, n: this.#n, command, ...more };
  }

  /** Sends a command (or anything like one) and waits for its answer. */
  async ask(message: CommandMessage): Promise<AckMessage | RefusedMessage> {
    const from = this.received.length;
    this.send(message);
    return this.until<AckMessage | RefusedMessage>(
      (answer) => (answer.t === 'ack' || answer.t === 'refused') && answer.n === message.n,
      { from },
    );
  }

  /** Sends a command that must be taken. */
  async tap(command: CommandBody, more: Partial<CommandMessage> = {}): Promise<AckMessage> {
    const answer = await this.ask(this.message(command, more));
    if (answer.t !== 'ack') throw new Error(`${command.kind} was refused: ${answer.code} ${answer.message}`);
    return answer;
  }

  /** Sends a command that must be refused. */
  async refused(command: CommandBody, more: Partial<CommandMessage> = {}): Promise<RefusedMessage> {
    const answer = await this.ask(this.message(command, more));
    if (answer.t !== 'refused') throw new Error(`${command.kind} was taken`);
    return answer;
  }

  get faculty(): FacultyFrame {
    return this.received.findLast((message) => message.t === 'faculty') as FacultyFrame;
  }

  get monitor(): MonitorFrame {
    return this.received.findLast((message) => message.t === 'monitor') as MonitorFrame;
  }

  get crew(): CrewFrame {
    return this.received.findLast((message) => message.t === 'crew') as CrewFrame;
  }

  /** Every log line this screen has been told of, by number. */
  get log(): Map<number, FacultyFrame['log'][number]> {
    const lines = new Map<number, FacultyFrame['log'][number]>();
    for (const message of this.received)
      if (message.t === 'faculty') for (const line of message.log) lines.set(line.event.seq, line);
    return lines;
  }

  close(): void {
    this.socket.terminate();
  }
}

export type Problem = ProblemBody;

/** Copies a data folder as it lies, as a crash would leave it. */
export const copyFolder = (from: string): string => {
  const to = ownFolder('copy');
  for (const name of ['breathline.db', 'breathline.db-wal']) {
    if (existsSync(path.join(from, name))) cpSync(path.join(from, name), path.join(to, name));
  }
  return to;
};
