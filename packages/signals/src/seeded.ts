/**
 * Seeded numbers that need no history: the n-th value can be had without the ones before it, so a screen that joins
 * late draws the same noise as one that was there from the start.
 */

/** A 32-bit hash of three integers (an avalanche mix in the manner of MurmurHash3's finaliser). */
function mix(seed: number, stream: number, n: number): number {
  let h = (seed | 0) ^ Math.imul((stream | 0) + 0x9e3779b9, 0x85ebca6b);
  h = Math.imul(h ^ (n | 0), 0xc2b2ae35);
  h ^= h >>> 16;
  h = Math.imul(h, 0x85ebca6b);
  h ^= h >>> 13;
  h = Math.imul(h, 0xc2b2ae35);
  h ^= h >>> 16;
  return h >>> 0;
}

/** Uniform in [0, 1) for a seed, a stream number (one per purpose) and an index. */
export function unitAt(seed: number, stream: number, n: number): number {
  return mix(seed, stream, n) / 4_294_967_296;
}

/** Uniform in [-1, 1). */
export function signedAt(seed: number, stream: number, n: number): number {
  return unitAt(seed, stream, n) * 2 - 1;
}

/** Smooth noise in about [-1, 1]: cubic blends between seeded values `stepMs` apart. */
export function smoothNoise(seed: number, stream: number, atMs: number, stepMs: number): number {
  const at = atMs / stepMs;
  const n = Math.floor(at);
  const u = at - n;
  const blend = u * u * (3 - 2 * u);
  return signedAt(seed, stream, n) * (1 - blend) + signedAt(seed, stream, n + 1) * blend;
}
