/** What each side of the chest sounds and feels like, from the model. */
import { unit } from '../maths/index.ts';
import { SLOTS } from '../core/layout.ts';
import type { PatientModel } from '../types.ts';
import { FOREIGN_BODY, PNEUMONIA } from '../diseases/patterns.ts';
import { R_SIDE, ROW } from '../diseases/profile.ts';

const X = SLOTS;

export interface Side {
  /** 1 normal to 0 none: what of a breath is heard. */
  readonly entry: number;
  /** 0..1 wet sounds. */
  readonly crackles: number;
  readonly note: 'resonant' | 'dull' | 'hyper-resonant';
  /** Part of the wheeze that belongs to this side alone, 0..1. */
  readonly ownWheeze: number;
}

/** Left and right, in that order. */
export function chestSides(model: PatientModel, s: Float64Array): readonly [Side, Side] {
  return [oneSide(model, s, -1), oneSide(model, s, 1)];
}

function share(model: PatientModel, disease: number, side: number): number {
  const of = model.ill ? model.ill[ROW * disease + R_SIDE]! : 0;
  return of === 0 ? 1 : of === side ? 1 : 0;
}

function oneSide(model: PatientModel, s: Float64Array, side: number): Side {
  const air = s[side < 0 ? X.AIR_LEFT : X.AIR_RIGHT]!;
  const solid = s[X.ACT_BASE + PNEUMONIA]! * share(model, PNEUMONIA, side);
  const rows = model.ill;
  const bronchial = rows !== undefined && rows[ROW * FOREIGN_BODY + R_SIDE] !== 0;
  const plugged = bronchial ? s[X.ACT_BASE + FOREIGN_BODY]! * share(model, FOREIGN_BODY, side) : 0;
  // A tube in the other main bronchus leaves this one silent.
  const beyond = s[X.TUBE_SIDE] === (side < 0 ? 2 : 1) ? s[X.TUBE_SHUT]! : 0;
  const entry = unit((1 - 0.95 * unit(air * 1.1)) * (1 - 0.5 * solid) * (1 - 0.7 * plugged) * (1 - 0.95 * beyond));
  const wet = Math.max(0.9 * solid, s[X.WATER]!, 0.55 * s[X.SECRETIONS]!) * (1 - unit(air));
  return {
    entry,
    crackles: unit(wet),
    note: air > 0.3 ? 'hyper-resonant' : solid > 0.35 ? 'dull' : 'resonant',
    ownWheeze: plugged,
  };
}
