import type { Derived, FacultyFrame, LogLine } from './shapes.ts';

/** Gathers a run's log from the frames' parts. A line told twice (after a reconnect) is kept once, its last form. */
export class LogBook {
  #lines = new Map<number, LogLine>();
  #seen = new Set<string>();
  #derived: Derived[] = [];

  /** Takes a frame in; says which of the two lists changed. */
  take(frame: Pick<FacultyFrame, 'log' | 'derived'>): { log: boolean; derived: boolean } {
    for (const line of frame.log) this.#lines.set(line.event.seq, line);
    const before = this.#derived.length;
    for (const item of frame.derived) {
      const key = JSON.stringify(item);
      if (this.#seen.has(key)) continue;
      this.#seen.add(key);
      this.#derived.push(item);
    }
    return { log: frame.log.length > 0, derived: this.#derived.length > before };
  }

  /** By sequence. A fresh array each time. */
  get log(): LogLine[] {
    return [...this.#lines.values()].sort((a, b) => a.event.seq - b.event.seq);
  }

  /** In the order told. A fresh array each time. */
  get derived(): Derived[] {
    return [...this.#derived];
  }
}
