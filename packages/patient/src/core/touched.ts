import type { PatientState } from '../types.ts';
import { SLOTS } from './layout.ts';

/**
 * The part of a state that can differ from its start: without an illness other than anaphylaxis the rest is all zeros.
 * For hashing: a patient who has none of the newer illnesses hashes as before there were any. A view, not a copy.
 */
export function touchedState(state: PatientState): Float64Array {
  for (let i = state.length - 1; i >= SLOTS.ILLNESS_BASE; i--) {
    if (state[i] !== 0) return state;
  }
  return state.subarray(0, SLOTS.ILLNESS_BASE);
}
