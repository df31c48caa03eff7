/** Counts failures per key in a sliding minute; the clock is passed in so that tests need not wait. */
export class Limiter {
  readonly #most: number;
  readonly #windowMs: number;
  readonly #now: () => number;
  readonly #failures = new Map<string, number[]>();

  constructor(most: number, windowMs = 60_000, now: () => number = () => performance.now()) {
    this.#most = most;
    this.#windowMs = windowMs;
    this.#now = now;
  }

  /** True when `key` has used up its attempts. */
  blocked(key: string): boolean {
    return this.#recent(key).length >= this.#most;
  }

  fail(key: string): void {
    const recent = this.#recent(key);
    recent.push(this.#now());
    this.#failures.set(key, recent);
    if (this.#failures.size > 10_000) this.#sweep();
  }

  clear(key: string): void {
    this.#failures.delete(key);
  }

  #recent(key: string): number[] {
    const since = this.#now() - this.#windowMs;
    return (this.#failures.get(key) ?? []).filter((at) => at > since);
  }

  #sweep(): void {
    for (const key of this.#failures.keys()) if (this.#recent(key).length === 0) this.#failures.delete(key);
  }
}
