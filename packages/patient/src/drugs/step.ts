/** Medicines move on: absorption, spread to where they act, and leaving. */
import { clamp, unit } from '../maths/index.ts';
import { SLOTS } from '../core/layout.ts';
import type { Parameters } from '../core/parameters.ts';
import { stepActions } from './actions.ts';
import { EFFECTS, SALBUTAMOL } from './catalogue.ts';

const X = SLOTS;

/**
 * Fast, slow and subcutaneous uptake of adrenaline, per minute. The slow one is the 43 min terminal half-life of Simons 1998.
 * Under the skin the drug narrows its own way out: two stages at one rate, so that plasma peaks at the 34 min of Simons 1998.
 */
export const KA_FAST = 0.15;
export const KA_SLOW = 0.016;
export const KA_SUBCUTANEOUS = 0.0355;

/**
 * Nebulised on the throat, per minute: on over 8 min, gone with a half-life of 25. Croup scores are better at 30 min and no different
 * from placebo at two hours (Bjornson C et al. Cochrane Database Syst Rev 2013;10:CD006619, from memory).
 */
export const KA_NEB = 1 / 8;
export const KE_NEB = 0.0277;

/** Level kinetics laid out flat by slot: inhaled, other, vein uptake, leaving. */
export const RATES: Float64Array = (() => {
  const flat = new Float64Array(4 * X.LEVEL_COUNT);
  for (const spec of Object.values(EFFECTS)) {
    if (spec.kind !== 'level') continue;
    const at = 4 * spec.level.slot;
    flat[at] = spec.level.absorb.inhaled;
    flat[at + 1] = spec.level.absorb.other;
    flat[at + 2] = spec.level.absorb.vein;
    flat[at + 3] = spec.level.leave;
  }
  return flat;
})();

/** How much output slows uptake from muscle: 1 at normal output. */
export function uptakeFactor(p: Parameters, s: Float64Array): number {
  return p.muscleUptake * clamp(s[X.CO]! / p.co0, p.uptakeFloor, 1);
}

function hill(x: number): number {
  const x15 = x * Math.sqrt(x);
  return x15 / (x15 + 1);
}

/** Half effect and overdose from effect-site levels. */
export function adrenalineEffect(p: Parameters, s: Float64Array): void {
  const ce = s[X.AD_CE]!;
  const half = p.ec50 * (1 + p.opposition * s[X.RELEASE]!);
  s[X.AD_E] = hill(ce / half);
  // Stopping further release takes more than relaxing the muscle that release acts on.
  s[X.AD_ER] = hill(ce / (p.ec50 * (1 + p.releaseOpposition * s[X.RELEASE]!)));
  const y = s[X.AD_CX]! / p.overdoseHalf;
  s[X.AD_EX] = (y * y * y) / (y * y * y + 1);
}

/** All medicines over dtMs. */
export function stepDrugs(p: Parameters, s: Float64Array, dtMs: number): void {
  const h = dtMs / 60000;
  const perfusion = uptakeFactor(p, s);
  const fast = KA_FAST * perfusion * s[X.AD_FAST]!;
  const slow = KA_SLOW * perfusion * s[X.AD_SLOW]!;
  const under = KA_SUBCUTANEOUS * perfusion * s[X.AD_SC]!;
  s[X.AD_FAST] = s[X.AD_FAST]! - h * fast;
  s[X.AD_SLOW] = s[X.AD_SLOW]! - h * slow;
  s[X.AD_SC] = s[X.AD_SC]! - h * under;
  const through = KA_SUBCUTANEOUS * perfusion * s[X.AD_SC_TRANSIT]!;
  s[X.AD_SC_TRANSIT] = s[X.AD_SC_TRANSIT]! + h * (under - through);
  const c = s[X.AD_C]!;
  const next = c + h * ((fast + slow + through) / (p.weight * p.adrenalineVolume) - p.adrenalineElimination * c);
  s[X.AD_C] = next;
  s[X.AD_CE] = s[X.AD_CE]! + h * p.ke0 * (next - s[X.AD_CE]!);
  s[X.AD_CX] = s[X.AD_CX]! + unit(h * 3) * (next - s[X.AD_CX]!);
  const on = KA_NEB * s[X.AD_NEB_DEPOT]!;
  s[X.AD_NEB_DEPOT] = s[X.AD_NEB_DEPOT]! - h * on;
  s[X.AD_NEB] = s[X.AD_NEB]! + h * (on - KE_NEB * s[X.AD_NEB]!);
  adrenalineEffect(p, s);

  for (let i = 0; i < X.LEVEL_COUNT; i++) {
    const at = X.LEVEL_BASE + X.LEVEL_STRIDE * i;
    const total = s[at]! + s[at + 1]! + s[at + 2]! + s[at + 3]! + s[at + 4]!;
    if (total === 0) continue;
    const r = 4 * i;
    const a = RATES[r]! * s[at]!;
    const b = RATES[r + 1]! * s[at + 1]!;
    const v = RATES[r + 2]! * s[at + 2]!;
    s[at] = s[at]! - h * a;
    s[at + 1] = s[at + 1]! - h * b;
    s[at + 2] = s[at + 2]! + h * (s[at + 4]! - v);
    s[at + 3] = s[at + 3]! + h * (a + b + v - RATES[r + 3]! * s[at + 3]!);
  }
  stepActions(p, s, dtMs);
  const salbutamol = s[X.LEVEL_BASE + X.LEVEL_STRIDE * SALBUTAMOL + 3]!;
  s[X.E_SALB] = (p.salbutamolMax * salbutamol) / (salbutamol + p.salbutamolHalf);
  if (s[X.STEROID_MIN]! >= 0) s[X.STEROID_MIN] = s[X.STEROID_MIN]! + h;
}
