/** What a disease can do to the body, as slots that every disease adds to. Units beside each. */
import { SLOTS } from '../core/layout.ts';

/** Order is the order of weights in a disease pattern; indices are private to the state layout. */
export const MECHANISMS = [
  /** Small-airway narrowing that bronchodilators open, 0..1. */
  'spasm',
  /** Small-airway narrowing that they hardly touch (mucus, wall swelling), 0..1. */
  'plugging',
  /** Upper-airway swelling, 1 = radius halved. */
  'swelling',
  /** Blood through lung that holds no gas, fraction of output. */
  'shunt',
  /** Breath that meets no blood, fraction of a breath. */
  'deadSpace',
  /** Blood through lung that is poorly ventilated, fraction of output. */
  'lowVq',
  /** Stiff lungs: added to the denominator of sustainable ventilation. */
  'stiffness',
  /** Resting lung gas lost, fraction. */
  'lostGas',
  /** Breathing wanted above what gases ask (pain, stretch receptors, fear), times resting. */
  'urge',
  /** Degrees Celsius. */
  'fever',
  /** Loss of arterial and venous tone, 0..1. */
  'vasoplegia',
  /** Loss of contractility, 0..1. */
  'weakness',
  /** Depression of breathing and consciousness, 0..1. */
  'opioid',
  /** Secretions aimed at, 0..1. */
  'secretions',
  /** Restlessness, 0..1. */
  'agitation',
  /** Pauses in breathing per minute at full, in the young. */
  'pauses',
] as const;

export type Mechanism = (typeof MECHANISMS)[number];
export type Weights = Readonly<Partial<Record<Mechanism, number>>>;

const at = (id: Mechanism): number => SLOTS.MECH_BASE + MECHANISMS.indexOf(id);

/** Where each sum lives in the state. */
export const M_SPASM = at('spasm');
export const M_PLUGGING = at('plugging');
export const M_SWELLING = at('swelling');
export const M_SHUNT = at('shunt');
export const M_DEAD_SPACE = at('deadSpace');
export const M_LOW_VQ = at('lowVq');
export const M_STIFFNESS = at('stiffness');
export const M_LOST_GAS = at('lostGas');
export const M_URGE = at('urge');
export const M_FEVER = at('fever');
export const M_VASOPLEGIA = at('vasoplegia');
export const M_WEAKNESS = at('weakness');
export const M_OPIOID = at('opioid');
export const M_SECRETIONS = at('secretions');
export const M_AGITATION = at('agitation');
export const M_PAUSES = at('pauses');
