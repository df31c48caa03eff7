/**
 * Seeded noise and the state hash. Both are integer arithmetic on fixed-width words, so they are the same in every
 * JavaScript engine.
 */
import { nextRandomState, randomOf } from '@breathline/patient';

/** Starting state of one noise stream: each device has its own, so that attaching one never alters another's noise. */
export function streamSeed(seed: number, stream: number): number {
  let state = seed >>> 0;
  for (let i = 0; i <= stream; i++) state = nextRandomState(state);
  return (randomOf(state) * 4294967296) | 0;
}

/** Next uniform number in [0, 1) from the generator state kept in `ints[slot]`. */
export function nextUniform(ints: Int32Array, slot: number): number {
  const state = nextRandomState(ints[slot]! >>> 0);
  ints[slot] = state | 0;
  return randomOf(state);
}

/** Bell-shaped noise of about unit standard deviation, within ±3.5: four uniforms summed, so no logarithm is needed. */
export function nextNoise(ints: Int32Array, slot: number): number {
  const sum = nextUniform(ints, slot) + nextUniform(ints, slot) + nextUniform(ints, slot) + nextUniform(ints, slot);
  return (sum - 2) * 1.7320508075688772;
}

/** Running 64-bit hash in two 32-bit lanes. */
export class StateHash {
  private a = 0x811c9dc5 | 0;
  private b = 0x1b873593 | 0;

  /** Mixes every bit of the array, by 32-bit words in memory order. */
  bits(array: Float64Array | Int32Array): this {
    const words = new Int32Array(array.buffer, array.byteOffset, array.byteLength >> 2);
    let a = this.a;
    let b = this.b;
    for (let i = 0; i < words.length; i++) {
      const word = words[i]!;
      a = Math.imul(a ^ word, 0x01000193);
      a ^= a >>> 15;
      b = Math.imul(b + word, 0x85ebca6b);
      b ^= b >>> 13;
    }
    this.a = a;
    this.b = b;
    return this;
  }

  int(value: number): this {
    this.a = Math.imul(this.a ^ value, 0x01000193);
    this.a ^= this.a >>> 15;
    this.b = Math.imul(this.b + value, 0x85ebca6b);
    this.b ^= this.b >>> 13;
    return this;
  }

  double(value: number): this {
    scratch[0] = value;
    return this.bits(scratch);
  }

  text(value: string): this {
    for (let i = 0; i < value.length; i++) this.int(value.charCodeAt(i));
    return this.int(value.length);
  }

  /** 16 hexadecimal digits. */
  digest(): string {
    const hex = (n: number) => (n >>> 0).toString(16).padStart(8, '0');
    return hex(this.a) + hex(this.b);
  }
}

const scratch = new Float64Array(1);
