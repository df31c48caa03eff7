/** When output stops, what the trace shows, and what brings it back. */
import { clamp, unit } from '../maths/index.ts';
import { AMINOPHYLLINE } from '../drugs/catalogue.ts';
import * as C from './codes.ts';
import { SLOTS } from './layout.ts';
import type { Parameters } from './parameters.ts';

const X = SLOTS;

/** Rhythm and arrest over dtMs. */
export function stepArrest(p: Parameters, s: Float64Array, dtMs: number): void {
  const h = dtMs / 60000;
  if (s[X.ARREST]! > 0) {
    stepDead(p, s, h);
    return;
  }
  const sa = s[X.SAO2]!;
  const overdose = s[X.AD_EX]!;
  // An overdose irritates the heart, an ill-supplied or old one sooner. Thresholds chosen here.
  const theophylline = s[X.LEVEL_BASE + X.LEVEL_STRIDE * AMINOPHYLLINE + 3]!;
  const toxic = theophylline > 2 ? unit((theophylline - 2) / 6) : 0;
  const irritable = overdose + (sa < 0.8 ? 0.25 * unit((0.8 - sa) / 0.3) : 0) + (p.age > 50 ? 0.08 : 0) + toxic;
  if (s[X.MAP]! < 0.28 * p.map0 || s[X.DEBT]! >= 0.95) {
    stop(s, sa < 0.5 && p.age < 16 && s[X.HR]! < 60 ? C.ASYSTOLE : C.PEA);
    return;
  }
  if (irritable > 0.97) {
    stop(s, C.VF);
    return;
  }
  const hr = s[X.HR]!;
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
  s[X.RHYTHM] = rhythm;
  s[X.CO] = 0;
  s[X.SV] = 0;
}

function stepDead(p: Parameters, s: Float64Array, h: number): void {
  s[X.ARREST_MIN] = s[X.ARREST_MIN]! + h;
  const rhythm = s[X.RHYTHM]!;
  if (rhythm === C.PEA) {
    // Complexes slow and fade: an electrical rate near 20 after some minutes, then none.
    s[X.HR] = clamp(s[X.HR]! + (h / 3) * (15 - s[X.HR]!), 0, 300);
    if (s[X.HR]! < 22 && s[X.CPR]! <= 0) s[X.RHYTHM] = C.ASYSTOLE;
  } else if (rhythm === C.ASYSTOLE) s[X.HR] = 0;
  else if (s[X.ARREST_MIN]! > 12 && s[X.CPR]! <= 0) s[X.RHYTHM] = C.ASYSTOLE;

  // Return of circulation asks for flow to the heart, oxygen in it, and no shockable rhythm. Sizes chosen here.
  const shockable = rhythm === C.VF || rhythm === C.VT_PULSELESS;
  const flow = unit((s[X.MAP]! - 12) / 18);
  const oxygen = unit((s[X.SAO2]! - 0.6) / 0.25);
  const gain = shockable ? 0 : 0.35 * flow * oxygen * (0.4 + s[X.AD_E]!);
  const late = s[X.ARREST_MIN]! > 20 ? 0.3 : 1;
  s[X.RESTART] = unit(s[X.RESTART]! + h * (gain * late - 0.08 * (1 - flow)));
  if (s[X.RESTART]! >= 1) {
    s[X.ARREST] = 0;
    s[X.ARREST_MIN] = 0;
    s[X.RESTART] = 0;
    s[X.DEBT] = 0.3;
    s[X.HR] = p.hr0;
    s[X.SYMP] = 1;
    s[X.RHYTHM] = C.SINUS;
  }
}
