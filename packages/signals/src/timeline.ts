/** A number (or word) that changes at stamped times, looked up at any time. */

const KEEP = 160;

export interface Timeline<T> {
  push(atMs: number, value: T): void;
  /** The value stamped at or before a time; the first one before that; null when empty. */
  at(atMs: number): T | null;
  /** When the value now in force at `atMs` began. */
  since(atMs: number): number | null;
  reset(): void;
}

/** Steps: the last value holds until the next. An earlier stamp than the last clears it. */
export function createSteps<T>(): Timeline<T> & { entries(): readonly { atMs: number; value: T }[] } {
  let list: { atMs: number; value: T }[] = [];
  const indexAt = (atMs: number): number => {
    let i = list.length - 1;
    while (i > 0 && list[i]!.atMs > atMs) i -= 1;
    return i;
  };
  return {
    push(atMs, value) {
      const last = list.at(-1);
      if (last && atMs < last.atMs) list = [];
      else if (last && last.atMs === atMs) list.pop();
      list.push({ atMs, value });
      if (list.length > KEEP) list.shift();
    },
    at: (atMs) => list[indexAt(atMs)]?.value ?? null,
    since(atMs) {
      let i = indexAt(atMs);
      if (i < 0) return null;
      while (i > 0 && Object.is(list[i - 1]!.value, list[i]!.value)) i -= 1;
      return list[i]!.atMs;
    },
    reset() {
      list = [];
    },
    entries: () => list,
  };
}

/** Lines: numbers blend straight between stamps and hold after the last. */
export function createLine(): Pick<Timeline<number>, 'push' | 'reset'> & { at(atMs: number): number | null } {
  const steps = createSteps<number>();
  return {
    push: (atMs, value) => steps.push(atMs, value),
    reset: () => steps.reset(),
    at(atMs) {
      const list = steps.entries();
      let i = list.length - 1;
      if (i < 0) return null;
      while (i > 0 && list[i]!.atMs > atMs) i -= 1;
      const a = list[i]!;
      const b = list[i + 1];
      if (!b || atMs <= a.atMs) return a.value;
      return a.value + ((b.value - a.value) * (atMs - a.atMs)) / (b.atMs - a.atMs);
    },
  };
}
