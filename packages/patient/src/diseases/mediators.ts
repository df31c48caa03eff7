/** Anaphylaxis: release, its spread, and the airway, skin and gut it reaches. Vessels are read from MED directly. */
import { exp, unit } from '../maths/index.ts';
import { AMINOPHYLLINE, ANTIHISTAMINE, IPRATROPIUM, MAGNESIUM } from '../drugs/catalogue.ts';
import { D_BRONCHOSPASM, D_MEDIATORS, D_UPPER, betaBlock, drive, level } from '../core/drive.ts';
import { SLOTS } from '../core/layout.ts';
import { feltMediators } from '../core/steering.ts';
import { M_PLUGGING, M_SPASM, M_SWELLING } from './mechanisms.ts';
import type { Parameters } from '../core/parameters.ts';

const X = SLOTS;

/** Share of drive that steroids take away: nothing for two hours. */
export function steroidEffect(s: Float64Array): number {
  const since = s[X.STEROID_MIN]!;
  if (since < 120) return 0;
  const dose = s[X.STEROID]!;
  return 0.6 * (dose / (dose + 0.3)) * (1 - exp(-(since - 120) / 120));
}

/** Time constant of fading weals, minutes. */
const SKIN_FADES_MIN = 10;

/** Skin that mediator activity m would bring now, before antihistamine. */
export function skinDriven(p: Parameters, s: Float64Array, m: number): number {
  return unit(1.3 * p.wSkin * m) * (1 - 0.5 * s[X.AD_E]!);
}

/** Gut that mediator activity m would bring now; adrenaline slackens its muscle too (size chosen here). */
export function gutDriven(p: Parameters, s: Float64Array, m: number): number {
  return unit(p.wGut * m) * (1 - 0.5 * s[X.AD_E]!);
}

/** Mediators and end organs over dtMs. */
export function stepMediators(p: Parameters, s: Float64Array, dtMs: number): void {
  const h = dtMs / 60000;
  const e = s[X.AD_E]!;
  const er = s[X.AD_ER]!;
  const driven = s[X.MEDIATORS_DRIVEN]! > 0;
  const t = s[X.T_MIN]! + p.already;
  let release: number;
  let amplify: number;
  if (driven) {
    release = drive(s, D_MEDIATORS);
    amplify = release;
  } else if (p.severity > 0 && t >= 0) {
    release = p.severity * exp((-t * p.tempo) / p.triggerMin) * (1 - exp(-t * p.tempo));
    amplify = p.fadesMin > 0 ? p.severity * exp((-t * p.tempo) / p.fadesMin) : p.severity;
  } else {
    release = 0;
    amplify = 0;
  }
  release *= 1 - steroidEffect(s);
  // A second wave comes whatever the scenario drives, and steroids do not keep it away (Alqurashi W, Ellis AK. J Allergy
  // Clin Immunol Pract 2017;5:1194-205, from memory).
  const since = p.returnsAfter > 0 ? t - p.returnsAfter : -1;
  if (since >= 0 && p.severity > 0) {
    const strength = p.severity * p.returnSize;
    const wave = strength * exp((-since * p.tempo) / p.triggerMin) * (1 - exp(-since * p.tempo));
    if (wave > release) release = wave;
    if (strength > amplify) amplify = strength;
  }
  s[X.RELEASE] = release;
  const steered = s[X.STEER_ON]! > 0;
  const own = steered ? s[X.MED_OWN]! : s[X.MED]!;
  const rate =
    p.onset * release * (1 - p.stabilising * er) * (1 - own) +
    p.feedback * amplify * own * (1 - own) * (1 - er) -
    (p.clearance + p.clearanceByAdrenaline * er) * own;
  const next = unit(own + h * p.tempo * rate);
  // What organs feel: the reaction itself, unless faculty steer.
  const m = steered ? feltMediators(s, own) : own;
  if (steered) s[X.MED_OWN] = next;
  s[X.MED] = steered ? feltMediators(s, next) : next;

  const beta = e * (1 - 0.8 * betaBlock(s));
  const salbutamol = s[X.E_SALB]!;
  const ipratropium = level(s, IPRATROPIUM);
  const magnesium = level(s, MAGNESIUM);
  const aminophylline = level(s, AMINOPHYLLINE);
  const tightness =
    (1 - p.relaxing * beta) *
    (1 - 0.6 * salbutamol) *
    (1 - (0.25 * ipratropium) / (ipratropium + 0.4)) *
    (1 - (0.3 * magnesium) / (magnesium + 0.4)) *
    (1 - (0.12 * aminophylline) / (aminophylline + 0.5));
  const spasm =
    unit(p.wBronchi * m + drive(s, D_BRONCHOSPASM) + s[M_SPASM]!) * tightness +
    s[M_PLUGGING]! * (1 - 0.15 * (1 - tightness));
  s[X.B] = unit(s[X.B]! + (h / 2) * (spasm - s[X.B]!));
  const local = s[X.AD_NEB]!;
  const swelling =
    Math.min(unit(p.wUpper * m) + drive(s, D_UPPER) + s[M_SWELLING]!, 1.4) *
    (1 - 0.6 * e) *
    (1 - (0.6 * local) / (local + 0.4));
  s[X.U] = Math.min(Math.max(s[X.U]! + (h / 4) * (swelling - s[X.U]!), 0), 1.4);
  const calm = level(s, ANTIHISTAMINE);
  const skin = skinDriven(p, s, m) * (1 - (0.7 * calm) / (calm + 0.4));
  // Weals come in minutes and fade more slowly than a wheeze opens (common practice, no source).
  s[X.SKIN] = unit(s[X.SKIN]! + (h / (skin > s[X.SKIN]! ? 3 : SKIN_FADES_MIN)) * (skin - s[X.SKIN]!));
  s[X.GUT] = unit(s[X.GUT]! + (h / 5) * (gutDriven(p, s, m) - s[X.GUT]!));
}
