/**
 * Findings in an examiner's words, from the model. Each text can be spoken as it stands and holds for every skin tone:
 * colour is always named at lips, nail beds, palms or soles as well.
 */
import { GRADES } from '../types.ts';
import type { AbcdeId, Finding, PatientModel, PatientState } from '../types.ts';
import { readSign } from '../core/signs.ts';
import { createVitals, readVitals } from '../core/state.ts';
import { SLOTS } from '../core/layout.ts';
import { chestSides } from './sides.ts';
import { illnessFindings, unevenChest, wetChest } from './illness-findings.ts';
import { medicineFindings } from './medicine-findings.ts';
import { gutDriven, skinDriven } from '../diseases/mediators.ts';
import { CROUP } from '../diseases/patterns.ts';
import type { Parameters } from '../core/parameters.ts';
import { lowSystolic } from '../norms/norms.ts';

const X = SLOTS;

/** Everything an examiner would find now, in A to E order; the normal is said too. */
export function readFindings(model: PatientModel, state: PatientState): Finding[] {
  const p = model.p as Parameters;
  const v = readVitals(model, state, createVitals());
  const out: Finding[] = [];
  const add = (id: string, letter: AbcdeId, observable: boolean, grade: number, text: string) =>
    out.push({ id, letter, observable, grade: GRADES[grade]!, text });
  const infant = p.age < 1;
  const small = p.age < 3;
  const arrested = v.arrested > 0;

  if (arrested) {
    add('response', 'airway', true, 4, 'Unresponsive, not breathing normally, no signs of life.');
    add('pulse', 'circulation', false, 4, state[X.CPR]! > 0 ? 'Pulse only with compressions.' : 'No central pulse.');
    add('colour', 'exposure', true, 4, 'Lips, tongue and nail beds blue-grey; palms and soles pale.');
    return out;
  }

  const apnoea = readSign(model, state, 'apnoea');
  const drowsy = readSign(model, state, 'drowsiness');
  const tube = state[X.DEVICE] === TUBE;
  const shut = state[X.OBJECT]! > 0.97;
  // Nobody makes words without breath or without waking, whatever their lungs would allow.
  const talk = apnoea === 4 || drowsy >= 3 || shut || tube ? 4 : readSign(model, state, 'cannot-talk');
  const speech = small ? (infant ? INFANT_VOICE : TODDLER_VOICE) : VOICE;
  const groans = drowsy === 3 && apnoea < 4 && !shut && !small;
  add('talking', 'airway', true, talk, tube ? 'A tube in the windpipe; no voice.' : groans ? GROANS : speech[talk]!);
  const stridor = tube || shut ? 0 : readSign(model, state, 'stridor');
  if (stridor > 0) add('stridor', 'airway', true, stridor, p.age < 16 || stridor > 1 ? STRIDOR[stridor]! : DEEP_BREATH);
  // Croup swells below the voice box: lips and tongue are as ever, and a drooling child has something else.
  const below = state[X.ACT_BASE + CROUP]! > 0.1 && state[X.MED]! < 0.05;
  const swelling = below ? 0 : readSign(model, state, 'swelling');
  if (swelling > 0) add('swelling', 'airway', true, swelling, (infant ? INFANT_SWELLING : SWELLING)[swelling]!);
  if (v.consciousnessFraction < 0.3 && state[X.AIRWAY_OPEN]! <= 0 && !tube) {
    const noise = apnoea === 4 ? 'Jaw slack' : 'Snoring, jaw slack';
    add('airway-position', 'airway', true, 3, `${noise}; the airway needs holding open.`);
  }

  if (apnoea === 4) add('breathing', 'breathing', true, 4, 'No breathing effort seen.');
  else {
    const work = readSign(model, state, 'work-of-breathing');
    const given = state[X.BREATHS]! > 0 && work === 0;
    const slow = work === 0 && v.respiratoryRatePerMin < 0.65 * p.rr0;
    const asleep = drowsy >= 2;
    const effort = given
      ? 'Chest rises and falls with the breaths given.'
      : slow
        ? 'Breaths few and quiet, hardly any effort.'
        : asleep && work === 0
          ? state[X.LOAD]! >= 0.17
            ? 'Too deeply asleep to make an effort; little air moves with each breath.'
            : 'Breathes quietly, without effort.'
          : drowsy >= 3 && !small && work === 3
            ? 'Uses every muscle of the neck and chest; deep drawing-in above the collarbones.'
            : (small ? SMALL_WORK : WORK)[work]!;
    add('work-of-breathing', 'breathing', true, work, effort);
    const silent = readSign(model, state, 'silent-chest');
    const wheeze = readSign(model, state, 'wheeze');
    const [left, right] = chestSides(model, state);
    const uneven = Math.abs(left.entry - right.entry) > 0.2;
    if (shut) add('air-entry', 'breathing', false, 4, 'No air entry on either side.');
    else if (uneven) unevenChest(add, left, right, wheeze);
    else if (silent > 1)
      add('air-entry', 'breathing', false, 4, 'Almost no air entry on either side; hardly any wheeze left to hear.');
    else {
      // Wheeze fades when strength does; the air that goes in is no more for that.
      const tight = v.bronchospasmFraction >= 0.7 ? 3 : v.bronchospasmFraction >= 0.5 ? 2 : 0;
      const entry = Math.min(Math.max(wheeze, tight, silent > 0 ? 3 : 0), 3);
      // A narrow throat lets less air in though the chest is clear: graded as by Westley's score (scores/scores-of.ts).
      const narrow = Math.max(stridor - 1, 0);
      if (narrow > 1 && narrow > entry) add('air-entry', 'breathing', false, narrow, NARROW_ENTRY[narrow]!);
      else add('air-entry', 'breathing', false, entry, ENTRY[entry]!);
      if (wheeze > 0) add('wheeze', 'breathing', wheeze > 2, wheeze, WHEEZE[wheeze]!);
    }
    wetChest(add, left, right);
    const fatigue = readSign(model, state, 'fatigue');
    if (fatigue > 1 && !given) add('fatigue', 'breathing', true, fatigue, FATIGUE[fatigue]!);
  }
  illnessFindings(add, state, small);
  const blue = readSign(model, state, 'cyanosis');
  add('colour', 'breathing', true, blue, COLOUR[blue]!);

  const poor = readSign(model, state, 'poor-perfusion');
  const refill = v.capillaryRefillS < 2 ? 'under 2 seconds' : `${Math.round(v.capillaryRefillS)} seconds`;
  add('capillary-refill', 'circulation', false, poor, `Central capillary refill ${refill}.`);
  const weak = pulseGrade(p, v.systolicMmHg, v.perfusionFraction);
  add('pulse', 'circulation', false, weak, (infant ? INFANT_PULSE : PULSE)[weak]!);
  const warm = state[X.MED]! * (1 - state[X.AD_E]!) > 0.3 && v.perfusionFraction > 0.45;
  add(
    'skin-temperature',
    'circulation',
    false,
    poor,
    warm ? 'Hands and feet warm; palms and soles flushed.' : (infant ? INFANT_LIMBS : LIMBS)[poor]!,
  );

  if (state[X.TAMPING]! > 0.25)
    add('neck-veins', 'circulation', true, state[X.TAMPING]! > 0.6 ? 4 : 3, 'Neck veins standing out.');
  const agitated = readSign(model, state, 'agitation');
  // A shocked infant goes quiet before anything that could be called drowsy.
  const quiet = infant && drowsy === 0 && poor > 1;
  add(
    'consciousness',
    'disability',
    true,
    Math.max(drowsy, quiet ? poor : agitated > 1 && drowsy === 0 ? agitated - 1 : 0),
    quiet ? QUIET_INFANT : mind(p, state, drowsy, agitated, talk > 2, apnoea === 4),
  );
  // From the same grade as the words above, so that they never disagree.
  const avpu = Math.max(drowsy - 1, 0);
  add('avpu', 'disability', true, [0, 2, 3, 4][avpu]!, AVPU[avpu]!);
  const pupils =
    state[X.OPIOID]! > 0.4
      ? 'Pupils pinpoint.'
      : state[X.SAO2]! < 0.55
        ? 'Pupils large and slow to light.'
        : 'Pupils equal and reacting.';
  add('pupils', 'disability', false, state[X.OPIOID]! > 0.4 || state[X.SAO2]! < 0.55 ? 3 : 0, pupils);

  const rash = readSign(model, state, 'rash');
  // What is there beyond what drives it now is on its way out, and is said so.
  const fading = rash > 0 && state[X.SKIN]! > skinDriven(p, state, state[X.MED]!) + PAST;
  add('rash', 'exposure', true, fading ? rash - 1 : rash, (fading ? FADING_RASH : RASH)[rash]!);
  const gut = readSign(model, state, 'gut');
  const easing = gut > 0 && state[X.GUT]! > gutDriven(p, state, state[X.MED]!) + PAST;
  const belly = easing
    ? small
      ? SMALL_FADING_GUT
      : p.age < 16
        ? CHILD_FADING_GUT
        : FADING_GUT
    : small
      ? SMALL_GUT
      : p.age < 16
        ? CHILD_GUT
        : GUT;
  if (gut > 0) add('gut', 'exposure', true, easing ? gut - 1 : gut, belly[gut]!);
  medicineFindings(add, p, state, v.meanMmHg);
  return out.sort((a, b) => LETTERS.indexOf(a.letter) - LETTERS.indexOf(b.letter));
}

function pulseGrade(p: Parameters, systolic: number, perfusion: number): number {
  const low = lowSystolic(p.age);
  if (systolic < 0.7 * low) return 4;
  if (systolic < 0.9 * low) return 3;
  if (systolic < low) return 2;
  return perfusion < 0.45 ? 2 : perfusion < 0.7 ? 1 : 0;
}

/**
 * What an infant or small child in anaphylaxis does: frets, clings, pulls at ears, pushes the tongue out, cries and will not be
 * consoled, then goes quiet and floppy (Simons FER, Sampson HA. J Allergy Clin Immunol 2015;135:1125-31; Carlisle A, Lieberman J.
 * J Asthma Allergy 2021;14:821-7; Dosanjh A. J Asthma Allergy 2013, doi 10.2147/JAA.S42694).
 */
function mind(
  p: Parameters,
  s: PatientState,
  drowsy: number,
  agitated: number,
  voiceless: boolean,
  still: boolean,
): string {
  const small = p.age < 3;
  if (drowsy > 0) return (small ? SMALL_DROWSY : DROWSY)[drowsy]!;
  if (still) return small ? 'Lies still, eyes open, does not cry.' : 'Eyes open, does not answer.';
  const reacting = s[X.MED]! > 0.05;
  if (p.age < 1 && agitated > 0) {
    if (agitated > 1 && voiceless) return 'Thrashes, hardly any cry left; nobody can console this baby.';
    if (agitated > 1) return 'Cries without stopping; nobody can console this baby.';
    if (reacting) return 'Suddenly fretful; pulls at the ears and will not be put down.';
  }
  if (agitated > 1) {
    if (!small) return 'Alert, frightened and restless.';
    const masked = s[X.DEVICE]! > 1 && s[X.DEVICE]! < 9;
    const does = masked ? ' and pushes the mask away' : voiceless ? ', eyes wide, without a cry' : ' and cries';
    return `Alert but cannot be settled; clings${does}.`;
  }
  return small ? 'Alert, watches and reaches out.' : 'Alert, answers sensibly.';
}

/** Code of the tube among the oxygen devices. */
const TUBE = 9;
const GROANS = 'Groans when squeezed; no words.';
const DEEP_BREATH = 'Soft harsh noise on a deep breath in.';
const QUIET_INFANT = 'Suddenly quiet and floppy; stares and does not protest at being handled.';

const LETTERS: readonly AbcdeId[] = ['airway', 'breathing', 'circulation', 'disability', 'exposure'];

const AVPU = ['On AVPU: alert.', 'On AVPU: responds to voice.', 'On AVPU: responds to pain.', 'On AVPU: unresponsive.'];

const VOICE = [
  'Talks normally in full sentences.',
  'Talks in sentences, pausing for breath.',
  'Talks in short phrases only.',
  'Manages single words.',
  'Cannot speak.',
];
const TODDLER_VOICE = [
  'Chats or cries normally.',
  'Talks less than usual, voice a little hoarse.',
  'A word or two between breaths; weak cry.',
  'Hardly makes a sound.',
  'Makes no sound.',
];
const INFANT_VOICE = [
  'Cries strongly.',
  'Cries, but shorter than usual.',
  'Weak, short cry; too breathless to feed.',
  'Whimpers only.',
  'Makes no sound.',
];
const STRIDOR = [
  '',
  'Soft noise on breathing in when upset.',
  'Clear harsh noise on breathing in at rest.',
  'Loud harsh noise on breathing in.',
  'Harsh noise on breathing in and out.',
];
const SWELLING = [
  '',
  'Lips and eyelids a little swollen.',
  'Lips and face swollen; voice hoarse.',
  'Tongue and lips swollen; swallowing is hard, drooling a little.',
  'Tongue fills the mouth; drooling, cannot swallow.',
];
const INFANT_SWELLING = [
  '',
  'Eyelids and lips a little swollen; drools.',
  'Lips and face swollen, pushes the tongue out; drools, cry hoarse.',
  'Tongue and lips swollen; drools all the time, cannot feed.',
  'Tongue fills the mouth; drooling, cannot swallow.',
];
const WORK = [
  'Breathing comfortably.',
  'Breathing a little faster, some effort.',
  'Uses neck muscles; ribs draw in with each breath.',
  'Sits forward, using every muscle; deep drawing-in above the collarbones.',
  'Exhausting effort, head back, whole chest heaving.',
];
const SMALL_WORK = [
  'Breathing comfortably.',
  'Nostrils flare; a little drawing-in below the ribs.',
  'Drawing-in between and below the ribs, head bobs a little.',
  'Deep drawing-in above and below the breastbone, head bobbing, grunting.',
  'Exhausting effort: breastbone sucked in, grunting with every breath.',
];
const ENTRY = [
  'Air entry equal on both sides, chest clear.',
  'Air entry equal, a little reduced at the bases.',
  'Air entry equal but reduced, breath out is long.',
  'Air entry poor on both sides.',
];
const NARROW_ENTRY = [
  '',
  '',
  'Air entry equal but reduced; the noise from the throat is heard all over, no wheeze.',
  'Air entry poor on both sides; the noise from the throat is heard all over, no wheeze.',
];
const WHEEZE = [
  '',
  'Wheeze at the end of breathing out.',
  'Wheeze all through breathing out, both sides.',
  'Loud wheeze in and out, both sides, heard without a stethoscope.',
  'Wheeze in and out with long, forced breaths out.',
];
const FATIGUE = [
  '',
  '',
  'Beginning to tire; less air with each breath.',
  'Tiring: effort coming and going, head drooping.',
  'Exhausted, shallow breaths, hardly any effort left.',
];
const COLOUR = [
  'Lips, tongue and nail beds pink.',
  'Lips and nail beds duller than usual.',
  'Lips and nail beds dusky; look at the gums and palms too.',
  'Lips, tongue and nail beds blue or grey.',
  'Lips, tongue, gums and nail beds deeply blue-grey.',
];
const PULSE = [
  'Pulse easy to feel at the wrist.',
  'Wrist pulse a little weak.',
  'Wrist pulse weak and thready.',
  'Wrist pulse hardly there, central pulse weak.',
  'Only a central pulse, and that faint.',
];
const INFANT_PULSE = [
  'Pulse easy to feel inside the upper arm.',
  'Pulse inside the upper arm a little weak.',
  'Pulse inside the upper arm weak and thready.',
  'Pulse inside the upper arm hardly there; groin pulse weak.',
  'Only a groin pulse, and that faint.',
];
const INFANT_LIMBS = [
  'Hands and feet warm.',
  'Fingers and toes cool.',
  'Hands and feet cool, skin mottled; palms and soles pale.',
  'Arms and legs cold, skin mottled all over; palms and soles pale or grey.',
  'Cold and mottled; inside of the lips, palms and soles grey.',
];
const LIMBS = [
  'Hands and feet warm.',
  'Fingers and toes cool.',
  'Hands and feet cool, palms pale.',
  'Cold to the elbows and knees; palms and soles pale or grey.',
  'Cold and mottled; inside of the lips, palms and soles grey.',
];
const DROWSY = [
  '',
  'A little slow to answer.',
  'Drowsy, opens eyes to voice.',
  'Opens eyes only to a firm squeeze.',
  'Unresponsive.',
];
const SMALL_DROWSY = [
  '',
  'Quieter than usual, less interested.',
  'Drowsy, floppy, stirs to voice.',
  'Stirs only to a firm squeeze, floppy.',
  'Unresponsive, limp.',
];
const RASH = [
  'No rash on the trunk, limbs, palms or behind the ears.',
  'A few raised itchy weals; scratching.',
  'Raised itchy weals over trunk and limbs, warm to touch.',
  'Widespread raised weals, palms and soles hot and itching.',
  'Weals joined all over, skin hot, raised and swollen.',
];
/** How far a sign stands above what drives it before it counts as fading (chosen here). */
const PAST = 0.04;
const FADING_RASH = [
  '',
  'A few marks left where the weals were, hardly itching.',
  'Weals fading and flatter; still itches a little.',
  'Weals flatter over the trunk, palms and soles cooler; itching eases.',
  'Weals still joined in places, but flatter and cooler.',
];
const FADING_GUT = [
  '',
  'A little sick still; no more cramps.',
  'Cramps easing; the retching has stopped.',
  'Vomiting less often; belly still sore.',
  'Vomiting less often; belly still painful in waves.',
];
const CHILD_FADING_GUT = [
  '',
  'A little sick still; no more tummy cramps.',
  'Tummy cramps easing; the retching has stopped.',
  'Vomiting less often; tummy still sore.',
  'Vomiting less often; tummy still painful in waves.',
];
const SMALL_FADING_GUT = [
  '',
  'Takes a sip; a little off feeds still.',
  'Retches less, settles in between.',
  'Vomits less often; tummy softer.',
  'Fewer loose stools, vomits less often.',
];
const GUT = [
  '',
  'Feels sick.',
  'Cramping pain in the belly, retching.',
  'Vomits repeatedly, severe pain in the belly.',
  'Vomiting and diarrhoea, doubled up with pain.',
];
const CHILD_GUT = [
  '',
  'Feels sick.',
  'Cramping tummy pain, retching.',
  'Vomits repeatedly, bad tummy pain.',
  'Vomiting and diarrhoea, doubled up with pain.',
];
const SMALL_GUT = [
  '',
  'Off feeds, retches.',
  'Vomits, draws up the knees.',
  'Vomits again and again, tummy tense.',
  'Vomiting and loose stools, limp between spasms.',
];
