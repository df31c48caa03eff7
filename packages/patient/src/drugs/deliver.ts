/** The moment a dose (or a slice of one) reaches the patient. */
import { exp, unit } from '../maths/index.ts';
import { SLOTS } from '../core/layout.ts';
import type { Parameters } from '../core/parameters.ts';
import { EFFECT_BY_CODE } from './catalogue.ts';
import { ROUTES } from '../types.ts';
import type { EffectSpec, LevelKinetics } from './catalogue.ts';
import { KA_FAST, KA_NEB, KA_SLOW, KA_SUBCUTANEOUS, KE_NEB, RATES, uptakeFactor } from './step.ts';

const X = SLOTS;

export const ROUTE_IM = 0;
export const ROUTE_IV = 1;
export const ROUTE_IO = 2;
export const ROUTE_NEB = 3;
export const ROUTE_INHALED = 4;
export const ROUTE_SC = 7;
/** Muscles other than the thigh, as routes of their own in the state. */
export const ROUTE_ARM = 20;
export const ROUTE_BUTTOCK = 21;

/** Share of an intramuscular dose that is taken up fast: thigh 60 %, arm 20 %, buttock 15 % (direction: Simons FER et al. J Allergy Clin Immunol 2001;108:871-3; sizes chosen here). */
function fastShare(route: number): number {
  if (route === ROUTE_ARM) return 0.2;
  if (route === ROUTE_BUTTOCK) return 0.15;
  return 0.6;
}

/** One standard dose in the effect's unit. */
export function standardDose(level: LevelKinetics, weightKg: number): number {
  const d = level.standard.perKg * weightKg;
  return d < level.standard.least ? level.standard.least : d > level.standard.most ? level.standard.most : d;
}

/** What reaches the lung of a nebulised dose: less when airways are tight or little air moves. */
function lungShare(p: Parameters, s: Float64Array): number {
  return (1 - 0.5 * s[X.B]!) * unit(s[X.VE]! / (0.5 * p.ve0));
}

/** Gives `amount` (effect's unit) of the effect with this code, by this route code, now. */
export function deliver(p: Parameters, s: Float64Array, code: number, route: number, amount: number): void {
  const spec = EFFECT_BY_CODE[code];
  if (spec === undefined || amount <= 0) return;
  if (spec.kind === 'fluid') {
    const litres = amount / 1000;
    s[X.BV] = Math.min(s[X.BV]! + litres, 2 * p.bv0);
    s[X.VI] = s[X.VI]! + litres;
    s[X.FLUID_IN] = s[X.FLUID_IN]! + amount;
  } else if (spec.kind === 'slow') return;
  else if (spec.kind === 'adrenaline') giveAdrenaline(p, s, route, amount);
  else if (spec.kind === 'level') {
    const level = spec.level!;
    const doses = (amount * shareOf(spec, route)) / standardDose(level, p.weight);
    const at = X.LEVEL_BASE + X.LEVEL_STRIDE * level.slot;
    if (route === ROUTE_NEB || route === ROUTE_INHALED) s[at] = s[at]! + doses * lungShare(p, s);
    else if (route === ROUTE_IV || route === ROUTE_IO) s[at + 2] = s[at + 2]! + doses;
    else s[at + 1] = s[at + 1]! + doses;
    if (spec.slackens !== undefined) s[X.SLACK] = s[X.SLACK]! + doses * spec.slackens;
  } else if (spec.kind === 'steroid') {
    s[X.STEROID] = s[X.STEROID]! + amount / (spec.factor! * p.weight);
    if (s[X.STEROID_MIN]! < 0) s[X.STEROID_MIN] = 0;
  } else {
    // Glucose spreads through about a fifth of body weight; 180 g per mol.
    s[X.GLUCOSE] = s[X.GLUCOSE]! + (amount * spec.factor! * 1000) / 180 / (0.2 * p.weight);
  }
}

function shareOf(spec: EffectSpec, route: number): number {
  const share = spec.level?.share;
  const name = ROUTES[route];
  return (share && name ? share[name] : undefined) ?? 1;
}

function giveAdrenaline(p: Parameters, s: Float64Array, route: number, amount: number): void {
  if (route === ROUTE_IV || route === ROUTE_IO) {
    // Arrives whole, as an infusion does.
    const rise = (p.infusionGain * amount) / (p.weight * p.adrenalineVolume);
    s[X.AD_C] = s[X.AD_C]! + rise;
    // Heart and vessels meet part of the bolus at once, the rest as it spreads (chosen here).
    s[X.AD_CX] = s[X.AD_CX]! + 0.4 * rise;
  } else if (route === ROUTE_SC) s[X.AD_SC] = s[X.AD_SC]! + amount;
  else if (route === ROUTE_NEB || route === ROUTE_INHALED) {
    // Standard nebulised dose 400 micrograms/kg, at most 5 mg; about 2 % is absorbed (chosen here).
    const standard = Math.min(400 * p.weight, 5000);
    s[X.AD_NEB_DEPOT] = s[X.AD_NEB_DEPOT]! + (amount / standard) * unit(s[X.VE]! / (0.4 * p.ve0));
    s[X.AD_SLOW] = s[X.AD_SLOW]! + 0.02 * amount;
  } else {
    const fast = fastShare(route);
    s[X.AD_FAST] = s[X.AD_FAST]! + fast * amount;
    s[X.AD_SLOW] = s[X.AD_SLOW]! + (1 - fast) * amount;
  }
}

/**
 * As `deliver`, for a dose given `minutes` ago and only now told. Kinetics are linear in the dose, so the dose alone is
 * carried forward (at today's perfusion) and added to what is there. Shown history is never rewritten.
 */
export function deliverLate(
  p: Parameters,
  s: Float64Array,
  code: number,
  route: number,
  amount: number,
  minutes: number,
): void {
  const spec = EFFECT_BY_CODE[code];
  if (spec === undefined || amount <= 0) return;
  if (minutes <= 0) {
    deliver(p, s, code, route, amount);
    return;
  }
  if (spec.kind === 'fluid') {
    const litres = amount / 1000;
    const left = litres * exp(-0.087 * minutes);
    s[X.VI] = s[X.VI]! + left;
    s[X.BV] = Math.min(s[X.BV]! + litres - 0.75 * (litres - left), 2 * p.bv0);
    s[X.FLUID_IN] = s[X.FLUID_IN]! + amount;
  } else if (spec.kind === 'level') {
    const level = spec.level!;
    const at = X.LEVEL_BASE + X.LEVEL_STRIDE * level.slot;
    const lung = route === ROUTE_NEB || route === ROUTE_INHALED;
    const vein = route === ROUTE_IV || route === ROUTE_IO;
    const doses = ((amount * shareOf(spec, route)) / standardDose(level, p.weight)) * (lung ? lungShare(p, s) : 1);
    const depot = at + (lung ? 0 : vein ? 2 : 1);
    const ka = RATES[4 * level.slot + (lung ? 0 : vein ? 2 : 1)]!;
    const ke = RATES[4 * level.slot + 3]!;
    s[depot] = s[depot]! + doses * exp(-ka * minutes);
    s[at + 3] = s[at + 3]! + ((doses * ka) / (ka - ke)) * (exp(-ke * minutes) - exp(-ka * minutes));
    if (spec.slackens !== undefined) s[X.SLACK] = s[X.SLACK]! + doses * spec.slackens * exp(-0.087 * minutes);
  } else if (spec.kind === 'steroid') {
    deliver(p, s, code, route, amount);
    if (s[X.STEROID_MIN]! < minutes) s[X.STEROID_MIN] = minutes;
  } else if (spec.kind === 'glucose' || spec.kind === 'slow') deliver(p, s, code, route, amount);
  else lateAdrenaline(p, s, route, amount, minutes);
}

function lateAdrenaline(p: Parameters, s: Float64Array, route: number, amount: number, minutes: number): void {
  let fast = 0;
  let slow = 0;
  let under = 0;
  let transit = 0;
  let c = 0;
  let ce = 0;
  let cx = 0;
  if (route === ROUTE_IV || route === ROUTE_IO) c = (p.infusionGain * amount) / (p.weight * p.adrenalineVolume);
  else if (route === ROUTE_SC) under = amount;
  else if (route === ROUTE_NEB || route === ROUTE_INHALED) {
    // What lay in the throat has gone on being taken up and leaving, as any other dose; its small systemic share too.
    const depot = s[X.AD_NEB_DEPOT]!;
    const swallowed = s[X.AD_SLOW]!;
    giveAdrenaline(p, s, route, amount);
    const doses = s[X.AD_NEB_DEPOT]! - depot;
    slow = s[X.AD_SLOW]! - swallowed;
    s[X.AD_SLOW] = swallowed;
    s[X.AD_NEB_DEPOT] = depot + doses * exp(-KA_NEB * minutes);
    s[X.AD_NEB] =
      s[X.AD_NEB]! + ((doses * KA_NEB) / (KA_NEB - KE_NEB)) * (exp(-KE_NEB * minutes) - exp(-KA_NEB * minutes));
  } else {
    fast = fastShare(route) * amount;
    slow = amount - fast;
  }
  const factor = uptakeFactor(p, s);
  // One-second slices, at most an hour: exact enough and bounded.
  const slices = Math.min(Math.ceil(minutes * 60), 3600);
  const h = minutes / slices;
  for (let i = 0; i < slices; i++) {
    const a = KA_FAST * factor * fast;
    const b = KA_SLOW * factor * slow;
    const u = KA_SUBCUTANEOUS * factor * under;
    fast -= h * a;
    slow -= h * b;
    const v = KA_SUBCUTANEOUS * factor * transit;
    under -= h * u;
    transit += h * (u - v);
    c += h * ((a + b + v) / (p.weight * p.adrenalineVolume) - p.adrenalineElimination * c);
    ce += h * p.ke0 * (c - ce);
    cx += h * 3 * (c - cx);
  }
  s[X.AD_FAST] = s[X.AD_FAST]! + fast;
  s[X.AD_SLOW] = s[X.AD_SLOW]! + slow;
  s[X.AD_SC] = s[X.AD_SC]! + under;
  s[X.AD_SC_TRANSIT] = s[X.AD_SC_TRANSIT]! + transit;
  s[X.AD_C] = s[X.AD_C]! + c;
  s[X.AD_CE] = s[X.AD_CE]! + ce;
  s[X.AD_CX] = s[X.AD_CX]! + cx;
}
