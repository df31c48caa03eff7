/** Graded signs from the model: 0 none, 1 mild, 2 moderate, 3 marked, 4 severe. Cut points chosen here unless named. */
import { unknownId } from '../errors.ts';
import type { PatientModel, PatientState, SignId } from '../types.ts';
import { unit } from '../maths/index.ts';
import { D_PARALYSIS, agitation, airwayBlock, drive } from './drive.ts';
import { SLOTS } from './layout.ts';
import type { Parameters } from './parameters.ts';

const X = SLOTS;

/** How many of four rising cut points v has reached. */
function grade(v: number, a: number, b: number, c: number, d: number): number {
  return v >= d ? 4 : v >= c ? 3 : v >= b ? 2 : v >= a ? 1 : 0;
}

/** Limbs jerking in a fit, as anyone at the bedside sees it: a muscle relaxant hides it. */
export function isFitting(state: PatientState): boolean {
  return state[X.FIT]! > 0.5 && state[X.RELAXED]! < 0.5 && !(state[X.ARREST]! > 0);
}

/** Grade index 0..4 of one sign now. Throws for an unknown sign. */
export function readSign(model: PatientModel, state: PatientState, sign: SignId): number {
  const p = model.p as Parameters;
  const s = state;
  const arrested = s[X.ARREST]! > 0;
  const moving = s[X.VE]! / p.ve0;
  switch (sign) {
    case 'work-of-breathing':
      if (arrested || s[X.RR] === 0) return 0;
      // A tired or drowsy patient looks less distressed, and is worse.
      return grade(
        s[X.LOAD]! *
          Math.max(s[X.CNS]!, 0.2) *
          (1 - 0.35 * s[X.FATIGUE]!) *
          (1 - unit(Math.max(drive(s, D_PARALYSIS), s[X.RELAXED]!) * 1.25)),
        0.17,
        0.3,
        0.48,
        0.7,
      );
    case 'wheeze':
      if (arrested || moving < 0.05) return 0;
      return Math.max(grade(s[X.B]! * Math.min(moving / 0.9, 1), 0.1, 0.3, 0.5, 0.7) - (silent(p, s) > 0 ? 3 : 0), 0);
    case 'stridor':
      if (arrested || moving < 0.05) return 0;
      return Math.min(grade(Math.max(s[X.U]!, airwayBlock(s)), 0.25, 0.4, 0.65, 0.85), moving < 0.4 ? 1 : 4);
    case 'fatigue':
      return grade(s[X.FATIGUE]!, 0.12, 0.25, 0.42, 0.65);
    case 'silent-chest':
      return silent(p, s);
    case 'rash':
      return grade(s[X.SKIN]!, 0.06, 0.2, 0.42, 0.75);
    case 'swelling':
      return grade(s[X.U]!, 0.12, 0.28, 0.5, 0.75);
    case 'gut':
      return grade(s[X.GUT]!, 0.1, 0.22, 0.4, 0.7);
    case 'agitation': {
      if (s[X.AWAKE]! < 0.6 || arrested) return 0;
      const fear = Math.max(agitation(s), 1.1 * s[X.MED]!, (0.95 - s[X.SAO2]!) * 4, s[X.SYMP]!, s[X.LOAD]! - 0.1);
      return grade(fear * Math.min((s[X.AWAKE]! - 0.5) * 2.5, 1), 0.12, 0.3, 0.5, 0.75);
    }
    case 'drowsiness':
      return grade(1 - s[X.AWAKE]!, 0.12, 0.3, 0.55, 0.85);
    case 'cyanosis':
      return grade(desaturated(p, s), 1.2, 2.2, 3.5, 5);
    case 'poor-perfusion':
      return arrested ? 4 : grade(s[X.REFILL]! - 2 + 2.5 * Math.max(0, 0.72 - s[X.MAP]! / p.map0), 0.3, 1, 2, 3.2);
    case 'cannot-talk':
      if (arrested || s[X.AWAKE]! < 0.25) return 4;
      return grade(Math.max(s[X.LOAD]!, s[X.FATIGUE]! + 0.2 * s[X.B]!, 1 - s[X.AWAKE]! - 0.1), 0.24, 0.38, 0.55, 0.85);
    case 'apnoea':
      return s[X.RR]! <= 0 ? 4 : s[X.RR]! < 0.25 * p.rr0 ? 2 : 0;
    case 'arrest':
      return arrested ? 4 : 0;
    default:
      throw unknownId('unknown-sign', sign, ['work-of-breathing', 'wheeze', 'stridor', '…']);
  }
}

/** Very tight airways with little air moving: quieter, and worse. */
function silent(p: Parameters, s: Float64Array): number {
  if (s[X.ARREST]! > 0 || s[X.B]! < 0.75) return 0;
  return grade(1 - s[X.VE]! / s[X.DEMAND]! + s[X.FATIGUE]! * 0.3, 0.3, 0.42, 0.55, 0.7);
}

/**
 * Desaturated haemoglobin, g/dL, mean of artery and capillary: blueness shows from about 3.4 g/dL arterial or 5
 * capillary (Lundsgaard & Van Slyke, from memory).
 */
function desaturated(p: Parameters, s: Float64Array): number {
  return p.hb * (1 - s[X.SAO2]!) * 1.6;
}
