/**
 * Seeded pseudo-random numbers by 32-bit integer arithmetic only, so every engine draws the same ones. The whole
 * generator is one unsigned 32-bit number, which can be kept in a run's state and copied with it. Not for secrets.
 */

/** A generator. `state` may be read, stored and written back at any time. */
export interface Random {
  state: number;
  /** Next value, 0 <= v < 1, in steps of 2^-32. */
  next(): number;
}

/** The state after `state`: an additive step with an odd constant visits all 2^32 states. */
export function nextRandomState(state: number): number {
  return (state + 0x9e3779b9) >>> 0;
}

/** The value that belongs to a state, 0 <= v < 1: two multiply-xorshift rounds hide the additive step. */
export function randomOf(state: number): number {
  let z = state >>> 0;
  z = Math.imul(z ^ (z >>> 16), 0x21f0aaad);
  z = Math.imul(z ^ (z >>> 15), 0x735a2d97);
  return ((z ^ (z >>> 15)) >>> 0) / 4294967296;
}

/** Makes a generator from any finite number (its integer part modulo 2^32). */
export function createRandom(seed: number): Random {
  return {
    state: seed >>> 0,
    next(): number {
      this.state = nextRandomState(this.state);
      return randomOf(this.state);
    },
  };
}
