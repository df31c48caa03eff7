/** One scheduler of breaths, shared by the chest trace and the capnogram. */
import { createCycles } from './cycles.ts';
import { signedAt } from './seeded.ts';
import type { Breath } from './types.ts';

const STREAM_TIME = 11;
const STREAM_SIZE = 12;

export interface BreathKey {
  readonly atMs: number;
  readonly ratePerMin: number;
  readonly count?: number | null;
}

export interface Breaths {
  push(key: BreathKey): void;
  around(atMs: number): { readonly before: Breath | null; readonly after: Breath | null };
  between(fromMs: number, toMs: number): readonly Breath[];
  reset(): void;
}

/** Makes the breath scheduler of a run. Breath-to-breath variation (4 % in time, 12 % in size): common practice, no source. */
export function createBreaths(seed: number): Breaths {
  const cycles = createCycles<Breath>(
    (n) => 0.04 * signedAt(seed, STREAM_TIME, n),
    (mark) => ({ ...mark, size: 1 + 0.12 * signedAt(seed, STREAM_SIZE, mark.n) }),
  );
  return {
    push: (key) => cycles.push(key),
    around: (atMs) => cycles.around(atMs),
    between: (fromMs, toMs) => cycles.between(fromMs, toMs),
    reset: () => cycles.reset(),
  };
}

/**
 * Share of a breath that is inspiration: I:E 1:2 at rest, lengthening to 1:4 with full bronchospasm
 * (1:3 to 1:4 in obstruction; common practice, no source).
 */
export function inspiratoryShare(bronchospasmFraction: number): number {
  const b = Math.min(1, Math.max(0, bronchospasmFraction));
  return 1 / (1 + 2 + 2 * b);
}
