/**
 * The two lungs: what a one-sided illness, air in the chest or a tube too deep takes from each, and where the blood goes.
 * Blood still flowing through lung without gas is the shunt of that side; what flows through lung that gets little air is
 * poorly matched. Vessels of a lung without gas close by about half, so that blood turns to the other side.
 */
import { unit } from '../maths/index.ts';
import { SLOTS } from '../core/layout.ts';
import { M_LOST_GAS, M_LOW_VQ, M_SHUNT, M_STIFFNESS } from './mechanisms.ts';
import { FOREIGN_BODY, PNEUMONIA } from './patterns.ts';
import { R_CLOSED, R_NARROW, R_SIDE, R_VESSELS, ROW } from './profile.ts';

const X = SLOTS;

/** Share of blood flow that the left lung gets at rest (right 55 %: textbook, from memory). */
export const LEFT_FLOW = 0.45;

/**
 * Flow that a whole lung without gas loses to hypoxic constriction: about half (Benumof JL. Anesthesia for Thoracic Surgery,
 * 1987, and Licker M et al. Saudi J Anaesth 2021;15:250-63, both from memory: shunt of one-lung ventilation 20-30 %, not
 * the 45-55 % that flowed there before). Inflamed, solid lung holds its flow, so pneumonia does not answer.
 */
const CONSTRICTION = 0.5;
/** Air under tension presses on vessels as well. Chosen here. */
const PRESSED = 0.2;

/** Air that lung behind a narrowed main bronchus gets, as a share of its fair share. Chosen here. */
const BEHIND_BLOCK = 0.2;

/**
 * Air that poorly ventilated lung gets, as a share of its fair share: behind tight airways by how tight they are, behind a
 * narrowed main bronchus next to none, by flow where there are both.
 */
export function lowShare(s: Float64Array): number {
  const open = 1 - s[X.B]!;
  const tight = 0.05 + 0.9 * open * open * open;
  const low = s[X.LOW_VQ]!;
  if (!(s[X.NARROW_LEFT]! + s[X.NARROW_RIGHT]! > 0) || low <= 0) return tight;
  const left = LEFT_FLOW + s[X.DIVERTED]!;
  const flow = left * s[X.NARROW_LEFT]! + (1 - left) * s[X.NARROW_RIGHT]!;
  return tight + (BEHIND_BLOCK - tight) * (flow < low ? flow / low : 1);
}

/** Both lungs over h minutes; adds to shunt, poorly matched flow, lost gas and stiffness. */
export function stepLungs(s: Float64Array, rows: Float64Array, h: number): void {
  tube(s, h);
  // A lung down by less than a quarter still fills with each breath (Norris RM et al. Thorax 1968;23:427-33, from memory).
  const downLeft = 0.9 * unit((s[X.AIR_LEFT]! - 0.25) / 0.75);
  const downRight = 0.9 * unit((s[X.AIR_RIGHT]! - 0.25) / 0.75);
  const shut = s[X.TUBE_SHUT]!;
  const shutLeft = s[X.TUBE_SIDE] === 2 ? shut : 0;
  const shutRight = s[X.TUBE_SIDE] === 1 ? shut : 0;
  const left = side(s, rows, -1, downLeft, shutLeft, X.CLOSED_LEFT, X.NARROW_LEFT) * LEFT_FLOW;
  const right = side(s, rows, 1, downRight, shutRight, X.CLOSED_RIGHT, X.NARROW_RIGHT) * (1 - LEFT_FLOW);
  const toLeft = left / (left + right);
  s[X.DIVERTED] = toLeft - LEFT_FLOW;
  const sided = toLeft * s[X.CLOSED_LEFT]! + (1 - toLeft) * s[X.CLOSED_RIGHT]!;
  s[X.SIDED_SHUNT] = sided;
  s[M_SHUNT] = s[M_SHUNT]! + sided;
  s[M_LOW_VQ] = s[M_LOW_VQ]! + toLeft * s[X.NARROW_LEFT]! + (1 - toLeft) * s[X.NARROW_RIGHT]!;
  if (shut > 0) {
    s[M_LOST_GAS] = s[M_LOST_GAS]! + (shutLeft > 0 ? 0.45 : 0.55) * shut;
    s[M_STIFFNESS] = s[M_STIFFNESS]! + shut;
  }
}

/** Writes what of one lung is closed and narrow; returns the flow left in it, 1 = its usual. */
function side(
  s: Float64Array,
  rows: Float64Array,
  which: number,
  down: number,
  shut: number,
  closedAt: number,
  narrowAt: number,
): number {
  const body = part(s, rows, FOREIGN_BODY, which, R_CLOSED);
  const thin = part(s, rows, FOREIGN_BODY, which, R_NARROW);
  const solid = part(s, rows, PNEUMONIA, which, R_CLOSED);
  const open = (1 - body) * (1 - solid) * (1 - down) * (1 - 0.95 * shut);
  s[closedAt] = 1 - open;
  s[narrowAt] = open * thin;
  const answers =
    body * rows[ROW * FOREIGN_BODY + R_VESSELS]! +
    solid * rows[ROW * PNEUMONIA + R_VESSELS]! +
    0.5 * thin +
    down +
    0.95 * shut;
  return 1 - CONSTRICTION * unit(answers) - PRESSED * down;
}

function part(s: Float64Array, rows: Float64Array, disease: number, which: number, column: number): number {
  const at = ROW * disease;
  return rows[at + R_SIDE] === which ? s[X.ACT_BASE + disease]! * rows[at + column]! : 0;
}

/** A tube in one main bronchus: the other lung empties over a minute or so, and fills again once it is drawn back. */
function tube(s: Float64Array, h: number): void {
  if (s[X.DEVICE] !== 9 && s[X.TUBE_SIDE]! > 0 && s[X.TUBE_SHUT]! <= 0) s[X.TUBE_SIDE] = 0;
  const aimed = s[X.TUBE_SIDE]! > 0 && s[X.DEVICE] === 9 && s[X.TUBE_DEEP]! > 0 ? 1 : 0;
  const now = s[X.TUBE_SHUT]!;
  if (aimed === now) return;
  const next = now + unit(h / (aimed > now ? 1 : 0.4)) * (aimed - now);
  s[X.TUBE_SHUT] = aimed === 0 && next < 1e-4 ? 0 : next;
}
