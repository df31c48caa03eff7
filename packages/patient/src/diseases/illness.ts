/**
 * Diseases other than anaphylaxis over one step: how active each is, what all of them ask of each mechanism, and the
 * things they leave in the chest (an object, air, water, secretions, pauses). Nothing here runs, and every slot stays 0,
 * while the patient has none of them.
 */
import { exp, nextRandomState, randomOf, unit } from '../maths/index.ts';
import { SLOTS } from '../core/layout.ts';
import type { Parameters } from '../core/parameters.ts';
import { driveAddress } from './drives.ts';
import { steroidEffect } from './mediators.ts';
import { LEFT_FLOW, stepLungs } from './lungs.ts';
import * as M from './mechanisms.ts';
import * as D from './patterns.ts';
import * as R from './profile.ts';

const X = SLOTS;
const N = D.DISEASE_ORDER.length;
const K = M.MECHANISMS.length;

/** Address of the drive that runs each disease. Opioid toxicity shares the drive `opioid`. */
const DRIVE_AT: readonly number[] = D.DISEASE_ORDER.map((id) => driveAddress(id === 'opioid-toxicity' ? 'opioid' : id));

/** Which disease a drive belongs to, -1 for none. */
export function diseaseOfDrive(id: string): number {
  return id === 'opioid' ? D.OPIOID : D.DISEASE_ORDER.indexOf(id as D.OtherDiseaseId);
}

/** All of them over dtMs. */
export function stepIllness(p: Parameters, rows: Float64Array, s: Float64Array, dtMs: number): void {
  const h = dtMs / 60000;
  if (!anyActive(rows, s)) return;
  for (let k = 0; k < K; k++) s[X.MECH_BASE + k] = 0;
  const slower = 1 - steroidEffect(s);
  for (let i = 0; i < N; i++) {
    const at = R.ROW * i;
    const driven = s[X.DRIVEN_BASE + i]! > 0;
    let a = driven ? s[DRIVE_AT[i]!]! : ownCourse(rows, at, s[X.T_MIN]!);
    // Steroids take the edge off asthma and chronic lung disease after hours, off croup from half an hour.
    if (i === D.ASTHMA || i === D.COPD) a *= slower;
    else if (i === D.CROUP) a *= 1 - croupRelief(s);
    s[X.ACT_BASE + i] = a;
    if (a <= 0) continue;
    // A driven opioid already counts through its own drive.
    if (i === D.OPIOID && driven) continue;
    for (let k = 0; k < K; k++) {
      const w = rows[at + R.R_WEIGHTS + k]!;
      if (w > 0) s[X.MECH_BASE + k] = s[X.MECH_BASE + k]! + w * a;
    }
  }
  const positive = s[X.DEVICE]! >= 7 || s[X.BREATHS]! > 0;
  object(s, rows, h);
  air(s, rows, h, positive);
  stepLungs(s, rows, h);
  water(p, s, rows, h);
  secretions(s, h);
  pauses(p, s, h);
  unmatched(p, s, rows, h);
  if (s[X.ROUSED_MIN]! > 0) s[X.ROUSED_MIN] = Math.max(s[X.ROUSED_MIN]! - h, 0);
}

function anyActive(rows: Float64Array, s: Float64Array): boolean {
  for (let i = 0; i < N; i++) if (rows[R.ROW * i]! > 0 || s[X.DRIVEN_BASE + i]! > 0) return true;
  return (
    s[X.AIR_LEFT]! > 0 ||
    s[X.AIR_RIGHT]! > 0 ||
    s[X.ROUSED_MIN]! > 0 ||
    s[X.TUBE_SIDE]! > 0 ||
    s[X.WATER]! > 0 ||
    s[X.AD_EX]! > 0.4 ||
    s[X.CLOSED_LEFT]! + s[X.CLOSED_RIGHT]! > 0
  );
}

/** Activity by the pattern's own clock: a straight rise, then a fade where there is one. */
function ownCourse(rows: Float64Array, at: number, now: number): number {
  const severity = rows[at]!;
  if (severity <= 0) return 0;
  const t = (now + rows[at + R.R_ALREADY]!) * rows[at + R.R_TEMPO]!;
  if (t < 0) return 0;
  const rise = rows[at + R.R_RISE]!;
  if (t < rise) return (severity * t) / rise;
  const fade = rows[at + R.R_FADE]!;
  if (fade <= 0) return severity;
  // What fades is the level; the effect stays nearly whole while there is far more than enough of it.
  const left = exp(-(t - rise) / fade);
  return (severity * (1 + PLENTY) * left) / (1 + PLENTY * left);
}

/** Level of a full overdose over the one with half the effect (chosen here). */
const PLENTY = 12;

/**
 * Share of croup swelling that a steroid takes away: from half an hour on (Dobrovoljac M, Geelhoed GC. Emerg Med Australas
 * 2012;24:79-85: benefit by 30 min; from memory), towards 0.55 over an hour. Size and speed chosen here.
 */
export function croupRelief(s: Float64Array): number {
  const since = s[X.STEROID_MIN]!;
  if (since < 30) return 0;
  const dose = s[X.STEROID]!;
  return 0.55 * (dose / (dose + 0.3)) * (1 - exp(-(since - 30) / 60));
}

/** An object above the main airways: it stays until worked loose, coughed out or taken out. */
function object(s: Float64Array, rows: Float64Array, h: number): void {
  const a = s[X.ACT_BASE + D.FOREIGN_BODY]!;
  const size = rows[R.ROW * D.FOREIGN_BODY + R.R_OBJECT]! * a;
  if (size <= 0 || s[X.OBJECT_OUT]! > 0) {
    s[X.OBJECT] = 0;
    return;
  }
  s[X.OBJECT] = size;
  // A cough that still moves air may bring it up; compressions squeeze air out from below.
  const cough = size < 0.8 && s[X.AWAKE]! > 0.6 && s[X.ARREST]! <= 0 ? 0.03 : 0;
  const press = s[X.CPR]! > 0 ? 0.1 * unit(s[X.CPR]! / 100) : 0;
  s[X.LOOSENED] = unit(s[X.LOOSENED]! + h * (cough + press));
  if (s[X.LOOSENED]! >= 1) {
    s[X.OBJECT_OUT] = 1;
    s[X.OBJECT] = 0;
  }
}

/** Air around a lung comes in with each breath, faster when breaths are pushed in, and leaves only by an outlet. */
function air(s: Float64Array, rows: Float64Array, h: number, positive: boolean): void {
  const at = R.ROW * D.PNEUMOTHORAX;
  const a = s[X.ACT_BASE + D.PNEUMOTHORAX]!;
  const cap = rows[at + R.R_AIR]!;
  const aimed = a * (positive && cap > 0 ? 1 : cap);
  const side = rows[at + R.R_SIDE]!;
  const worst = Math.max(
    oneSide(s, h, side < 0 ? aimed : 0, positive, X.AIR_LEFT, X.OUTLET_LEFT, X.NEEDLE_LEFT_MIN),
    oneSide(s, h, side >= 0 ? aimed : 0, positive, X.AIR_RIGHT, X.OUTLET_RIGHT, X.NEEDLE_RIGHT_MIN),
  );
  // Pressure in the chest keeps blood out of the heart once the air is under tension.
  s[X.TAMPING] = 0.95 * unit((worst - 0.5) / 0.5);
  const down = LEFT_FLOW * s[X.AIR_LEFT]! + (1 - LEFT_FLOW) * s[X.AIR_RIGHT]!;
  if (down > 0) {
    s[M.M_STIFFNESS] = s[M.M_STIFFNESS]! + 4 * down;
    s[M.M_LOST_GAS] = s[M.M_LOST_GAS]! + 0.7 * down;
    s[M.M_DEAD_SPACE] = s[M.M_DEAD_SPACE]! + 0.12 * down;
  }
}

function oneSide(
  s: Float64Array,
  h: number,
  aimed: number,
  positive: boolean,
  airAt: number,
  outletAt: number,
  needleAt: number,
): number {
  let v = s[airAt]!;
  const outlet = s[outletAt]!;
  if (aimed > v && outlet !== 2) v += unit(h * (positive ? 1.2 : 0.5)) * (aimed - v);
  if (outlet === 1) {
    // A needle lets the tension out, not all the air, and kinks after a while.
    const rest = 0.28 * Math.min(aimed + 0.2, 1);
    if (v > rest) v += unit(h / 0.25) * (rest - v);
    s[needleAt] = s[needleAt]! + h;
    if (s[needleAt]! > 12) s[outletAt] = 0;
  } else if (outlet === 2) v += unit(h / 0.6) * (0.04 * unit(aimed * 4) - v);
  s[airAt] = v < 1e-6 ? 0 : v;
  return v;
}

/** Water follows the heart, how the patient sits, pressure at the mask, and fluid given. */
function water(p: Parameters, s: Float64Array, rows: Float64Array, h: number): void {
  const a = s[X.ACT_BASE + D.OEDEMA]! * rows[R.ROW * D.OEDEMA + R.R_WATER]!;
  let w = s[X.WATER]!;
  const surge = overload(p, s);
  if (a <= 0 && w <= 0 && surge <= 0) return;
  const posture = s[X.POSTURE_CODE]!;
  const sits = posture === 1 || posture === 3 ? 0.88 : posture === 2 ? 1.15 : 1.05;
  const pressed = s[X.DEVICE]! >= 7 ? 0.6 : s[X.DEVICE] === 5 ? 0.92 : 1;
  const full = 1 + 1.2 * unit((s[X.BV]! / p.bv0 - 1.02) / 0.3);
  const aimed = Math.min(Math.max(a, surge) * sits * pressed * full * (1 - s[X.LUNG_RELIEF]!), 1.2);
  w += unit(h / (aimed > w ? 3 : 9)) * (aimed - w);
  s[X.WATER] = w;
  s[M.M_SHUNT] = s[M.M_SHUNT]! + 0.38 * w;
  s[M.M_STIFFNESS] = s[M.M_STIFFNESS]! + 2.2 * w;
  s[M.M_LOST_GAS] = s[M.M_LOST_GAS]! + 0.25 * w;
  s[M.M_URGE] = s[M.M_URGE]! + 0.35 * w;
  s[M.M_PLUGGING] = s[M.M_PLUGGING]! + 0.16 * w;
}

/**
 * Water pressed out by an overdose of adrenaline: the left heart fails against closed vessels (pulmonary oedema after 16 mg of
 * noradrenaline by vein, and after adrenaline alike: case report, Am J Emerg Med 2010, PII S0735-6757(09)00103-X). Size chosen here.
 */
function overload(p: Parameters, s: Float64Array): number {
  const ex = s[X.AD_EX]!;
  return ex > 0.4 ? 1.1 * unit((ex - 0.4) / 0.4) * unit((s[X.MAP]! / p.map0 - 1.35) / 0.8) : 0;
}

/** Secretions gather in about twenty minutes; suction (an input) takes most of them away. */
function secretions(s: Float64Array, h: number): void {
  const aimed = Math.min(s[M.M_SECRETIONS]!, 1);
  let v = s[X.SECRETIONS]!;
  v += unit(h / 20) * (aimed - v);
  s[X.SECRETIONS] = v;
  s[M.M_SHUNT] = s[M.M_SHUNT]! + 0.04 * v;
  s[M.M_PLUGGING] = s[M.M_PLUGGING]! + 0.1 * v;
}

/**
 * Pauses in breathing of the very young. Times are drawn from a generator that lives in the state, so a copy of the patient
 * pauses at the same moments. Tired infants pause longer. Rousing ends one; so do breaths given.
 */
function pauses(p: Parameters, s: Float64Array, h: number): void {
  // Full up to two months of age, none from five on.
  const young = unit((5 / 12 - p.age) / 0.25);
  const rate = s[M.M_PAUSES]! * young * (s[X.DEVICE] === 7 ? 0.35 : s[X.DEVICE] === 5 ? 0.7 : 1);
  if (s[X.PAUSE]! > 0) {
    s[X.PAUSE_LEFT_MIN] = s[X.PAUSE_LEFT_MIN]! - h;
    if (s[X.PAUSE_LEFT_MIN]! <= 0 || s[X.ROUSED_MIN]! > 0) {
      s[X.PAUSE] = 0;
      s[X.PAUSE_LEFT_MIN] = 0;
      s[X.PAUSE_NEXT_MIN] = untilNext(s);
    }
    return;
  }
  if (rate <= 0 || s[X.ARREST]! > 0) return;
  if (s[X.PAUSE_DRAW] === 0) {
    s[X.PAUSE_DRAW] = p.pauseSeed;
    s[X.PAUSE_NEXT_MIN] = untilNext(s);
  }
  // `rate` counts down a time drawn for a rate of one a minute.
  s[X.PAUSE_NEXT_MIN] = s[X.PAUSE_NEXT_MIN]! - h * rate;
  if (s[X.PAUSE_NEXT_MIN]! <= 0) {
    s[X.PAUSE] = 1;
    s[X.PAUSE_COUNT] = s[X.PAUSE_COUNT]! + 1;
    s[X.PAUSE_LEFT_MIN] = (0.22 + 0.25 * draw(s)) * (1 + 2 * s[X.FATIGUE]!);
  }
}

/** Minutes to the next pause at a rate of one a minute: 36 to 90 s (chosen here). */
function untilNext(s: Float64Array): number {
  return 0.6 + 0.9 * draw(s);
}

function draw(s: Float64Array): number {
  s[X.PAUSE_DRAW] = nextRandomState(s[X.PAUSE_DRAW]!);
  return randomOf(s[X.PAUSE_DRAW]!);
}

/**
 * Rich oxygen in a chronic retainer: blood goes back to lung that gets little air, and breaths go to lung that gets little
 * blood (Aubier M et al. Am Rev Respir Dis 1980;122:747-54; Robinson TD et al. 2000;161:1524-9; both from memory).
 */
function unmatched(p: Parameters, s: Float64Array, rows: Float64Array, h: number): void {
  const most = rows[R.ROW * D.COPD + R.R_UNMATCHING]!;
  const a = s[X.ACT_BASE + D.COPD]!;
  if (most <= 0 || (a <= 0 && s[X.UNMATCHED]! <= 0)) return;
  const rich = unit((s[X.SAO2]! - p.sa0 - 0.025) / 0.06);
  s[X.UNMATCHED] = s[X.UNMATCHED]! + unit(h / 5) * (rich - s[X.UNMATCHED]!);
  s[M.M_DEAD_SPACE] = s[M.M_DEAD_SPACE]! + p.unmatching * most * s[X.UNMATCHED]! * unit(a * 1.5);
}
