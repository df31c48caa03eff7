/** Small integer codes kept in the state, and their names. */
import type { Posture } from '../types.ts';

/** Heart rhythms by code. */
export const RHYTHMS = [
  { code: 0, id: 'sinus', says: 'sinus rhythm', pulse: true },
  { code: 1, id: 'sinus-tachycardia', says: 'sinus tachycardia', pulse: true },
  { code: 2, id: 'sinus-bradycardia', says: 'sinus bradycardia', pulse: true },
  { code: 3, id: 'ventricular-ectopics', says: 'sinus rhythm with ventricular ectopic beats', pulse: true },
  { code: 4, id: 'ventricular-tachycardia', says: 'ventricular tachycardia', pulse: true },
  { code: 5, id: 'pulseless-ventricular-tachycardia', says: 'ventricular tachycardia without a pulse', pulse: false },
  { code: 6, id: 'ventricular-fibrillation', says: 'ventricular fibrillation', pulse: false },
  { code: 7, id: 'pulseless-electrical-activity', says: 'organised complexes without a pulse', pulse: false },
  { code: 8, id: 'asystole', says: 'asystole', pulse: false },
  // Never the model's own; faculty may lay it over the patient.
  { code: 9, id: 'supraventricular-tachycardia', says: 'supraventricular tachycardia', pulse: true },
] as const;

export const SINUS = 0;
export const SINUS_TACHYCARDIA = 1;
export const SINUS_BRADYCARDIA = 2;
export const ECTOPICS = 3;
export const VT_PULSE = 4;
export const VT_PULSELESS = 5;
export const VF = 6;
export const PEA = 7;
export const ASYSTOLE = 8;

/** Order matters: the index is the code. Added unstressed venous volume, as a share of the normal one. */
export const POSTURES: readonly Posture[] = ['supine', 'sitting', 'legs-raised', 'standing', 'recovery-position'];
export const POSTURE_SHIFT: readonly number[] = [0, 0.03, -0.04, 0.1, 0];

/** What hands or a machine can do. `amount` is in the procedure's unit. */
export const PROCEDURES = {
  cpr: { unit: 'compressions per minute', min: 0, max: 160, usual: 110, says: 'Chest compressions.' },
  'breaths-given': {
    unit: 'breaths per minute',
    min: 0,
    max: 80,
    usual: 0,
    says: 'Breaths given by bag and mask, or by a machine through a tube. Usual rate by age when no amount is given.',
  },
  'machine-breath': {
    unit: 'mL/kg',
    min: 2,
    max: 20,
    usual: 7,
    says: 'Size of each breath given by a machine or bag; off goes back to a usual one.',
  },
  'machine-pressure': {
    unit: 'cmH2O',
    min: 0,
    max: 20,
    usual: 5,
    says: 'Pressure kept in the chest between breaths: opens wet or collapsed lung, takes filling from the heart.',
  },
  'machine-inspiration': {
    unit: 'share of the cycle',
    min: 0.1,
    max: 0.7,
    usual: 0.33,
    says: 'Part of each cycle spent breathing in; the rest is left to breathe out.',
  },
  'mask-seal': {
    unit: 'share of each breath kept',
    min: 0.05,
    max: 1,
    usual: 0.97,
    says: 'How well the mask fits the face: two hands and a second person to squeeze hold nearly all of each breath.',
  },
  'tube-attempt': {
    unit: 'seconds',
    min: 5,
    max: 300,
    usual: 30,
    says: 'Looking and passing a tube: nobody gives breaths for as long as it takes.',
  },
  'tube-in-gullet': {
    unit: 'none',
    min: 0,
    max: 1,
    usual: 1,
    says: 'The tube lies in the gullet: no breath reaches the lungs and no CO2 comes back, until it is taken out.',
  },
  'airway-held-open': { unit: 'none', min: 0, max: 1, usual: 1, says: 'Head tilt, jaw thrust or an airway adjunct.' },
  defibrillation: {
    unit: 'J/kg',
    min: 0,
    max: 10,
    usual: 4,
    says: 'One shock; stops ventricular fibrillation or tachycardia.',
  },
  suction: { unit: 'none', min: 0, max: 1, usual: 1, says: 'Clears most secretions; they gather again.' },
  rouse: { unit: 'none', min: 0, max: 1, usual: 1, says: 'Loud voice and a firm squeeze: helps for a minute.' },
  'back-blows': { unit: 'blows', min: 0, max: 5, usual: 5, says: 'Works an object in the throat loose.' },
  'abdominal-thrusts': {
    unit: 'thrusts',
    min: 0,
    max: 5,
    usual: 5,
    says: 'Works an object in the throat loose; hardly in an infant, and can hurt one.',
  },
  'chest-thrusts': { unit: 'thrusts', min: 0, max: 5, usual: 5, says: 'Works an object in the throat loose.' },
  'object-removed': {
    unit: 'none',
    min: 0,
    max: 1,
    usual: 1,
    says: 'An object seen and taken out, with fingers or forceps.',
  },
  'needle-decompression': {
    unit: 'side: 1 left, 2 right, 0 the side with more air',
    min: 0,
    max: 2,
    usual: 0,
    says: 'Lets air under tension out; kinks after 12 minutes. On the wrong side it lets air in.',
  },
  'chest-drain': {
    unit: 'side: 1 left, 2 right, 0 the side with more air',
    min: 0,
    max: 2,
    usual: 0,
    says: 'Lets air out and keeps it out.',
  },
  'tube-too-deep': {
    unit: 'side: 1 left, 2 right, 0 the right, where a deep tube goes',
    min: 0,
    max: 2,
    usual: 0,
    says: 'The tube has gone past the fork into one main bronchus: the other lung gets no air until it is drawn back.',
  },
} as const;

export type ProcedureId = keyof typeof PROCEDURES;
