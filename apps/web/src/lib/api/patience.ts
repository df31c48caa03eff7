/** How long a line may take to open before it is taken to hang and another is tried in its place. */

/** A network that lost the first packet asks again ever more rarely by itself; a fresh try asks at once, ms. */
const LEAST_MS = 1_000;
const MOST_MS = 5_000;
/** An opening may take so many times as long as the last one did. */
const TIMES = 3;
/** Before any opening is known: a network may be slow, or away. Short tries find it back soon, a long one gets through it. */
const FIRST_MS = [1_000, 1_000, 4_000] as const;

export class Patience {
  #knownMs: number | null = null;
  #hung = 0;

  /** For the next try, ms. */
  get ms(): number {
    if (this.#knownMs === null) return FIRST_MS[this.#hung % FIRST_MS.length] ?? LEAST_MS;
    return Math.min(MOST_MS, Math.max(LEAST_MS, this.#knownMs * TIMES));
  }

  opened(tookMs: number): void {
    this.#knownMs = tookMs;
    this.#hung = 0;
  }

  hung(): void {
    this.#hung += 1;
  }
}

/** Drift past this between the clock that stands still while a device sleeps and the one on its wall is sleep, ms. */
const SLEPT_MS = 2_000;

/**
 * How long ago something was, ms: by the steady clock, which stands still while the device sleeps, unless the wall clock says
 * that it slept.
 */
export function agoMs(steadyMs: number, wallMs: number): number {
  return wallMs - steadyMs > SLEPT_MS ? wallMs : steadyMs;
}
