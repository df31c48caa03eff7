/**
 * The clockwork under beats and breaths: rates stamped with the run clock go in, numbered moments come out.
 *
 * A running count (the integral of rate) says which cycle we are in. When the stamps carry the count itself, screens
 * that joined at different times agree exactly; otherwise it is integrated here. Moments already asked about are
 * never moved, so a late or lost stamp cannot tear what was drawn.
 */

/** The rate at one moment. */
export interface CycleKey {
  readonly atMs: number;
  readonly ratePerMin: number;
  /** Cycles since the run began; integrated from the rate when absent. */
  readonly count?: number | null;
}

/** One numbered moment. */
export interface CycleMark {
  readonly n: number;
  readonly atMs: number;
  readonly periodMs: number;
}

/** How a cycle's moment departs from its even place. */
export interface CycleShift {
  /** Shift in cycles, well inside -0.5 to 0.5; negative is early. */
  (n: number, evenAtMs: number, periodMs: number): number;
}

/** Nothing is kept longer than this behind the newest moment asked for, ms. */
const KEEP_MS = 30_000;
/** Two moments are never closer than this share of a cycle (refractory). */
const CLOSEST = 0.3;
/** A count further than this from where we were is a new place, not a late stamp. */
const JUMP_CYCLES = 3;

/** A rate below this is no rate. */
const SLOWEST_PER_MIN = 0.1;

interface Key {
  readonly atMs: number;
  readonly ratePerMin: number;
  readonly count: number;
}

export interface Cycles<M extends CycleMark> {
  /** Adds a stamp. An earlier time than the last one means the clock was wound back: everything is forgotten. */
  push(key: CycleKey): void;
  /** The last moment at or before `atMs`, and the next one if it can be foreseen. */
  around(atMs: number): { readonly before: M | null; readonly after: M | null };
  /** Every moment in (fromMs, toMs]. */
  between(fromMs: number, toMs: number): readonly M[];
  /** Rate per minute at a time, between the stamps. */
  rateAt(atMs: number): number;
  /** Forgets everything. */
  reset(): void;
}

/** Makes a scheduler. `shift` displaces each moment; `dress` turns a bare moment into what the caller keeps. */
export function createCycles<M extends CycleMark>(
  shift: CycleShift,
  dress: (mark: CycleMark, previous: M | null) => M,
): Cycles<M> {
  let keys: Key[] = [];
  let marks: M[] = [];
  /** Number of the last moment settled or passed over. */
  let lastN: number | null = null;
  let askedMs = -Infinity;
  /** The next moment, kept until a stamp or a settled moment changes it. */
  let foreseen: { readonly mark: M | null } | null = null;

  function reset(): void {
    foreseen = null;
    keys = [];
    marks = [];
    lastN = null;
    askedMs = -Infinity;
  }

  function push(key: CycleKey): void {
    foreseen = null;
    const rate = Number.isFinite(key.ratePerMin) && key.ratePerMin > SLOWEST_PER_MIN ? key.ratePerMin : 0;
    let last = keys.at(-1);
    if (last && key.atMs < last.atMs) {
      reset();
      last = undefined;
    }
    const expected = last
      ? last.count + ((last.ratePerMin + rate) / 2) * ((key.atMs - last.atMs) / 60_000)
      : (rate * key.atMs) / 60_000;
    const given = key.count != null && Number.isFinite(key.count) ? key.count : expected;
    if (last && Math.abs(given - expected) > JUMP_CYCLES) {
      keys = [];
      last = undefined;
      lastN = null;
    }
    // A stamp may lag its neighbour by rounding; the count itself never runs backwards.
    const count = last ? Math.max(last.count, given) : given;
    if (last && last.atMs === key.atMs) keys.pop();
    keys.push({ atMs: key.atMs, ratePerMin: rate, count });
    while (keys.length > 2 && keys[1]!.atMs < Math.min(askedMs, key.atMs) - KEEP_MS) keys.shift();
  }

  /** Index of the last key at or before a time, or -1. */
  function keyBefore(atMs: number): number {
    let low = 0;
    let high = keys.length - 1;
    let found = -1;
    while (low <= high) {
      const mid = (low + high) >> 1;
      if (keys[mid]!.atMs <= atMs) {
        found = mid;
        low = mid + 1;
      } else high = mid - 1;
    }
    return found;
  }

  function rateAt(atMs: number): number {
    const i = keyBefore(atMs);
    if (i < 0) return keys[0]?.ratePerMin ?? 0;
    const a = keys[i]!;
    const b = keys[i + 1];
    if (!b) return a.ratePerMin;
    return a.ratePerMin + ((b.ratePerMin - a.ratePerMin) * (atMs - a.atMs)) / (b.atMs - a.atMs);
  }

  function countAt(atMs: number): number {
    const i = keyBefore(atMs);
    const a = keys[Math.max(0, i)]!;
    const b = i < 0 ? undefined : keys[i + 1];
    if (b) return a.count + ((b.count - a.count) * (atMs - a.atMs)) / (b.atMs - a.atMs);
    return a.count + (a.ratePerMin * (atMs - a.atMs)) / 60_000;
  }

  /** When the count reaches a number, or null when the rate has stopped before it. */
  function timeOf(count: number): number | null {
    const first = keys[0];
    if (!first) return null;
    if (count <= first.count) {
      return first.ratePerMin > 0 ? first.atMs - ((first.count - count) * 60_000) / first.ratePerMin : null;
    }
    for (let i = keys.length - 1; i >= 0; i -= 1) {
      const a = keys[i]!;
      if (a.count > count) continue;
      const b = keys[i + 1];
      if (b && b.count > a.count) return a.atMs + ((count - a.count) / (b.count - a.count)) * (b.atMs - a.atMs);
      if (b) return a.atMs;
      return a.ratePerMin > 0 ? a.atMs + ((count - a.count) * 60_000) / a.ratePerMin : null;
    }
    return null;
  }

  function candidate(n: number): CycleMark | null {
    const even = timeOf(n);
    if (even === null) return null;
    const rate = rateAt(even);
    if (rate <= 0) return null;
    const periodMs = 60_000 / rate;
    return { n, atMs: even + shift(n, even, periodMs) * periodMs, periodMs };
  }

  function next(): CycleMark | null {
    if (keys.length === 0) return null;
    if (lastN === null) lastN = Math.ceil(keys[0]!.count) - 1;
    const previous = marks.at(-1) ?? null;
    let n = lastN + 1;
    // Too far behind (a screen that slept): start again from here rather than fire a volley.
    if (askedMs > -Infinity && keys.length > 0 && countAt(askedMs) - n > JUMP_CYCLES) n = Math.floor(countAt(askedMs));
    for (let tries = 0; tries < 8; tries += 1, n += 1) {
      const mark = candidate(n);
      if (!mark) continue;
      if (!previous || mark.atMs > previous.atMs + CLOSEST * mark.periodMs) return mark;
    }
    return null;
  }

  /** Settles every moment up to a time. */
  function settle(toMs: number): void {
    if (toMs <= askedMs) return;
    // With a next moment already foreseen beyond this time, nothing can settle before it.
    if (foreseen?.mark && foreseen.mark.atMs > toMs) {
      askedMs = toMs;
      return;
    }
    for (let mark = next(); mark && mark.atMs <= toMs; mark = next()) {
      marks.push(dress(mark, marks.at(-1) ?? null));
      lastN = mark.n;
      foreseen = null;
    }
    askedMs = toMs;
    while (marks.length > 2 && marks[1]!.atMs < askedMs - KEEP_MS) marks.shift();
  }

  function indexBefore(atMs: number): number {
    let i = marks.length - 1;
    while (i >= 0 && marks[i]!.atMs > atMs) i -= 1;
    return i;
  }

  function around(atMs: number): { before: M | null; after: M | null } {
    settle(atMs);
    const i = indexBefore(atMs);
    const before = i >= 0 ? marks[i]! : null;
    const settled = marks[i + 1];
    if (settled) return { before, after: settled };
    if (!foreseen) {
      const mark = next();
      foreseen = { mark: mark ? dress(mark, marks.at(-1) ?? null) : null };
    }
    return { before, after: foreseen.mark };
  }

  function between(fromMs: number, toMs: number): readonly M[] {
    settle(toMs);
    return marks.filter((mark) => mark.atMs > fromMs && mark.atMs <= toMs);
  }

  return { push, around, between, rateAt, reset };
}
