/**
 * Steering by faculty: the whole patient better, worse or held, by one number that eases or adds to the illness itself, so
 * that vitals and findings move together.
 *
 * `STEER_NET` runs from 1 (the illness is not felt) through 0 (its own course) to -1 (near its worst). Above 0 every drive,
 * mechanism and mediator is felt in proportion 1 - n, and what the illness has already done (fatigue, debt, lost volume,
 * water, air) mends in proportion n². Below 0 the patient's own illness is felt more strongly and a share of failing lung
 * and circulation is added (`WORST`); from -1 to -2, reached only by staying on "worse", lungs and heart fail whatever was
 * given (`FAILING`), so that "worse" ends at the brink of an arrest in a patient who was treated as well. Drives, medicines and oxygen go on beneath, so a state entered meanwhile counts, and
 * handing back lets n run to 0 over minutes instead of jumping. Held, the body's own time stands still. Sizes and speeds
 * throughout: common practice, no source.
 */
import { clamp, unit } from '../maths/index.ts';
import { OPIOID_DOSE } from '../drugs/catalogue.ts';
import {
  M_LOST_GAS,
  M_OPIOID,
  M_SHUNT,
  M_STIFFNESS,
  M_URGE,
  M_VASOPLEGIA,
  M_WEAKNESS,
  MECHANISMS,
} from '../diseases/mechanisms.ts';
import { requireNumber, unknownId } from '../errors.ts';
import type { PatientState, PushInput, SteerInput } from '../types.ts';
import * as C from './codes.ts';
import { SLOTS } from './layout.ts';
import type { Parameters } from './parameters.ts';

const X = SLOTS;

/** From the illness's own course to nothing (or to its worst), minutes. */
export const STEER_MINUTES = { slow: 6, fast: 1.5 } as const;
/** From either end back to the illness's own course once handed back, minutes. */
export const HAND_BACK_MINUTES = 4;
/**
 * "Worse" kept on for so long brings any patient to the brink of an arrest, whatever was given. Measured over the shipped
 * scenarios with up to three doses of adrenaline and oxygen (2.8 and 9 minutes at most), then rounded up; a test holds it.
 */
export const WORSE_ENDS_MINUTES = { slow: 10, fast: 4 } as const;
/** From -2 back to -1 once handed back or better, minutes. */
const OUT_OF_FAILING_MINUTES = 1;
/** The lowest that "worse" goes. */
const LOWEST = -2;
/** A push makes the illness felt this much less or more, for this long; two in a row add up, no more. */
export const PUSH = { share: 0.125, minutes: 5, most: 0.25 } as const;

/** Added at -1, in each mechanism's own unit; `own` multiplies what the illness asks already. */
const WORST = {
  own: 0.35,
  shunt: 0.26,
  stiffness: 1.1,
  lostGas: 0.1,
  urge: 0.25,
  weakness: 0.38,
  vasoplegia: 0.4,
  opioid: 0.45,
  mediators: 0.85,
  asleep: 0.5,
} as const;

/** Added on top at -2, whatever was given; `debt` is a share a minute of what brings a heart to a stop. */
const FAILING = { shunt: 0.3, weakness: 0.4, vasoplegia: 0.3, debt: 0.6, asleep: 0.4 } as const;

/** Starts to steer, to hold or to hand back. */
export function steer(s: Float64Array, input: SteerInput): void {
  const { direction } = input;
  const pace = input.pace ?? 'slow';
  if (!Object.hasOwn(STEER_MINUTES, pace)) throw unknownId('unknown-steer', pace, Object.keys(STEER_MINUTES));
  const aim = { better: 1, worse: -1, hold: 2, 'hand-back': 0 }[direction];
  if (aim === undefined) throw unknownId('unknown-steer', direction, ['better', 'worse', 'hold', 'hand-back']);
  if (aim === 0 && s[X.STEER_ON] === 0) return;
  begin(s);
  s[X.STEER_AIM] = aim;
  s[X.STEER_PACE] = 1 / STEER_MINUTES[pace];
}

/** Something not in the formulary that helps or harms for a few minutes. */
export function push(s: Float64Array, input: PushInput): void {
  const share = requireNumber('share', input.share, -1, 1);
  if (share === 0) return;
  begin(s);
  s[X.PUSH_TO] = clamp((s[X.PUSH_LEFT_MIN]! > 0 ? s[X.PUSH_TO]! : 0) + share, -PUSH.most, PUSH.most);
  s[X.PUSH_LEFT_MIN] = PUSH.minutes;
}

/** Value of BRINK while getting better after an arrest: lasts no longer than that does. */
const KEPT = 2;

function begin(s: Float64Array): void {
  if (s[X.STEER_ON]! > 0) return;
  s[X.STEER_ON] = 1;
  s[X.MED_OWN] = s[X.MED]!;
  for (let i = 0; i < X.DRIVE_COUNT; i++) s[X.DRIVES_OWN + i] = s[X.DRIVE_BASE + X.DRIVE_STRIDE * i]!;
}

/** Puts drives back as set, for whoever moves them on. */
export function showDrives(s: Float64Array): void {
  for (let i = 0; i < X.DRIVE_COUNT; i++) s[X.DRIVE_BASE + X.DRIVE_STRIDE * i] = s[X.DRIVES_OWN + i]!;
}

/** Keeps drives as set, and leaves what is felt of them in their places: the step then looks nowhere else. */
export function hideDrives(s: Float64Array): void {
  const n = s[X.STEER_NET]!;
  const left = n > 0 ? 1 - n : 1;
  for (let i = 0; i < X.DRIVE_COUNT; i++) {
    const at = X.DRIVE_BASE + X.DRIVE_STRIDE * i;
    s[X.DRIVES_OWN + i] = s[at]!;
    s[at] = s[at]! * left;
  }
}

/** True while the body's own time stands still. */
export function isHeld(s: Float64Array): boolean {
  return s[X.STEER_AIM] === 2;
}

/** Mediator activity as the organs feel it. */
export function feltMediators(s: Float64Array, own: number): number {
  const n = Math.max(s[X.STEER_NET]!, -1);
  if (n >= 0) return own * (1 - n);
  // Skin, gut and vessels of somebody who has no reaction are left alone.
  const reaction = unit(own * 4);
  return own - n * WORST.mediators * reaction * (1 - own);
}

/** Before anything moves: how far the illness is steered now. Drives are as set, mechanisms start from nothing. */
export function beginSteering(s: Float64Array, dtMs: number): void {
  const h = dtMs / 60000;
  const aim = s[X.STEER_AIM]!;
  const share = s[X.STEER]!;
  const pace =
    aim >= 0 && share < -1 ? 1 / OUT_OF_FAILING_MINUTES : aim === 0 ? 1 / HAND_BACK_MINUTES : s[X.STEER_PACE]!;
  s[X.STEER] = towards(share, aim < 0 ? LOWEST : aim, h * pace);
  if (s[X.PUSH_LEFT_MIN]! > 0) s[X.PUSH_LEFT_MIN] = Math.max(s[X.PUSH_LEFT_MIN]! - h, 0);
  if (s[X.PUSH_LEFT_MIN] === 0) s[X.PUSH_TO] = 0;
  s[X.PUSH] = towards(s[X.PUSH]!, s[X.PUSH_TO]!, (h * PUSH.most) / 1);
  s[X.STEER_NET] = clamp(s[X.STEER]! + s[X.PUSH]!, LOWEST, 1);
  for (let k = 0; k < MECHANISMS.length; k++) s[X.MECH_BASE + k] = 0;
  showDrives(s);
}

function towards(now: number, aim: number, most: number): number {
  if (now < aim) return now + most < aim ? now + most : aim;
  return now - most > aim ? now - most : aim;
}

/** After the illness is worked out: what of it, and of the drives, is felt. */
export function steerMechanisms(s: Float64Array): void {
  hideDrives(s);
  const n = s[X.STEER_NET]!;
  if (n > 0) {
    const left = 1 - n;
    for (let k = 0; k < MECHANISMS.length; k++) s[X.MECH_BASE + k] = s[X.MECH_BASE + k]! * left;
    s[X.TAMPING] = s[X.TAMPING]! * left;
    s[X.SIDED_SHUNT] = s[X.SIDED_SHUNT]! * left;
    s[X.NARROW_LEFT] = s[X.NARROW_LEFT]! * left;
    s[X.NARROW_RIGHT] = s[X.NARROW_RIGHT]! * left;
    if (s[X.PAUSE]! > 0) s[X.PAUSE] = left;
  } else if (n < 0) {
    const w = Math.min(-n, 1);
    const failing = -n - w;
    for (let k = 0; k < MECHANISMS.length; k++) s[X.MECH_BASE + k] = s[X.MECH_BASE + k]! * (1 + WORST.own * w);
    s[M_SHUNT] = s[M_SHUNT]! + WORST.shunt * w + FAILING.shunt * failing;
    s[M_STIFFNESS] = s[M_STIFFNESS]! + WORST.stiffness * w;
    s[M_LOST_GAS] = s[M_LOST_GAS]! + WORST.lostGas * w;
    s[M_URGE] = s[M_URGE]! + WORST.urge * w;
    s[M_WEAKNESS] = unit(s[M_WEAKNESS]! + WORST.weakness * w + FAILING.weakness * failing);
    s[M_VASOPLEGIA] = unit(s[M_VASOPLEGIA]! + WORST.vasoplegia * w + FAILING.vasoplegia * failing);
    if (s[X.OPIOID]! > 0.02) s[M_OPIOID] = unit(s[M_OPIOID]! + WORST.opioid * w * (1 - s[M_OPIOID]!));
  }
}

/** After the step: what the illness has done mends, or weighs on the brain; and an end once all is handed back. */
export function endSteering(p: Parameters, s: Float64Array, dtMs: number): void {
  const h = dtMs / 60000;
  const n = s[X.STEER]!;
  if (n > 0) mend(p, s, h * n * n);
  if (s[X.ARREST]! > 0 && s[X.STEER_AIM] === 1) {
    s[X.RESTART] = Math.min(s[X.RESTART]! + h * s[X.STEER_PACE]!, 1);
    // Back at the brink, and kept from falling off it until the rest has mended.
    if (s[X.RESTART] === 1) {
      holdArrest(p, s, true);
      s[X.BRINK] = KEPT;
    }
  }
  const net = s[X.STEER_NET]!;
  if (net < 0) {
    const w = Math.min(-net, 1);
    const failing = -net - w;
    const most = 1 - WORST.asleep * w - FAILING.asleep * failing;
    if (s[X.STEER_AIM]! < 0 && s[X.ARREST]! <= 0) s[X.DEBT] = unit(s[X.DEBT]! + h * FAILING.debt * failing);
    // Handed back, what failing did goes as it came.
    else if (failing > 0) s[X.DEBT] = s[X.DEBT]! * (1 - Math.min((3 * h) / OUT_OF_FAILING_MINUTES, 1));
    if (s[X.AWAKE]! > most) s[X.AWAKE] = most;
  }
  if (s[X.STEER_AIM] === 0 && n === 0 && s[X.PUSH] === 0 && s[X.PUSH_LEFT_MIN] === 0) stop(s);
}

/** Shares per minute at full. */
function mend(p: Parameters, s: Float64Array, k: number): void {
  s[X.MED_OWN] = s[X.MED_OWN]! * (1 - 1.5 * k);
  for (const at of MENDED) s[at] = s[at]! * (1 - 1.5 * k);
  const missing = k * (p.bv0 - s[X.BV]!);
  s[X.BV] = s[X.BV]! + missing;
  if (missing > 0) s[X.LEAKED] = Math.max(s[X.LEAKED]! - missing, 0);
  // Gas stores as well: without them a brain stem that has stopped would never start again.
  const venous = 0.94 * p.hb;
  raise(s, X.PA_O2, 1.5 * k, 95);
  raise(s, X.PL_O2, 1.5 * k, 95);
  raise(s, X.CV_O2, 1.5 * k, venous);
  raise(s, X.PA_CO2, -1.5 * k, p.co2Set);
  raise(s, X.PT_CO2, -1.5 * k, p.co2Set + 6);
  s[X.LACTATE] = s[X.LACTATE]! + 0.4 * k * (1 - s[X.LACTATE]!);
  // What harms of a medicine goes; what helps stays, so that it is still there when the illness is handed back.
  const harmless = 0.4 * p.overdoseHalf;
  if (s[X.AD_C]! > harmless) s[X.AD_C] = s[X.AD_C]! - 2 * k * (s[X.AD_C]! - harmless);
}

/** Moves a slot by a share of the way to `to`: upwards only, or downwards only where the share is negative. */
function raise(s: Float64Array, at: number, share: number, to: number): void {
  const way = to - s[at]!;
  if (way * share > 0) s[at] = s[at]! + Math.abs(share) * way;
}

/** What an illness leaves behind, as slots that go to 0. */
const MENDED: readonly number[] = [
  X.FATIGUE,
  X.DEBT,
  X.B,
  X.U,
  X.SKIN,
  X.GUT,
  X.WATER,
  X.AIR_LEFT,
  X.AIR_RIGHT,
  X.SECRETIONS,
  X.UNMATCHED,
  X.STUNNED,
  X.LEVEL_BASE + X.LEVEL_STRIDE * OPIOID_DOSE + 3,
];

function stop(s: Float64Array): void {
  showDrives(s);
  s.fill(0, X.DRIVES_OWN, X.DRIVES_OWN + X.DRIVE_COUNT);
  s[X.MED] = s[X.MED_OWN]!;
  s[X.STEER_ON] = 0;
  s[X.STEER_PACE] = 0;
  s[X.PUSH_TO] = 0;
  s[X.STEER_NET] = 0;
  s[X.MED_OWN] = 0;
}

/**
 * Holds an arrest back (or lets it come): the heart still gives a little, very slowly, to a patient who does not answer.
 * On, an arrest that has just begun is undone. Off, it comes by itself if nothing has changed.
 */
export function holdArrest(p: Parameters, s: Float64Array, on: boolean): void {
  if (!on) {
    s[X.BRINK] = 0;
    return;
  }
  s[X.BRINK] = 1;
  if (s[X.ARREST]! > 0) {
    s[X.ARREST] = 0;
    s[X.ARREST_MIN] = 0;
    s[X.RESTART] = 0;
    if (s[X.HR]! < 0.25 * p.hr0) s[X.HR] = 0.25 * p.hr0;
  }
  floors(p, s);
}

/** Least that an arrest held back leaves, as shares of the patient's own and in mmHg. */
const LEAST = { heart: 0.25, output: 0.15, pressure: 0.3, systolic: 31 } as const;

function floors(p: Parameters, s: Float64Array): void {
  s[X.HR] = Math.max(s[X.HR]!, LEAST.heart * p.hr0);
  s[X.CO] = Math.max(s[X.CO]!, LEAST.output * p.co0);
  s[X.MAP] = Math.max(s[X.MAP]!, LEAST.pressure * p.map0);
  s[X.SBP] = Math.max(s[X.SBP]!, s[X.MAP]! + 8, LEAST.systolic);
  s[X.DBP] = Math.max(s[X.DBP]!, s[X.MAP]! - 6);
}

/**
 * At the brink over dtMs, in place of the arrest's own step. Oxygen in blood that a sound heart could move mends it within a
 * minute or so; nothing else does.
 */
export function stepBrink(p: Parameters, s: Float64Array, dtMs: number): void {
  if (s[X.BRINK] === KEPT && s[X.STEER_AIM] !== 1) {
    s[X.BRINK] = 0;
    return;
  }
  const h = dtMs / 60000;
  const filling = s[X.PRELOAD]!;
  const could = (p.cvp * filling + p.co0 * ((2 * filling) / (1 + filling)) * s[X.SVR]!) / p.map0;
  // 0 while an overdose of adrenaline would only stop the heart again.
  const unpoisoned = s[X.AD_EX]! > 0.85 ? 0 : 1;
  // Nor while faculty keep the patient failing.
  const mends = (s[X.STEER_NET]! < -1 ? 0 : unpoisoned) * unit((s[X.SAO2]! - 0.6) / 0.2) * unit((could - 0.4) / 0.25);
  const debt = s[X.DEBT]!;
  // The circulation's own step has added to the debt; at the brink that and more is paid back, or it stays at its worst.
  s[X.DEBT] =
    mends > 0.1
      ? unit(Math.min(debt, 0.86) - h * mends * (1 + 0.5 * s[X.AD_E]!))
      : Math.min(debt + unit(h * 6) * (0.85 - debt), 0.88);
  if (unpoisoned > 0 && s[X.DEBT]! < 0.35 && s[X.MAP]! > 0.4 * p.map0) {
    s[X.BRINK] = 0;
    return;
  }
  s[X.RHYTHM] = unpoisoned === 0 ? C.VT_PULSE : C.SINUS_BRADYCARDIA;
  floors(p, s);
}

/** True while an arrest is held back. */
export function isAtBrink(state: PatientState): boolean {
  return state[X.BRINK] === 1;
}

/** How far faculty have the illness eased (above 0) or worse now, -2 to 1, and whether the patient is held. */
export function steeringNow(state: PatientState): { readonly share: number; readonly held: boolean } {
  return { share: state[X.STEER_NET]!, held: isHeld(state) };
}
