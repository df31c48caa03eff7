/**
 * Is a tap going unanswered? Decided by its own age on a timer of its own: a network that swallows packets lets a line look
 * alive for some seconds, and an educator who tapped wants to know at once that the tap is kept.
 */
import type { Pending } from './line-types.ts';

/** A server answers in some milliseconds; past this it is said that the tap is kept here, ms. */
export const UNANSWERED_MS = 1_500;

export class Unanswered {
  #taps: Iterable<Pending>;
  #now: () => number;
  #onChange: (unanswered: boolean) => void;
  #timer: ReturnType<typeof setTimeout> | null = null;
  #is = false;
  /** What waited while the line was down is sent when it is back, and is owed an answer from then on. */
  #joinedAt = 0;

  constructor(taps: Iterable<Pending>, now: () => number, onChange: (unanswered: boolean) => void) {
    this.#taps = taps;
    this.#now = now;
    this.#onChange = onChange;
  }

  joined(): void {
    this.#joinedAt = this.#now();
    this.look();
  }

  /** To be called whenever a tap was made or answered. */
  look(): void {
    this.stop();
    let oldest = Infinity;
    for (const { askedAt } of this.#taps) oldest = Math.min(oldest, Math.max(askedAt, this.#joinedAt));
    const leftMs = oldest + UNANSWERED_MS - this.#now();
    this.#tell(leftMs <= 0);
    if (leftMs > 0 && leftMs < Infinity) this.#timer = setTimeout(() => this.look(), Math.ceil(leftMs));
  }

  stop(): void {
    if (this.#timer) clearTimeout(this.#timer);
    this.#timer = null;
  }

  #tell(unanswered: boolean): void {
    if (unanswered === this.#is) return;
    this.#is = unanswered;
    this.#onChange(unanswered);
  }
}
