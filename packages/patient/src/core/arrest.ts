/**
 * When output stops, what the trace shows, what compressions keep going, and what brings the heart back.
 *
 * Rhythm follows the cause: lack of oxygen slows the heart and ends in complexes without a pulse or none at all, an empty or
 * squeezed heart in complexes without a pulse, too much adrenaline or theophylline in fast ventricular rhythms. In children
 * in hospital the first rhythm is asystole or pulseless electrical activity in about five of six (Nadkarni VM et al. JAMA
 * 2006;295:50-7, from memory). Compressions give a quarter of normal output, mean pressure seldom above 40 mmHg (2005
 * guideline text, seen second-hand; 25-33 % from memory). Survival falls by 7-10 % a minute without and 3-4 % with
 * compressions (from memory). Everything is decided by the state: no chance is drawn. Sizes chosen here.
 */
import { clamp, unit } from '../maths/index.ts';
import { AMINOPHYLLINE } from '../drugs/catalogue.ts';
import * as C from './codes.ts';
import { SLOTS } from './layout.ts';
import type { Parameters } from './parameters.ts';

const X = SLOTS;

/** Compressions below this share of normal output count as none. */
const WORTH_THE_NAME = 0.08;

/** Rhythm and arrest over dtMs. */
export function stepArrest(p: Parameters, s: Float64Array, dtMs: number): void {
  const h = dtMs / 60000;
  if (s[X.ARREST]! > 0) {
    stepDead(p, s, h);
    return;
  }
  if (s[X.STUNNED]! > 0) s[X.STUNNED] = Math.max(s[X.STUNNED]! - (h / 60) * s[X.STUNNED]!, 0);
  const sa = s[X.SAO2]!;
  // What comes as one rush into a vein irritates most; the same level, once tissues have caught up with it, less.
  const sudden = unit((s[X.AD_CX]! / (s[X.AD_CE]! + 1) - 1.2) / 0.8);
  const overdose = s[X.AD_EX]! * (0.8 + 0.2 * sudden);
  // An overdose irritates the heart, an ill-supplied or old one sooner. Thresholds chosen here; theophylline brings major arrhythmia above
  // some 100 mg/L, ten loading doses, when taken all at once (Shannon M. Ann Intern Med 1993;119:1161-7, abstract seen).
  const theophylline = s[X.LEVEL_BASE + X.LEVEL_STRIDE * AMINOPHYLLINE + 3]!;
  const toxic = theophylline > 2 ? unit((theophylline - 2) / 10) : 0;
  const irritable = overdose + (sa < 0.8 ? 0.25 * unit((0.8 - sa) / 0.3) : 0) + (p.age > 50 ? 0.04 : 0) + toxic;
  const hr = s[X.HR]!;
  if (s[X.MAP]! < 0.28 * p.map0 || s[X.DEBT]! >= 0.95) {
    const slowed = sa < 0.5 && hr < (p.age < 16 ? 60 : 35);
    stop(s, s[X.RHYTHM] === C.VT_PULSE ? C.VT_PULSELESS : slowed ? C.ASYSTOLE : C.PEA);
    return;
  }
  if (irritable > 0.99) {
    stop(s, C.VF);
    return;
  }
  if (irritable > 0.88) s[X.RHYTHM] = C.VT_PULSE;
  else if (irritable > 0.45) s[X.RHYTHM] = C.ECTOPICS;
  else if (hr > 1.25 * p.hr0) s[X.RHYTHM] = C.SINUS_TACHYCARDIA;
  else if (hr < 0.75 * p.hr0) s[X.RHYTHM] = C.SINUS_BRADYCARDIA;
  else s[X.RHYTHM] = C.SINUS;
}

function stop(s: Float64Array, rhythm: number): void {
  s[X.ARREST] = 1;
  s[X.ARREST_MIN] = 0;
  s[X.RESTART] = 0;
  s[X.NO_FLOW_MIN] = 0;
  s[X.LOW_FLOW_MIN] = 0;
  s[X.RHYTHM] = rhythm;
  s[X.CO] = 0;
  s[X.SV] = 0;
}

function stepDead(p: Parameters, s: Float64Array, h: number): void {
  s[X.ARREST_MIN] = s[X.ARREST_MIN]! + h;
  const moving = s[X.CO]! >= WORTH_THE_NAME * p.co0;
  if (moving) s[X.LOW_FLOW_MIN] = s[X.LOW_FLOW_MIN]! + h;
  else s[X.NO_FLOW_MIN] = s[X.NO_FLOW_MIN]! + h;
  const none = s[X.NO_FLOW_MIN]!;
  const low = s[X.LOW_FLOW_MIN]!;
  const rhythm = s[X.RHYTHM]!;
  if (rhythm === C.PEA) {
    // Complexes slow and fade: an electrical rate near 20 after some minutes, then none.
    s[X.HR] = clamp(s[X.HR]! + (h / 3) * (15 - s[X.HR]!), 0, 300);
    if (s[X.HR]! < 22 && s[X.CPR]! <= 0) s[X.RHYTHM] = C.ASYSTOLE;
  } else if (rhythm === C.ASYSTOLE) s[X.HR] = 0;
  else if (rhythm === C.VT_PULSELESS && none > 2) s[X.RHYTHM] = C.VF;
  else if (none > 12 && s[X.CPR]! <= 0) s[X.RHYTHM] = C.ASYSTOLE;

  // Return of circulation asks for flow to the heart, oxygen in it, and no shockable rhythm; so a cause that keeps oxygen or
  // blood from the heart has to be gone first.
  const shockable = rhythm === C.VF || rhythm === C.VT_PULSELESS;
  const flow = unit((s[X.MAP]! - 12) / 18);
  const oxygen = unit((s[X.SAO2]! - 0.6) / 0.25);
  // A heart that stopped a minute ago for want of oxygen starts again on oxygen and flow alone.
  const fresh = unit(1 - none / 4);
  const gain = shockable ? 0 : 0.35 * flow * oxygen * (0.4 + 0.8 * fresh + s[X.AD_E]!);
  const late = Math.max(1 - 0.06 * none - 0.02 * low, 0.2);
  s[X.RESTART] = unit(s[X.RESTART]! + h * (gain * late - 0.08 * (1 - flow)));
  if (s[X.RESTART]! >= 1) {
    s[X.ARREST] = 0;
    s[X.ARREST_MIN] = 0;
    s[X.RESTART] = 0;
    // What the minutes without and with little flow leave behind: a weak heart and a brain that does not wake at once.
    s[X.DEBT] = Math.min(0.3 + 0.03 * none + 0.01 * low, 0.7);
    s[X.STUNNED] = unit(0.07 * Math.max(none - 1, 0) + 0.025 * low);
    s[X.NO_FLOW_MIN] = 0;
    s[X.LOW_FLOW_MIN] = 0;
    s[X.HR] = p.hr0;
    s[X.SYMP] = 1;
    s[X.RHYTHM] = C.SINUS;
  }
}
