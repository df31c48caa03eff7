/**
 * What medicines, and CO2 held back, do that an examiner sees or is told. A usual dose of adrenaline brings tremor, pounding
 * heart, headache and pallor; too much brings chest pain, vomiting, ectopic beats and water in the lungs (Liew PYL, Craven JA. J Med
 * Case Rep 2017;11:129, a child of nine whose overdose looked like shock until the pressure was taken; Johnston SL et al. BMJ
 * 2003;326:589). Aminophylline: vomiting above 20 mg/L, fits near 100 (core/body.ts). Cut points chosen here.
 */
import { AMINOPHYLLINE } from '../drugs/catalogue.ts';
import { level } from '../core/drive.ts';
import { SLOTS } from '../core/layout.ts';
import type { Parameters } from '../core/parameters.ts';
import { isFitting } from '../core/signs.ts';
import type { PatientState } from '../types.ts';
import type { Add } from './illness-findings.ts';

const X = SLOTS;

/** Adds what there is to say; nothing for a patient who has had no medicine and breathes CO2 off. */
export function medicineFindings(add: Add, p: Parameters, s: PatientState, meanMmHg: number): void {
  const adrenaline = surge(p, s, meanMmHg);
  const tells = s[X.AWAKE]! > 0.7 && p.age >= 3;
  if (adrenaline > 0) {
    const words = p.age < 1 ? INFANT_SURGE : !tells ? SEEN_SURGE : p.age < 16 ? CHILD_SURGE : SURGE;
    add('adrenaline-effects', 'circulation', true, adrenaline, words[adrenaline]!);
  }
  const theophylline = level(s, AMINOPHYLLINE);
  if (theophylline > 1.5) {
    const grade = theophylline > 4 ? 4 : theophylline > 2 ? 3 : 1;
    add('aminophylline-effects', 'exposure', true, grade, (tells ? THEOPHYLLINE : SEEN_THEOPHYLLINE)[grade]!);
  }
  if (isFitting(s)) add('seizure', 'disability', true, 4, p.age < 1 ? INFANT_FIT : FIT);
  if (adrenaline === 0 && (s[X.E_SALB]! > 0.4 || theophylline > 1.5))
    add(
      'tremor',
      'exposure',
      true,
      1,
      tells ? 'Fine tremor of both hands; says the heart is racing.' : 'Hands tremble.',
    );
  // Warm hands, bounding pulse and a flap are the old bedside signs of CO2 held back.
  if (p.age >= 16 && s[X.PA_CO2]! > p.co2Tolerance + 60 && s[X.AWAKE]! > 0.45)
    add('co2-flap', 'disability', false, 2, 'Hands warm, pulse bounding; held out, the hands flap. Headache.');
}

/** 0 none, 1 what a usual dose does, 2 to 4 too much; a pressure far above the patient's own counts by itself. */
function surge(p: Parameters, s: PatientState, meanMmHg: number): number {
  const ex = s[X.AD_EX]!;
  const over = meanMmHg / p.map0;
  const dosed = s[X.AD_E]! > 0.5;
  if (ex > 0.45 || (dosed && over > 1.7)) return 4;
  if (ex > 0.2 || (dosed && over > 1.45)) return 3;
  if (ex > 0.06 || (dosed && over > 1.3)) return 2;
  return dosed ? 1 : 0;
}

const FIT = 'Jerking of both arms and legs, jaw clenched, eyes rolled up; does not answer.';
const INFANT_FIT = 'Arms and legs jerk in time, eyes fixed to one side, stiff; does not answer.';

const SURGE = [
  '',
  'Hands tremble; feels the heart pounding. Palms a little pale.',
  'Shaking; pounding heart and headache. Lips and palms pale.',
  'Tight pain across the chest and a bursting headache; shaking, sweating, lips and palms pale.',
  'Crushing chest pain and headache, retching; drenched in sweat, lips and palms white.',
];
const CHILD_SURGE = [
  '',
  'Hands tremble; says the heart is going fast. Palms a little pale.',
  'Shaking; holds the head, says the heart is thumping. Lips and palms pale.',
  'Cries with headache and chest pain; shaking, sweating, lips and palms pale.',
  'Screams with headache and chest pain, vomits; drenched in sweat, lips and palms white.',
];
const SEEN_SURGE = [
  '',
  'Hands tremble; palms a little pale.',
  'Trembling all over; lips and palms pale.',
  'Trembling, sweating; heartbeat seen against the chest, lips and palms pale.',
  'Rigid and drenched in sweat, vomits; lips, palms and soles white.',
];
const INFANT_SURGE = [
  '',
  'Trembling a little; palms and soles a little pale.',
  'Trembling, jittery; lips, palms and soles pale.',
  'High-pitched cry, trembling; heartbeat seen against the chest, lips, palms and soles pale.',
  'Arched and trembling, vomits; lips, palms and soles white.',
];
const THEOPHYLLINE = [
  '',
  'Feels sick and jittery.',
  '',
  'Vomits again and again; hands shaking, cannot keep still.',
  'Vomiting without stopping; wild, shaking, twitching.',
];
const SEEN_THEOPHYLLINE = ['', 'Jittery, retches.', '', 'Vomits again and again; trembling.', 'Vomiting, twitching.'];
