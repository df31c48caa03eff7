/**
 * What a debrief writes down, on its way to the server. Each thing is numbered and kept on this device until the server says
 * that it is on its disk: over a break of the network, a reload, a page that died. The numbers see to it that it is logged
 * once, however often it is sent.
 */
import type { AckMessage, CommandBody } from '@breathline/protocol';
import { api, asApiError, type ApiError } from '$lib/api';
import { whenBack } from '$lib/api/coming-back.ts';
import { commandOf, WaitingTaps } from '$lib/api/waiting-taps.ts';
import { PageOutbox, tapsKept } from '$lib/console/outbox.ts';

/** One thing the server has not confirmed, or one it has that no log has brought back yet. */
export interface OnItsWay {
  readonly clientId: string;
  readonly n: number;
  readonly command: CommandBody;
  /** When it was said, by this device's clock, ms. */
  readonly wallMs: number;
}

/** What the server would not keep, and why. */
export interface Refused extends OnItsWay {
  readonly problem: ApiError;
}

interface Line {
  readonly outbox: PageOutbox;
  readonly taps: WaitingTaps;
}

const BEAT_MS = 2_000;
/** Between two tries while the server is away. */
const AGAIN_MS = 3_000;
/** Answers that may be another one later: signed out, too many at once. */
const MAY_PASS: ReadonlySet<number> = new Set([401, 403, 408, 425, 429]);
/** The server has said no, and would say it again. */
const isFinal = ({ status }: ApiError): boolean => status >= 400 && status < 500 && !MAY_PASS.has(status);

/** The name under which this run's words wait in the browser's storage. */
const slotOf = (runId: string): string => `debrief-${runId}`;

export class DebriefPost {
  /** Not confirmed yet, oldest first. */
  waiting = $state.raw<readonly OnItsWay[]>([]);
  /** On the server's disk, and not yet read back from its log. */
  landed = $state.raw<readonly OnItsWay[]>([]);
  refused = $state.raw<readonly Refused[]>([]);
  /** Why the last try came to nothing; null once one came through. */
  problem = $state.raw<ApiError | null>(null);
  /** What waits would outlive this page. */
  safe = $state(true);

  readonly #runId: string;
  readonly #lines: Line[] = [];
  readonly #onlanded: () => void;
  #sending = false;
  #stopped = true;

  /** @param onlanded Called when something has reached the server. */
  constructor(runId: string, onlanded: () => void = () => undefined) {
    this.#runId = runId;
    this.#onlanded = onlanded;
  }

  /** Takes over what earlier pages left, sends, and goes on until the function it returns is called. */
  start(): () => void {
    this.#stopped = false;
    this.#takeOver();
    const leave = (): void => this.#lines.forEach(({ outbox }) => outbox.leave());
    const beat = setInterval(() => this.#lines.forEach(({ outbox }) => outbox.beat()), BEAT_MS);
    const again = setInterval(() => this.send(), AGAIN_MS);
    const deafen = whenBack(
      () => this.send(),
      () => undefined,
    );
    window.addEventListener('pagehide', leave);
    this.send();
    return () => {
      this.#stopped = true;
      clearInterval(beat);
      clearInterval(again);
      deafen();
      window.removeEventListener('pagehide', leave);
      leave();
    };
  }

  /** Keeps one thing here and sends it. Resolves when it is on the server's disk; rejects when the server says no. */
  write(command: CommandBody): Promise<AckMessage> {
    return new Promise((resolve, reject) => {
      const tap = { command, agoMs: 0, baseSeq: undefined, askedAt: performance.now(), wallMs: Date.now() };
      if (this.#lines.length === 0) this.#lines.push(this.#open());
      this.#lines[0]?.taps.add({ ...tap, resolve, reject });
      this.send();
    });
  }

  /** What the log has brought back needs no second line here. */
  readBack(has: (clientId: string, n: number) => boolean): void {
    const left = this.landed.filter(({ clientId, n }) => !has(clientId, n));
    if (left.length < this.landed.length) this.landed = left;
  }

  /** Puts away what was refused, once it has been read. */
  dismiss(): void {
    this.refused = [];
  }

  /** Sends what waits, one after the other. */
  send(): void {
    if (this.#stopped || this.#sending) return;
    this.#takeOver();
    if (this.waiting.length > 0) void this.#sendAll();
  }

  async #sendAll(): Promise<void> {
    this.#sending = true;
    try {
      for (const { taps } of [...this.#lines]) {
        for (const pending of [...taps]) {
          const item = { clientId: taps.clientId, n: pending.n, command: pending.command, wallMs: pending.wallMs };
          try {
            const ack = await api.command(this.#runId, commandOf(taps.clientId, pending, performance.now()));
            this.landed = [...this.landed, item];
            taps.settle(pending.n, true)?.resolve(ack);
            this.problem = null;
          } catch (thrown) {
            const problem = asApiError(thrown);
            if (problem.code === 'number-reused') {
              // Another page took this one for gone and went on with its numbers: the words get a number of their own.
              const line = this.#open();
              this.#lines.unshift(line);
              line.taps.add(pending);
              taps.settle(pending.n, true);
              continue;
            }
            if (!isFinal(problem)) {
              this.problem = problem;
              return;
            }
            this.refused = [...this.refused, { ...item, problem }];
            taps.settle(pending.n, true)?.reject(problem);
          }
        }
      }
    } finally {
      this.#sending = false;
      if (this.landed.length > 0) this.#onlanded();
    }
    // Written down meanwhile.
    if (this.waiting.length > 0) this.send();
  }

  /** Slots of this run that no page tends; and a line of this page's own. */
  #takeOver(): void {
    for (;;) {
      const line = this.#open();
      const left = line.taps.count > 0;
      if (left || this.#lines.length === 0) this.#lines.push(line);
      if (!left) break;
    }
    this.#changed();
  }

  #open(): Line {
    const outbox = new PageOutbox(slotOf(this.#runId), undefined, undefined, () => true);
    return { outbox, taps: new WaitingTaps(outbox, undefined, performance.now(), () => this.#changed()) };
  }

  #changed(): void {
    const before = this.waiting;
    const now = this.#lines.flatMap(({ taps }) =>
      [...taps].map(({ n, command, wallMs }) => ({ clientId: taps.clientId, n, command, wallMs })),
    );
    if (before.length === 0 && now.length === 0) return;
    this.waiting = now;
    this.safe = tapsKept(slotOf(this.#runId)).length >= now.length;
  }
}
