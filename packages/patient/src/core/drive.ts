import { M_AGITATION } from '../diseases/mechanisms.ts';
import { GLUCAGON } from '../drugs/catalogue.ts';
import { SLOTS } from './layout.ts';

const X = SLOTS;

/** Value now of a drive, by its index; what is felt of it, while faculty steer. */
export function drive(s: Float64Array, index: number): number {
  return s[X.DRIVE_BASE + X.DRIVE_STRIDE * index]!;
}

export const D_MEDIATORS = 0;
export const D_BRONCHOSPASM = 1;
export const D_UPPER = 2;
export const D_OPIOID = 3;
export const D_SHUNT = 4;
export const D_DEAD_SPACE = 5;
export const D_BLOCK = 6;
export const D_BLEEDING = 7;
export const D_VASOPLEGIA = 8;
export const D_WEAK_HEART = 9;
export const D_FEVER = 10;
export const D_GLUCOSE = 11;
export const D_PARALYSIS = 12;
export const D_AGITATION = 13;
export const D_BETA_BLOCK = 14;
export const D_APNOEA = 15;

/** Level of a medicine in standard doses, by its slot. */
export function level(s: Float64Array, slot: number): number {
  return s[X.LEVEL_BASE + X.LEVEL_STRIDE * slot + 3]!;
}

/** Of the radius taken, above which no air passes. */
export const SHUT = 0.97;

/** Part of the upper airway's radius that is taken, 0..1: by a scenario's block and by an object. */
export function airwayBlock(s: Float64Array): number {
  const set = drive(s, D_BLOCK);
  const object = s[X.OBJECT]!;
  if (object <= 0) return set;
  const eased = s[X.STEER_NET]!;
  return 1 - (1 - set) * (1 - (eased > 0 ? object * (1 - eased) : object));
}

/** Beta-blockade left after glucagon, which reaches the heart by another door. */
export function betaBlock(s: Float64Array): number {
  const block = drive(s, D_BETA_BLOCK);
  const g = s[X.LEVEL_BASE + X.LEVEL_STRIDE * GLUCAGON + 3]!;
  return g > 0 ? block * (1 - (0.75 * g) / (g + 0.5)) : block;
}

/** Restlessness: set by a scenario or brought by an illness. */
export function agitation(s: Float64Array): number {
  const set = drive(s, D_AGITATION);
  const brought = s[M_AGITATION]!;
  return brought > set ? brought : set;
}

/**
 * Shut off from all air, a sound heart beats on for some minutes from its own sugar, and the brain stem still gasps for the
 * first few (asphyxial arrest in young animals breathing air comes 5 to 9 min after the airway is closed: from memory).
 * What is left of that store, 0..1; 0 as well for anyone whose airway was never shut, by an object or by a scenario's block.
 */
export function ownStore(s: Float64Array): number {
  const used = s[X.STORE_USED_MIN]!;
  return used > 0 || airwayBlock(s) > SHUT ? Math.max(1 - used / 5, 0) : 0;
}
