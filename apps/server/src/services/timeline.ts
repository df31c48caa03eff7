/**
 * What the run clock showed at any moment on the wall: a line with a corner wherever the run was started, paused, sped up,
 * wound back, or stood still because the machine slept or the server was away.
 */

/** From `nowMs` (the server's monotonic clock) on, the run stood at `clockMs` and went on at `rate`. */
interface Corner {
  readonly nowMs: number;
  readonly clockMs: number;
  readonly rate: number;
  readonly take: number;
}

/** Corners kept; more than a day of pressing pause. */
const KEPT = 5_000;

export class Timeline {
  readonly #corners: Corner[] = [{ nowMs: -Infinity, clockMs: 0, rate: 0, take: 1 }];

  /** The run turned a corner. A moment before the last corner is taken as the last corner's. */
  mark(nowMs: number, clockMs: number, rate: number, take: number): void {
    const last = this.#corners.at(-1);
    this.#corners.push({ nowMs: Math.max(nowMs, last?.nowMs ?? nowMs), clockMs, rate, take });
    if (this.#corners.length > KEPT) this.#corners.splice(0, this.#corners.length - KEPT);
  }

  /** Speed now, in run ms a ms; 0 while it stands. */
  get rate(): number {
    return this.#last.rate;
  }

  get #last(): Corner {
    return this.#corners.at(-1) as Corner;
  }

  /** Where the run clock should be now, ms, not on a step. */
  due(nowMs: number): number {
    return reach(this.#last, nowMs);
  }

  /** What the clock showed at a moment gone by, and in which take. */
  at(nowMs: number): { readonly clockMs: number; readonly take: number } {
    let index = this.#corners.length - 1;
    while (index > 0 && (this.#corners[index]?.nowMs ?? 0) > nowMs) index -= 1;
    const corner = this.#corners[index] as Corner;
    const next = this.#corners[index + 1];
    const clockMs = reach(corner, nowMs);
    return { clockMs: next?.take === corner.take ? Math.min(clockMs, next.clockMs) : clockMs, take: corner.take };
  }
}

const reach = ({ nowMs: from, clockMs, rate }: Corner, nowMs: number): number =>
  rate === 0 ? clockMs : clockMs + Math.max(0, nowMs - from) * rate;
