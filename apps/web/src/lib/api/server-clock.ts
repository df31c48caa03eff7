/** How far the server's clock is from this screen's, from pings whose way there and back is remembered. */
import { serverOffsetMs, type PingSample } from '@breathline/protocol';

/** The quickest of so many says how far the two clocks are apart. */
const PINGS_KEPT = 8;
/** The server's clock is asked for at once a few times, and then now and then: clocks drift apart, ms. */
const CLOCK_EVERY_MS = 5_000;
const FIRST_CLOCKS = 4;

export class ServerClock {
  #n = 0;
  #askedAt = 0;
  #pings = new Map<number, number>();
  #samples: readonly PingSample[] = [];

  /** What to add to this screen's clock to get the server's, ms; null until a ping was answered with it. */
  get offsetMs(): number | null {
    return serverOffsetMs(this.#samples);
  }

  /** Number of the ping that goes out now. */
  ask(nowMs: number): number {
    const n = ++this.#n;
    this.#askedAt = nowMs;
    this.#pings.set(n, nowMs);
    for (const old of this.#pings.keys()) if (old <= n - PINGS_KEPT) this.#pings.delete(old);
    return n;
  }

  answered(n: number, serverMs: number | undefined, nowMs: number): void {
    const sentMs = this.#pings.get(n);
    this.#pings.delete(n);
    if (sentMs === undefined || serverMs === undefined) return;
    this.#samples = [...this.#samples.slice(1 - PINGS_KEPT), { sentMs, gotMs: nowMs, serverMs }];
  }

  /** Is it time to ask again? */
  wantsAsking(nowMs: number): boolean {
    return this.#samples.length < FIRST_CLOCKS || nowMs - this.#askedAt > CLOCK_EVERY_MS;
  }

  /** The server that answers next may be another one, with a clock of its own. */
  forget(): void {
    this.#pings.clear();
    this.#samples = [];
  }
}
