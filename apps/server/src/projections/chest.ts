/**
 * What a stethoscope would hear, from the model's graded signs and what each side does. Coarse on purpose: an ear tells
 * quarters, and a learner's screen is to carry no more than an ear could tell.
 */
import type { TrackRow } from '@breathline/engine';
import type { ChestSide, ChestSounds } from '@breathline/protocol';

/** One side as the patient model has it: `entry` 1 normal to 0 none; the rest 0 to 1. */
export interface ModelSide {
  readonly entry: number;
  readonly crackles: number;
  /** The part of the wheeze that belongs to this side alone. */
  readonly ownWheeze: number;
}

const STEPS = 8;
const coarse = (value: number): number => Math.round(Math.min(1, Math.max(0, value)) * STEPS) / STEPS;
/** The highest grade of a sign. */
const TOP_GRADE = 4;

/** `signs` as the track keeps them, grade 0 to 4 each. */
export const chestSounds = (signs: TrackRow['signs'], left: ModelSide, right: ModelSide): ChestSounds => {
  const share = (sign: keyof TrackRow['signs']) => signs[sign] / TOP_GRADE;
  // Nothing is heard of a chest that does not move; of a silent one, hardly anything.
  const moved = signs.apnoea === TOP_GRADE || signs.arrest > 0 ? 0 : 1 - 0.95 * share('silent-chest');
  const side = ({ entry, crackles, ownWheeze }: ModelSide): ChestSide => {
    const heard = entry * moved;
    return {
      airEntry: coarse(heard),
      // The airways sing only as loud as what flows through them.
      wheeze: coarse(Math.max(share('wheeze'), ownWheeze) * Math.min(1, 2 * heard)),
      crackles: coarse(crackles * Math.min(1, 2 * heard)),
    };
  };
  return { left: side(left), right: side(right), stridor: coarse(share('stridor') * (moved === 0 ? 0 : 1)) };
};
