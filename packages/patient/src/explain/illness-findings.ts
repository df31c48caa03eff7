/** Findings that belong to illnesses other than anaphylaxis, in the examiner's words. */
import { SLOTS } from '../core/layout.ts';
import { BRONCHIOLITIS, CROUP, FOREIGN_BODY } from '../diseases/patterns.ts';
import type { AbcdeId } from '../types.ts';
import type { Side } from './sides.ts';

const X = SLOTS;

export type Add = (id: string, letter: AbcdeId, observable: boolean, grade: number, text: string) => void;

const NAMES = ['left', 'right'] as const;

/** Two sides that do not match: said side by side, worse side first. */
export function unevenChest(add: Add, left: Side, right: Side, wheeze: number): void {
  const worse = left.entry < right.entry ? 0 : 1;
  const bad = worse === 0 ? left : right;
  const good = worse === 0 ? right : left;
  const how = bad.entry < 0.2 ? 'No air entry' : bad.entry < 0.5 ? 'Very little air entry' : 'Reduced air entry';
  const other = good.entry > 0.8 ? (wheeze > 1 ? 'wheezy but moving air' : 'clear') : 'reduced';
  const grade = bad.entry < 0.2 ? 4 : bad.entry < 0.5 ? 3 : 2;
  add('air-entry', 'breathing', false, grade, `${how} on the ${NAMES[worse]}; ${NAMES[1 - worse]} side ${other}.`);
  if (bad.ownWheeze > 0.2) add('wheeze', 'breathing', false, 2, `Wheeze on the ${NAMES[worse]} side only, one note.`);
  const rises = bad.entry < 0.5;
  if (rises) add('chest-movement', 'breathing', true, grade, `The ${NAMES[worse]} side of the chest moves less.`);
  if (bad.note !== 'resonant')
    add(
      'percussion',
      'breathing',
      false,
      2,
      bad.note === 'dull'
        ? `Percussion dull at the ${NAMES[worse]} base.`
        : `Percussion drum-like on the ${NAMES[worse]}, normal on the ${NAMES[1 - worse]}.`,
    );
  if (bad.note === 'hyper-resonant' && bad.entry < 0.12)
    add('trachea', 'airway', false, 4, `Windpipe pushed towards the ${NAMES[1 - worse]}.`);
}

/** Wet sounds, by side. */
export function wetChest(add: Add, left: Side, right: Side): void {
  const l = left.crackles;
  const r = right.crackles;
  const most = Math.max(l, r);
  if (most < 0.15) return;
  const grade = most > 0.75 ? 3 : most > 0.4 ? 2 : 1;
  const where =
    Math.abs(l - r) > 0.25
      ? `at the ${l > r ? 'left' : 'right'} base`
      : most > 0.75
        ? 'all over, both sides'
        : 'at both bases';
  add('crackles', 'breathing', false, grade, `${grade > 1 ? 'Crackles' : 'Fine crackles'} ${where}.`);
}

/** Cough, froth, secretions, choking, pauses. */
export function illnessFindings(add: Add, s: Float64Array, small: boolean): void {
  const croup = s[X.ACT_BASE + CROUP]!;
  if (croup > 0.1) add('cough', 'airway', true, croup > 0.6 ? 2 : 1, 'Barking cough like a seal; voice hoarse.');
  const object = s[X.OBJECT]!;
  if (object > 0.97)
    add(
      'choking',
      'airway',
      true,
      4,
      small ? 'Mouth open, no sound, no cough.' : 'Hands at the throat, no sound, no cough.',
    );
  else if (object > 0) add('choking', 'airway', true, 3, 'Coughing hard, noisy breathing in; can still make a sound.');
  else if (s[X.OBJECT_OUT]! > 0) add('choking', 'airway', true, 0, 'The object is out; coughs and breathes in.');
  else if (s[X.ACT_BASE + FOREIGN_BODY]! > 0.1 && croup <= 0.1) add('cough', 'airway', true, 1, 'Coughing on and off.');
  const wet = s[X.SECRETIONS]!;
  if (wet > 0.3)
    add(
      'secretions',
      'airway',
      true,
      wet > 0.6 ? 2 : 1,
      small ? 'Nose blocked and bubbling.' : 'Rattling cough with thick sputum.',
    );
  // Pressure at the mask or through a tube holds it back.
  if (s[X.WATER]! > 0.6 && s[X.DEVICE]! < 7)
    add('froth', 'airway', true, s[X.WATER]! > 0.85 ? 4 : 3, 'Frothy spit, tinged with blood; lips wet with it.');
  if (s[X.PAUSE_COUNT]! > 0 && s[X.ACT_BASE + BRONCHIOLITIS]! > 0)
    add(
      'pauses',
      'breathing',
      true,
      s[X.PAUSE]! > 0 ? 4 : 2,
      s[X.PAUSE]! > 0 ? 'Has stopped breathing.' : 'Breathing has paused and started again.',
    );
}
