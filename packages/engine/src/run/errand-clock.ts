/** Tells each errand's coming once, and knows when the next falls due, so that a step need not ask. */
import { errandsOf } from '../live/fold.ts';
import type { Derived, RunEvent } from '../types.ts';

export class ErrandClock {
  /** Errands whose coming has been told. */
  private readonly told = new Set<number>();
  /** When the next falls due, run-clock ms; Infinity when none is under way. */
  nextMs = Infinity;

  constructor(private readonly tell: (derived: Derived) => void) {}

  /** Begins anew with what has been told. */
  reset(told: Iterable<number>): void {
    this.told.clear();
    for (const seq of told) this.told.add(seq);
  }

  /** Reads the errands anew from what counts, and tells those whose time has come. */
  look(counting: readonly RunEvent[], clockMs: number): void {
    for (const { seq, what, state } of errandsOf(counting, clockMs)) {
      if (state !== 'came' || this.told.has(seq)) continue;
      this.told.add(seq);
      this.tell({ kind: 'errand-came', atMs: clockMs, seq, what });
    }
    this.nextMs = Infinity;
    for (const { seq, state, dueAtMs, endedAtMs } of errandsOf(counting, clockMs)) {
      const atMs = endedAtMs ?? dueAtMs;
      if (state !== 'failed' && !this.told.has(seq) && atMs < this.nextMs) this.nextMs = atMs;
    }
  }
}
