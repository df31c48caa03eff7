/**
 * What one step does when one thing is changed: which way each quantity moves, and why. Directions only, from textbook
 * physiology and pharmacology unless a row names more; sizes are the business of the other laws. Each row compares two copies
 * of one patient, alike but for the change, after a single step.
 */
import { holds, inside, type InnerApi, type Law } from './checks.ts';
import { begin, dose, drive, hands, oxygen } from './behaviours.ts';
import type { PatientInput, PatientProfile } from '../../packages/patient/src/index.ts';

const ADULT: PatientProfile = { ageYears: 30, weightKg: 70, sex: 'male' };
const CHILD: PatientProfile = { ageYears: 5, weightKg: 18, sex: 'female' };
const STUNG: PatientProfile = { ...ADULT, illness: [{ disease: 'anaphylaxis', pattern: 'venom', severity: 0.01 }] };
export const RETAINER: PatientProfile = { ageYears: 68, weightKg: 70, sex: 'male', illness: [{ disease: 'copd', pattern: 'retainer', startedMinutesAgo: 30 }] }; // prettier-ignore

/** A slot by name set to a value, a medicine's level (standard doses), a mechanism's size, or something done. */
export type Change =
  | PatientInput
  | { readonly slot: string; readonly to: number }
  | { readonly level: string; readonly to: number; readonly part?: number }
  | { readonly mechanism: string; readonly to: number };
export const S = (slot: string, to: number): Change => ({ slot, to });
export const L = (level: string, to: number, part = 3): Change => ({ level, to, part });
export const M = (mechanism: string, to: number): Change => ({ mechanism, to });

/** Patient, what holds in both copies, what is changed in one, what then moves, which way, and why. */
export type Row = readonly [who: PatientProfile, given: readonly Change[], more: readonly Change[], watch: string, way: 'up' | 'down', why: string]; // prettier-ignore

export function after(api: InnerApi, who: PatientProfile, changes: readonly Change[], dtMs = 100): Float64Array {
  const [model, s] = begin(api, who);
  const slots = api.SLOTS as unknown as Record<string, number>;
  for (const one of changes) {
    if ('slot' in one) s[slots[one.slot]!] = one.to;
    else if ('level' in one) {
      const spec = api.EFFECTS[one.level as keyof typeof api.EFFECTS] as { level?: { slot: number } };
      s[slots['LEVEL_BASE']! + slots['LEVEL_STRIDE']! * spec.level!.slot + one.part!] = one.to;
    } else if ('mechanism' in one)
      s[slots['MECH_BASE']! + (api.mechanisms.MECHANISMS as readonly string[]).indexOf(one.mechanism)] = one.to;
    else api.applyInput(model, s, one);
  }
  api.stepPatient(model, s, dtMs);
  return s;
}

const BLUE = S('PA_O2', 42);
const ICY = S('PA_O2', 12);
const LOW = S('BV', 3.2);
const NIV = oxygen('niv', undefined, 0.4);
const bag = hands('breaths-given', 12);

const BREATHING: readonly Row[] = [
  [ADULT, [], [S('PA_CO2', 46)], 'DEMAND', 'up', 'CO2 drives breathing'],
  [ADULT, [], [S('PA_CO2', 34)], 'DEMAND', 'down', 'and its lack slows it'],
  [ADULT, [], [BLUE], 'DEMAND', 'up', 'want of oxygen drives breathing'],
  [ADULT, [BLUE], [S('PA_O2', 36)], 'DEMAND', 'up', 'more want, more drive'],
  [RETAINER, [], [S('UNMATCHED', 1)], 'DEMAND', 'down', 'rich oxygen takes hypoxic drive from a retainer'],
  [ADULT, [], [S('LACTATE', 6)], 'DEMAND', 'up', 'acid drives breathing'],
  [ADULT, [S('LACTATE', 6)], [S('LACTATE', 9)], 'DEMAND', 'up', 'more acid, more drive'],
  [ADULT, [], [S('LACTATE', 6)], 'PH', 'down', 'lactic acid'],
  [ADULT, [], [S('LACTATE', 6)], 'HCO3', 'down', 'lactic acid takes bicarbonate'],
  [ADULT, [], [S('PA_CO2', 60)], 'HCO3', 'up', 'acute buffering'],
  [ADULT, [], [S('MED', 0.5)], 'DEMAND', 'up', 'alarm'],
  [ADULT, [], [S('B', 0.5)], 'DEMAND', 'up', 'alarm'],
  [ADULT, [], [M('urge', 0.5)], 'DEMAND', 'up', 'pain and stretch'],
  [ADULT, [], [drive('agitation', 1)], 'DEMAND', 'up', 'distress'],
  [ADULT, [], [S('TEMP', 39)], 'DEMAND', 'up', 'fever'],
  [ADULT, [], [S('TEMP', 35)], 'DEMAND', 'down', 'cold'],
  [ADULT, [], [drive('opioid', 0.5)], 'DEMAND', 'down', 'opioid'],
  [ADULT, [], [L('morphine', 4)], 'DEMAND', 'down', 'opioid'],
  [ADULT, [], [M('opioid', 0.5)], 'DEMAND', 'down', 'opioid'],
  [ADULT, [drive('opioid', 0.5)], [L('morphine', 4)], 'OPIOID', 'up', 'two opioids add'],
  [ADULT, [L('morphine', 2)], [M('opioid', 0.5)], 'OPIOID', 'up', 'two opioids add'],
  [ADULT, [L('morphine', 2)], [L('morphine', 4)], 'OPIOID', 'up', 'dose'],
  [ADULT, [drive('opioid', 0.8)], [L('naloxone', 0.5)], 'OPIOID', 'down', 'antagonist'],
  [ADULT, [drive('opioid', 0.8), L('naloxone', 0.5)], [L('naloxone', 1)], 'OPIOID', 'down', 'dose'],
  [ADULT, [drive('opioid', 0.8)], [hands('rouse')], 'OPIOID', 'down', 'rousing'],
  [ADULT, [], [S('MAP', 30)], 'CNS', 'down', 'a brain stem without flow'],
  [ADULT, [], [S('PA_CO2', 135)], 'CNS', 'down', 'CO2 narcosis'],
  [ADULT, [S('PA_CO2', 110)], [S('PA_CO2', 140)], 'CNS', 'down', 'more CO2, more narcosis'],
  [ADULT, [], [S('PA_O2', 22), S('CV_O2', 5)], 'CNS', 'down', 'a brain stem without oxygen'],
  [ADULT, [S('PA_O2', 8), S('CV_O2', 1)], [drive('airway-block', 1)], 'CNS', 'up', 'gasps of one shut off from air'],
  [ADULT, [S('PA_O2', 8), S('CV_O2', 1), S('STORE_USED_MIN', 1)], [S('STORE_USED_MIN', 2)], 'CNS', 'down', 'gasps end'],
  [ADULT, [], [drive('apnoea-drive', 0.5)], 'CNS', 'down', 'no drive'],
  [ADULT, [], [S('PAUSE', 0.5)], 'CNS', 'down', 'a pause'],
  [ADULT, [], [S('ASLEEP', 0.5)], 'CNS', 'down', 'anaesthesia'],
  [ADULT, [], [S('B', 0.5)], 'R_LOWER', 'up', 'narrow small airways'],
  [ADULT, [], [S('U', 0.5)], 'R_UPPER', 'up', 'swelling'],
  [ADULT, [S('U', 0.5)], [drive('agitation', 1)], 'R_UPPER', 'up', 'crying: turbulent flow'],
  [ADULT, [S('U', 0.5), drive('agitation', 1)], [S('U', 0.7)], 'R_UPPER', 'up', 'swelling'],
  [ADULT, [], [drive('airway-block', 0.5)], 'R_UPPER', 'up', 'block'],
  [ADULT, [], [S('AWAKE', 0.1)], 'R_UPPER', 'up', 'the tongue falls back'],
  [ADULT, [S('AWAKE', 0.3)], [S('AWAKE', 0.1)], 'R_UPPER', 'up', 'the tongue falls back'],
  [ADULT, [S('AWAKE', 0.1)], [hands('airway-held-open')], 'R_UPPER', 'down', 'chin lifted'],
  [
    ADULT,
    [BLUE, S('PA_O2', 15), S('CV_O2', 2)],
    [drive('airway-block', 1)],
    'STORE_USED_MIN',
    'up',
    'shut off: lives on its own store',
  ],
  [ADULT, [S('STORE_USED_MIN', 2)], [S('PA_O2', 15), S('CV_O2', 2)], 'STORE_USED_MIN', 'up', 'only oxygen fills it'],
  [ADULT, [], [NIV], 'MVV', 'up', 'a machine does part of the work'],
  [ADULT, [], [oxygen('cpap', undefined, 0.4)], 'MVV', 'up', 'pressure at the mask'],
  [ADULT, [], [L('magnesium', 6)], 'MVV', 'down', 'weak muscles'],
  [ADULT, [L('magnesium', 5)], [L('magnesium', 7)], 'MVV', 'down', 'weak muscles'],
  [ADULT, [], [drive('paralysis', 0.5)], 'MVV', 'down', 'weak muscles'],
  [ADULT, [], [S('RELAXED', 0.5)], 'MVV', 'down', 'weak muscles'],
  [ADULT, [], [M('stiffness', 1)], 'MVV', 'down', 'stiff lungs'],
  [ADULT, [], [S('FATIGUE', 0.5)], 'MVV', 'down', 'tired muscles'],
  [ADULT, [], [S('B', 0.5)], 'MVV', 'down', 'resistance'],
  [ADULT, [], [S('U', 0.5)], 'MVV', 'down', 'resistance'],
  [ADULT, [S('B', 0.5)], [S('ASLEEP', 0.5)], 'LOAD', 'down', 'nobody asleep struggles'],
  [
    ADULT,
    [NIV, S('PA_CO2', 44)],
    [S('PA_CO2', 50)],
    'RR',
    'down',
    'whoever set the machine up sees the CO2 and deepens each breath',
  ],
  [ADULT, [bag], [S('B', 0.8)], 'ASSIST', 'down', 'tight airways take a pushed breath'],
  [ADULT, [bag], [S('U', 0.8)], 'ASSIST', 'down', 'a swollen airway'],
  [ADULT, [bag], [M('stiffness', 2)], 'ASSIST', 'down', 'stiff lungs'],
  [ADULT, [], [S('PA_CO2', 60)], 'VE', 'up', 'ventilation follows demand'],
  [ADULT, [], [S('VE', 12)], 'VE', 'up', 'and does not jump'],
  [ADULT, [], [S('VE', 12)], 'VA', 'up', 'alveolar part'],
  [ADULT, [S('FATIGUE', 0.3)], [drive('paralysis', 0.9)], 'FATIGUE', 'up', 'load tires'],
  [
    ADULT,
    [S('FATIGUE', 0.3), drive('paralysis', 0.9)],
    [hands('breaths-given', 20), oxygen('tube')],
    'FATIGUE',
    'down',
    'a machine rests',
  ],
  [ADULT, [], [S('B', 0.5)], 'VD_VT', 'up', 'dead space of tight airways'],
  [ADULT, [], [drive('dead-space', 0.2)], 'VD_VT', 'up', 'dead space'],
  [ADULT, [], [M('deadSpace', 0.2)], 'VD_VT', 'up', 'dead space'],
  [ADULT, [], [oxygen('high-flow-nasal', 40, 0.21)], 'VD_VT', 'down', 'wash-out of the nose'],
  [ADULT, [], [drive('dead-space', 0.2)], 'VA', 'down', 'dead space'],
  [ADULT, [], [M('stiffness', 1)], 'RR', 'up', 'small breaths of stiff lungs'],
  [ADULT, [], [S('B', 0.6)], 'RR', 'up', 'trapped'],
  [ADULT, [], [S('FATIGUE', 0.5)], 'RR', 'up', 'rapid shallow breathing of the tired'],
];

const CIRCULATION: readonly Row[] = [
  [ADULT, [], [S('MED', 0.8)], 'BV', 'down', 'leak'],
  [ADULT, [], [S('MED', 0.8)], 'LEAKED', 'up', 'leak'],
  [ADULT, [S('MED', 0.8)], [S('AD_E', 0.8)], 'LEAKED', 'down', 'adrenaline seals'],
  [ADULT, [S('MED', 0.8), S('LEAKED', 0.2)], [S('AD_E', 0.8)], 'LEAKED', 'down', 'adrenaline seals'],
  [ADULT, [], [S('LEAKED', 0.5)], 'BV', 'up', 'what leaked comes back'],
  [ADULT, [S('VI', 0)], [S('VI', 0.8)], 'BV', 'down', 'crystalloid leaves'],
  [ADULT, [], [drive('bleeding', 5)], 'BV', 'down', 'bleeding'],
  [ADULT, [], [M('vasoplegia', 0.6)], 'BV', 'down', 'seeping of sepsis'],
  [ADULT, [M('vasoplegia', 0.6)], [S('LEAKED', 1.2)], 'BV', 'up', 'full tissues take no more'],
  [ADULT, [], [S('MED', 0.8)], 'PRELOAD', 'down', 'veins give way'],
  [ADULT, [S('MED', 0.8)], [S('AD_E', 0.8)], 'PRELOAD', 'up', 'adrenaline tightens veins'],
  [ADULT, [], [S('AD_E', 0.8)], 'PRELOAD', 'up', 'adrenaline tightens veins'],
  [ADULT, [], [drive('vasoplegia', 0.5)], 'PRELOAD', 'down', 'slack veins'],
  [ADULT, [], [M('vasoplegia', 0.5)], 'PRELOAD', 'down', 'slack veins'],
  [ADULT, [], [S('SYMP', 0.5)], 'PRELOAD', 'up', 'reflex tightens veins'],
  [ADULT, [], [S('POSTURE', 0.1)], 'PRELOAD', 'down', 'blood pools in the legs'],
  [ADULT, [], [S('DRUG_VEINS', 0.1)], 'PRELOAD', 'down', 'nitrate'],
  [ADULT, [], [S('BV', 4.6)], 'PRELOAD', 'down', 'less blood'],
  [ADULT, [], [S('TAMPING', 0.5)], 'PRELOAD', 'down', 'air under tension'],
  [ADULT, [bag], [S('TRAPPED', 8)], 'PRELOAD', 'down', 'trapped air'],
  [ADULT, [S('BV', 4.4)], [S('SYMP', 0.5)], 'SV', 'up', 'reflex'],
  [ADULT, [], [S('AD_E', 0.8)], 'SV', 'up', 'beta effect'],
  [ADULT, [], [L('glucagon', 1)], 'SV', 'up', 'glucagon'],
  [ADULT, [S('AD_E', 0.8)], [drive('beta-blockade', 1)], 'SV', 'down', 'blocked'],
  [ADULT, [S('AD_E', 0.8), drive('beta-blockade', 1)], [L('glucagon', 1)], 'HR', 'up', 'glucagon by another door'],
  [ADULT, [], [S('MED', 0.8)], 'SV', 'down', 'depression by mediators'],
  [ADULT, [], [drive('heart-weakness', 0.4)], 'SV', 'down', 'weak heart'],
  [ADULT, [], [M('weakness', 0.4)], 'SV', 'down', 'weak heart'],
  [ADULT, [], [S('DEBT', 0.4)], 'SV', 'down', 'oxygen debt'],
  [ADULT, [], [S('STUNNED', 0.4)], 'SV', 'down', 'stunned after arrest'],
  [ADULT, [], [S('RESTRAINT', 0.8)], 'SV', 'down', 'reflex against high pressure'],
  [ADULT, [S('RESTRAINT', 0.8)], [S('AD_EX', 0.8)], 'SV', 'up', 'which an overdose overrides'],
  [ADULT, [], [S('RHYTHM', 4)], 'SV', 'down', 'no time to fill'],
  [ADULT, [], [S('MED', 0.8)], 'SVR', 'down', 'vessels widen'],
  [ADULT, [S('MED', 0.8)], [S('AD_E', 0.8)], 'SVR', 'up', 'adrenaline'],
  [ADULT, [], [S('AD_E', 0.8)], 'SVR', 'up', 'alpha effect'],
  [ADULT, [], [S('AD_EX', 0.5)], 'SVR', 'up', 'overdose'],
  [ADULT, [], [S('SYMP', 0.5)], 'SVR', 'up', 'reflex'],
  [ADULT, [], [drive('vasoplegia', 0.5)], 'SVR', 'down', 'slack arteries'],
  [ADULT, [drive('vasoplegia', 0.9)], [S('AD_E', 0.8)], 'SVR', 'up', 'adrenaline'],
  [ADULT, [], [L('magnesium', 1)], 'SVR', 'down', 'magnesium'],
  [ADULT, [], [L('magnesium', 2, 2)], 'SVR', 'down', 'magnesium pushed in'],
  [ADULT, [L('magnesium', 1, 2)], [L('magnesium', 3, 2)], 'SVR', 'down', 'faster, more'],
  [ADULT, [], [S('RESTRAINT', 0.8)], 'SVR', 'down', 'reflex against high pressure'],
  [ADULT, [], [S('DRUG_ARTERIES', 0.4)], 'SVR', 'down', 'nitrate'],
  [ADULT, [], [M('urge', 0.8)], 'SVR', 'down', 'working muscle'],
  [ADULT, [], [M('agitation', 0.8)], 'SVR', 'down', 'working muscle'],
  [ADULT, [], [S('TEMP', 39.5)], 'SVR', 'down', 'hot skin'],
  [ADULT, [], [S('SVR', 25)], 'SVR', 'up', 'resistance does not jump'],
  [ADULT, [], [S('SYMP', 0.5)], 'HR', 'up', 'reflex'],
  [ADULT, [], [S('AD_E', 0.8)], 'HR', 'up', 'beta effect'],
  [ADULT, [S('AD_E', 0.8)], [drive('beta-blockade', 1)], 'HR', 'down', 'blocked'],
  [ADULT, [S('SYMP', 0.8)], [drive('beta-blockade', 1)], 'HR', 'down', 'blocked'],
  [ADULT, [], [S('MED', 0.8)], 'HR', 'up', 'histamine'],
  [ADULT, [], [drive('paralysis', 0.9)], 'HR', 'up', 'struggle for breath'],
  [ADULT, [], [BLUE], 'HR', 'up', 'want of oxygen quickens'],
  [ADULT, [], [ICY, S('CV_O2', 1.5)], 'HR', 'down', 'and slows at last'],
  [ADULT, [], [S('PA_CO2', 65)], 'HR', 'up', 'CO2'],
  [ADULT, [], [S('E_SALB', 0.5)], 'HR', 'up', 'salbutamol'],
  [ADULT, [], [L('aminophylline', 1)], 'HR', 'up', 'theophylline'],
  [ADULT, [], [S('TEMP', 39)], 'HR', 'up', 'fever'],
  [ADULT, [], [L('glucagon', 1)], 'HR', 'up', 'glucagon'],
  [ADULT, [], [M('urge', 0.5)], 'HR', 'up', 'pain'],
  [ADULT, [], [M('agitation', 0.5)], 'HR', 'up', 'fear'],
  [ADULT, [], [S('DEBT', 0.4)], 'HR', 'down', 'a heart in debt'],
  [ADULT, [], [S('RESTRAINT', 0.8)], 'HR', 'down', 'baroreflex'],
  [ADULT, [S('RESTRAINT', 0.8)], [S('AD_EX', 0.6)], 'HR', 'up', 'overdose'],
  [ADULT, [], [S('AD_EX', 0.6)], 'HR', 'up', 'overdose'],
  [ADULT, [], [S('RHYTHM', 4)], 'HR', 'up', 'ventricular tachycardia'],
  [
    STUNG,
    [],
    [S('MAP', 40)],
    'HR',
    'down',
    'relative bradycardia of insect sting (Brown SGA. Emerg Med Australas 2004, from memory)',
  ],
  [ADULT, [], [S('HR', 110)], 'HR', 'up', 'rate does not jump'],
  [ADULT, [], [S('HR', 90)], 'MAP', 'up', 'rate times stroke'],
  [ADULT, [], [S('SVR', 25)], 'MAP', 'up', 'flow times resistance'],
  [ADULT, [], [S('BV', 6)], 'MAP', 'up', 'filling'],
  [ADULT, [], [LOW], 'SYMP', 'up', 'baroreflex'],
  [ADULT, [LOW], [S('DRUG_REFLEX', 0.6)], 'SYMP', 'down', 'anaesthesia'],
  [ADULT, [], [S('SYMP', 0.5)], 'SYMP', 'up', 'reflex fades slowly'],
  [ADULT, [S('SYMP', 1)], [S('ARREST', 1), S('RHYTHM', 7), hands('cpr', 110)], 'SYMP', 'up', 'low pressure'],
  [ADULT, [], [S('SVR', 30)], 'RESTRAINT', 'up', 'high pressure is answered'],
  [ADULT, [], [S('RESTRAINT', 0.6)], 'RESTRAINT', 'up', 'and let go slowly'],
  [ADULT, [], [S('PA_O2', 10), S('CV_O2', 1)], 'DEBT', 'up', 'want of oxygen'],
  [ADULT, [], [S('BV', 2.6)], 'DEBT', 'up', 'want of flow'],
  [ADULT, [S('PA_O2', 10), S('CV_O2', 1)], [drive('airway-block', 1)], 'DEBT', 'down', 'the heart’s own store'],
  [ADULT, [S('SYMP', 0.8)], [S('MED', 0.7), S('BV', 6)], 'REFILL', 'down', 'warm skin of the reaction'],
  [ADULT, [S('SYMP', 0.8), S('MED', 0.7), S('BV', 6)], [S('AD_E', 0.8)], 'REFILL', 'up', 'adrenaline cools it'],
  [ADULT, [S('SYMP', 0.8), S('MED', 0.7), S('BV', 6)], [S('BV', 4.4)], 'REFILL', 'up', 'an empty circulation cools it'],
  [ADULT, [], [S('SYMP', 0.5)], 'REFILL', 'up', 'skin shuts down'],
  [ADULT, [S('SYMP', 1)], [S('BV', 3)], 'REFILL', 'up', 'no pressure'],
  [ADULT, [], [S('SYMP', 0.5)], 'PERFUSION', 'down', 'skin shuts down'],
  [ADULT, [S('SYMP', 0.8)], [S('MED', 0.7), S('BV', 6), S('SVR', 16)], 'PERFUSION', 'up', 'warm skin'],
  [ADULT, [], [S('AD_EX', 0.6), S('RESTRAINT', 0)], 'PERFUSION', 'down', 'overdose blanches'],
];

const ASTHMATIC: PatientProfile = { ...CHILD, illness: [{ disease: 'asthma', startedMinutesAgo: 30 }] };
const TRIGGERED: PatientProfile = {
  ...CHILD,
  illness: [{ disease: 'anaphylaxis', pattern: 'food', startedMinutesAgo: 2 }],
};
const CROUPY: PatientProfile = {
  ageYears: 2,
  weightKg: 12,
  sex: 'male',
  illness: [{ disease: 'croup', startedMinutesAgo: 30 }],
};
const MORE: readonly Row[] = [
  [ASTHMATIC, [S('STEROID_MIN', 240), S('STEROID', 0.5)], [S('STEROID', 1)], 'ACT_BASE', 'down', 'more steroid'],
  [ASTHMATIC, [S('STEROID_MIN', 240)], [S('STEROID', 1)], 'ACT_BASE', 'down', 'steroid after hours'],
  [
    ASTHMATIC,
    [S('STEROID', 1), S('STEROID_MIN', 180)],
    [S('STEROID_MIN', 240)],
    'ACT_BASE',
    'down',
    'more as time passes',
  ],
  [TRIGGERED, [S('STEROID_MIN', 240)], [S('STEROID', 1)], 'RELEASE', 'down', 'steroid after hours'],
  [CROUPY, [S('STEROID_MIN', 60), S('STEROID', 0.5)], [S('STEROID', 1)], 'U', 'down', 'more steroid'],
  [CROUPY, [S('STEROID', 1), S('STEROID_MIN', 40)], [S('STEROID_MIN', 90)], 'U', 'down', 'more as time passes'],
  [ADULT, [L('furosemide', 0.3)], [L('furosemide', 1)], 'DRUG_VEINS', 'up', 'dose'],
  [ADULT, [L('furosemide', 0.3)], [L('furosemide', 1)], 'LUNG_RELIEF', 'up', 'dose'],
  [ADULT, [L('furosemide', 0.6)], [L('furosemide', 1.2)], 'URINE', 'up', 'dose'],
  [ADULT, [L('glyceryl-trinitrate', 0.9)], [L('glyceryl-trinitrate', 1.5)], 'DRUG_VEINS', 'up', 'dose'],
  [ADULT, [L('glyceryl-trinitrate', 0.9)], [L('glyceryl-trinitrate', 1.5)], 'DRUG_ARTERIES', 'up', 'dose'],
  [ADULT, [], [L('glyceryl-trinitrate', 1)], 'LUNG_RELIEF', 'up', 'nitrate'],
  [ADULT, [S('SLACK', 1)], [S('SLACK', 2)], 'DRUG_ARTERIES', 'up', 'dose'],
  [ADULT, [], [S('SLACK', 1)], 'DRUG_VEINS', 'up', 'vessels widen'],
  [ADULT, [], [S('SLACK', 1)], 'DRUG_REFLEX', 'up', 'the reflex goes'],
  [ADULT, [L('ketamine', 0.4)], [L('ketamine', 0.8)], 'ASLEEP', 'up', 'dose'],
  [ADULT, [], [L('ketamine', 0.8)], 'DRUG_REFLEX', 'up', 'anaesthesia'],
  [ADULT, [], [L('ketamine', 0.8)], 'DRUG_VEINS', 'up', 'anaesthesia'],
  [ADULT, [L('rocuronium', 0.3)], [L('rocuronium', 0.6)], 'RELAXED', 'up', 'dose'],
  [ADULT, [L('aminophylline', 0.7)], [L('aminophylline', 1.4)], 'HR', 'up', 'dose'],
  [ADULT, [L('glucagon', 0.7)], [L('glucagon', 1.4)], 'HR', 'up', 'dose'],
  [ADULT, [L('glucagon', 0.7)], [L('glucagon', 1.4)], 'SV', 'up', 'dose'],
  [ADULT, [L('glucagon', 0.7)], [L('glucagon', 1.4)], 'GLUCOSE', 'up', 'dose'],
  [ADULT, [L('magnesium', 0.7)], [L('magnesium', 1.4)], 'SVR', 'down', 'dose'],
  [ADULT, [S('B', 0.5), drive('bronchospasm', 0.6), L('magnesium', 0.7)], [L('magnesium', 1.4)], 'B', 'down', 'dose'],
  [
    ADULT,
    [S('B', 0.5), drive('bronchospasm', 0.6), L('ipratropium', 0.7)],
    [L('ipratropium', 1.4)],
    'B',
    'down',
    'dose',
  ],
  [
    ADULT,
    [S('B', 0.5), drive('bronchospasm', 0.6), L('aminophylline', 0.7)],
    [L('aminophylline', 1.4)],
    'B',
    'down',
    'dose',
  ],
  [ADULT, [S('B', 0.5), drive('bronchospasm', 0.6)], [S('E_SALB', 0.5)], 'B', 'down', 'salbutamol'],
  [ADULT, [S('B', 0.5), drive('bronchospasm', 0.6)], [S('AD_E', 0.5)], 'B', 'down', 'adrenaline'],
  [ADULT, [S('B', 0.5), drive('bronchospasm', 0.6), S('AD_E', 0.5)], [drive('beta-blockade', 1)], 'B', 'up', 'blocked'],
  [ADULT, [S('B', 0.5), drive('bronchospasm', 0.4)], [drive('bronchospasm', 0.6)], 'B', 'up', 'tighter'],
  [
    ADULT,
    [S('B', 0.3), M('plugging', 0.5), L('magnesium', 1)],
    [L('magnesium', 3)],
    'B',
    'down',
    'plugs answer a little',
  ],
  [ADULT, [S('B', 0.1)], [M('plugging', 0.5)], 'B', 'up', 'plugs'],
  [ADULT, [S('B', 0.1)], [M('spasm', 0.5)], 'B', 'up', 'spasm'],
  [ADULT, [S('B', 0.1)], [S('MED', 0.5)], 'B', 'up', 'mediators'],
  [ADULT, [S('U', 0.1)], [S('MED', 0.5)], 'U', 'up', 'mediators'],
  [ADULT, [S('U', 0.1)], [M('swelling', 0.5)], 'U', 'up', 'swelling'],
  [ADULT, [S('U', 0.3), M('swelling', 0.5), S('AD_NEB', 0.6)], [S('AD_NEB', 1.2)], 'U', 'down', 'dose on the throat'],
  [ADULT, [S('U', 0.3), M('swelling', 0.5)], [S('AD_E', 0.6)], 'U', 'down', 'adrenaline'],
  [ADULT, [S('SKIN', 0.3), S('MED', 0.6)], [S('AD_E', 0.6)], 'SKIN', 'down', 'adrenaline'],
  [ADULT, [S('SKIN', 0.3), S('MED', 0.6), L('antihistamine', 0.6)], [L('antihistamine', 1.2)], 'SKIN', 'down', 'dose'],
  [ADULT, [S('SKIN', 0.3)], [S('MED', 0.6)], 'SKIN', 'up', 'mediators'],
  [ADULT, [S('GUT', 0.3)], [S('MED', 0.6)], 'GUT', 'up', 'mediators'],
  [TRIGGERED, [S('MED', 0.3)], [S('AD_ER', 0.6)], 'MED', 'down', 'adrenaline stops release'],
  [TRIGGERED, [S('MED', 0.3)], [S('MED', 0.5)], 'MED', 'up', 'a reaction feeds itself'],
  [ADULT, [L('salbutamol', 0.3)], [L('salbutamol', 0.6)], 'E_SALB', 'up', 'dose'],
  [TRIGGERED, [S('MED', 0)], [S('AD_ER', 0.6)], 'MED', 'down', 'adrenaline stops release'],
];

const REST: readonly Row[] = [
  [RETAINER, [], [S('PA_CO2', 165)], 'AWAKE', 'down', 'CO2 far above what a retainer is used to'],
  [ADULT, [], [ICY, S('CV_O2', 3)], 'AWAKE', 'down', 'want of oxygen'],
  [ADULT, [], [S('BV', 2.6)], 'AWAKE', 'down', 'want of flow'],
  [ADULT, [], [S('PA_CO2', 90)], 'AWAKE', 'down', 'CO2'],
  [ADULT, [S('PA_CO2', 80)], [S('PA_CO2', 95)], 'AWAKE', 'down', 'more CO2'],
  [ADULT, [], [S('GLUCOSE', 1.6)], 'AWAKE', 'down', 'low sugar'],
  [ADULT, [], [drive('paralysis', 0.5)], 'AWAKE', 'down', 'anaesthetised for a tube'],
  [ADULT, [], [drive('opioid', 0.7)], 'AWAKE', 'down', 'opioid'],
  [ADULT, [], [S('FATIGUE', 0.8)], 'AWAKE', 'down', 'exhaustion'],
  [ADULT, [], [S('ASLEEP', 0.5)], 'AWAKE', 'down', 'anaesthesia'],
  [ADULT, [], [S('STUNNED', 0.5)], 'AWAKE', 'down', 'after arrest'],
  [ADULT, [], [drive('fever', 2)], 'TEMP', 'up', 'fever'],
  [ADULT, [], [M('fever', 2)], 'TEMP', 'up', 'fever'],
  [ADULT, [], [drive('glucose', 5)], 'GLUCOSE', 'up', 'sugar'],
  [ADULT, [], [S('AD_CE', 5)], 'GLUCOSE', 'up', 'adrenaline'],
  [ADULT, [], [L('glucagon', 1)], 'GLUCOSE', 'up', 'glucagon'],
  [ADULT, [], [S('BV', 2.6)], 'LACTATE', 'up', 'low pressure'],
  [ADULT, [S('MAP', 40)], [S('DO2', 300), S('CO', 1.5)], 'LACTATE', 'up', 'tissues that take most of what comes'],
  [ADULT, [], [M('vasoplegia', 0.6)], 'LACTATE', 'up', 'sepsis'],
  [ADULT, [], [drive('paralysis', 0.95)], 'LACTATE', 'up', 'working muscles of breathing'],
  [ADULT, [], [S('AD_CE', 5)], 'LACTATE', 'up', 'adrenaline'],
  [ADULT, [], [S('AD_CX', 30)], 'LACTATE', 'up', 'overdose'],
  [ADULT, [], [L('salbutamol', 1)], 'LACTATE', 'up', 'salbutamol'],
  [ADULT, [], [S('CO', 0.1), S('CV_O2', 1), S('PA_O2', 20)], 'LACTATE', 'up', 'no oxygen'],
  [ADULT, [], [drive('shunt', 0.3)], 'SHUNT', 'up', 'shunt'],
  [ADULT, [drive('shunt', 0.3)], [oxygen('cpap', undefined, 0.21)], 'SHUNT', 'down', 'pressure opens lung'],
  [
    ADULT,
    [drive('shunt', 0.3), oxygen('cpap', undefined, 0.21)],
    [hands('machine-pressure', 10)],
    'SHUNT',
    'down',
    'more pressure opens more',
  ],
  [ADULT, [drive('shunt', 0.3)], [oxygen('high-flow-nasal', 40, 0.21)], 'SHUNT', 'down', 'high flow opens a little'],
  [ADULT, [], [S('B', 0.6)], 'SHUNT', 'up', 'plugged lung'],
  [ADULT, [], [S('B', 0.6)], 'LOW_VQ', 'up', 'poorly ventilated lung'],
  [ADULT, [], [M('lowVq', 0.2)], 'LOW_VQ', 'up', 'poorly ventilated lung'],
  [ADULT, [S('B', 0.9)], [M('lowVq', 0.8), drive('shunt', 0.5)], 'LOW_VQ', 'down', 'a share of what is left'],
  [CHILD, [], [drive('shunt', 0.3)], 'SAO2', 'down', 'shunt'],
  [ADULT, [], [S('TEMP', 39)], 'VO2', 'up', 'fever burns'],
  [ADULT, [], [S('TEMP', 35)], 'VO2', 'down', 'cold saves'],
  [ADULT, [], [S('AD_C', 3)], 'AD_CE', 'up', 'plasma to effect site'],
  [ADULT, [], [S('AD_CE', 3)], 'AD_E', 'up', 'effect'],
  [ADULT, [S('AD_CE', 3)], [S('MEDIATORS_DRIVEN', 1), drive('mediators', 0.8)], 'AD_E', 'down', 'opposed'],
  [ADULT, [S('AD_CE', 3)], [S('MEDIATORS_DRIVEN', 1), drive('mediators', 0.8)], 'AD_ER', 'down', 'opposed'],
  [ADULT, [dose('adrenaline', 'im', 500)], [S('CO', 1)], 'AD_C', 'down', 'a shocked muscle gives up less'],
];

/** Things that a step brings nearer to what they follow, without passing it. */
const FOLLOWS = [
  ['LAG_SAO2', 'SAO2'],
  ['LAG_MAP', 'MAP'],
  ['LAG_HR', 'HR'],
  ['LAG_CO2', 'PA_CO2'],
  ['LAG_VE', 'VE'],
  ['LAG_E', 'AD_E'],
  ['LAG_B', 'B'],
  ['LAG_MED', 'MED'],
] as const;

/** Quantities that go home when nothing holds them away: from above and from below. */
const HOME: readonly (readonly [slot: string, above: number, below: number | null])[] = [
  ['TEMP', 39, 35],
  ['GLUCOSE', 9, 3],
  ['LACTATE', 6, 0.7],
  ['FATIGUE', 0.4, null],
  ['SYMP', 0.4, null],
  ['RESTRAINT', 0.4, null],
  ['DEBT', 0.4, null],
  ['STUNNED', 0.4, null],
  ['LEAKED', 0.4, null],
  ['VI', 0.4, null],
  ['B', 0.4, null],
  ['U', 0.4, null],
  ['SKIN', 0.4, null],
  ['GUT', 0.4, null],
  ['MED', 0.4, null],
  ['SVR', 30, 5],
  ['HR', 120, 50],
  ['VE', 15, 2],
  ['PA_CO2', 50, 30],
  ['PT_CO2', 60, 35],
  ['PA_O2', 140, 60],
  ['CV_O2', 17, 8],
  ['AD_C', 2, null],
  ['AD_CE', 2, null],
  ['AD_CX', 2, null],
  ['AD_FAST', 100, null],
  ['AD_SLOW', 100, null],
  ['AD_SC', 100, null],
  ['AD_SC_TRANSIT', 100, null],
  ['AD_NEB', 1, null],
  ['AD_NEB_DEPOT', 1, null],
  ['SLACK', 0.5, null],
  ['POSTURE', 0.1, -0.05],
  ['FIO2', 0.6, null],
  ['STORE_USED_MIN', 1, null],
  ['AWAKE', 1, 0.5],
  ['ROUSED_MIN', 0.5, null],
  ['AIR_LEFT', 0.5, null],
];
/** Of those, ones that nothing takes away in a well patient. */
const STAYS = new Set(['AIR_LEFT', 'AWAKE']);

export const rows = (name: string, list: readonly Row[]): Law => ({
  name,
  source: 'textbook physiology and pharmacology, directions only; a reason in each row',
  check(api) {
    const X = api.SLOTS as unknown as Record<string, number>;
    const wrong: string[] = [];
    for (const [who, given, more, watch, way, why] of list) {
      const a = after(api, who, given)[X[watch]!]!;
      const b = after(api, who, [...given, ...more])[X[watch]!]!;
      if (!(way === 'up' ? a < b : b < a)) wrong.push(`${watch} ${way}: ${why}: from ${a} to ${b}`);
    }
    holds(wrong.length === 0, wrong.join('\n'));
  },
});

const home: Law = {
  name: 'one step: what was moved away goes home and does not pass it; memories follow what they remember',
  source: 'first-order relaxation',
  check(api) {
    const X = api.SLOTS as unknown as Record<string, number>;
    // A reaction blunts the reflex on vessels: with it the same reflex multiplies their tone by less. Tone is what resistance is on
    // its way to, with a time constant of 0.15 min.
    const before = begin(api, ADULT)[1][X['SVR']!]!;
    const tone = (changes: readonly Change[]) =>
      before + (after(api, ADULT, changes)[X['SVR']!]! - before) / (0.1 / 60 / 0.15);
    const gain = (med: number) => tone([S('MED', med), S('SYMP', 0.8)]) / tone([S('MED', med), S('SYMP', 0)]);
    inside(gain(0.8), 1.05, 0.9 * gain(0), 'reflex in a reaction');
    // An overdose overrides the reflex against high pressure: that reflex takes less off the rate then.
    const hr = begin(api, ADULT)[1][X['HR']!]!;
    const rate = (restraint: number, ex: number) => hr + (after(api, ADULT, [S('RESTRAINT', restraint), S('AD_EX', ex)])[X['HR']!]! - hr) / (0.1 / 60 / 0.08); // prettier-ignore
    inside(rate(0, 0.6) - rate(0.8, 0.6), 0.01, 0.7 * (rate(0, 0) - rate(0.8, 0)), 'reflex in an overdose');
    const held = (restraint: number, ex: number) => tone([S('RESTRAINT', restraint), S('AD_EX', ex)]);
    inside(held(0.8, 0.6) / held(0, 0.6), held(0.8, 0) / held(0, 0) + 0.05, 1, 'and less off the vessels');
    // A pressure that low is poor perfusion even before the skin shows it.
    const pale = begin(api, ADULT);
    pale[1][X['REFILL']!] = 1.5;
    pale[1][X['MAP']!] = 25;
    inside(api.readSign(pale[0], pale[1], 'poor-perfusion'), 1, 4, 'poor perfusion');
    // Each medicine: from each depot into the level, from an infusion into the vein, and out of the level.
    for (const [id, spec] of Object.entries(api.EFFECTS)) {
      if (spec.kind !== 'level') continue;
      const at = X['LEVEL_BASE']! + X['LEVEL_STRIDE']! * spec.level.slot;
      inside(after(api, ADULT, [L(id, 1)])[at + 3]!, 0.5, 1 - 1e-9, `${id} leaves`);
      for (const depot of [0, 1, 2]) {
        const s = after(api, ADULT, [L(id, 1, depot)]);
        inside(s[at + depot]!, 0.5, 1 - 1e-9, `${id} leaves depot ${depot}`);
        inside(s[at + 3]! / (1 - s[at + depot]!), 0.99, 1.01, `${id} arrives from depot ${depot}`);
      }
      inside(after(api, ADULT, [L(id, 1, 4)])[at + 2]!, 0.1 / 60 - 1e-9, 0.1 / 60 + 1e-9, `${id} runs in`);
    }
    // Slow emptying mixes the breath with what met no blood: end-tidal falls further behind.
    const gap = (b: number, flow = 1) => {
      const [m, one] = begin(api, ADULT);
      one[X['B']!] = b;
      one[X['CO']!] = one[X['CO']!]! * flow;
      const v = api.readVitals(m, one, api.createVitals());
      return v.paco2MmHg - v.etco2MmHg;
    };
    inside(gap(0.6), gap(0) + 1, 30, 'end-tidal gap of tight airways');
    // Less flow brings less CO2 to the lungs (Kolar M et al. Crit Care 2008;12:R115: end-tidal CO2 follows output).
    inside(gap(0, 0.4), gap(0) + 3, 39, 'end-tidal gap of low flow');
    // Who lives with a high PaCO2 breathes on at one that would put others to sleep.
    const stem = (who: PatientProfile, co2: number) => after(api, who, [S('PA_CO2', co2)])[X['CNS']!]!;
    inside(stem(RETAINER, 96) / stem(RETAINER, 60), 0.99, 1.01, 'a retainer at 96 mmHg');
    inside(stem(ADULT, 96) / stem(ADULT, 60), 0, 0.85, 'anyone else at 96 mmHg');
    // Even a retainer is out at 165 mmHg: falling asleep as fast as anyone, a time constant of 0.15 min.
    const falling =
      after(api, RETAINER, [S('PA_O2', 400), S('PA_CO2', 60)])[X['AWAKE']!]! -
      after(api, RETAINER, [S('PA_O2', 400), S('PA_CO2', 165)])[X['AWAKE']!]!;
    inside(falling, 0.009, 0.012, 'a retainer at 165 mmHg');
    // What is read as upper airway is what swelling and a block leave between them.
    const [model, s] = begin(api, ADULT);
    api.applyInput(model, s, drive('airway-block', 0.5));
    inside(api.readVitals(model, s, api.createVitals()).upperAirwayFraction, 0.499, 0.501, 'half blocked');
    s[X['U']!] = 0.4;
    inside(api.readVitals(model, s, api.createVitals()).upperAirwayFraction, 0.699, 0.701, 'and swollen');
    for (const [lag, of] of FOLLOWS) {
      const s = after(api, ADULT, []);
      const target = s[X[of]!]!;
      const low = after(api, ADULT, [S(lag, target - 1)]);
      inside(low[X[lag]!]!, target - 1 + 1e-6, target + 1e-6, `${lag} from below`);
      const high = after(api, ADULT, [S(lag, target + 1)]);
      inside(high[X[lag]!]!, target - 1e-6, target + 1 - 1e-6, `${lag} from above`);
    }
    for (const [slot, above, under] of HOME) {
      if (STAYS.has(slot)) continue;
      const usual = after(api, ADULT, [])[X[slot]!]!;
      inside(after(api, ADULT, [S(slot, above)])[X[slot]!]!, usual - 1e-6, above - 1e-9, `${slot} from above`);
      if (under !== null)
        inside(after(api, ADULT, [S(slot, under)])[X[slot]!]!, under + 1e-9, usual + 1e-6, `${slot} from below`);
    }
  },
};

export const STEP_LAWS: readonly Law[] = [
  rows('one step of breathing: what moves it, and which way', BREATHING),
  rows('one step of the circulation: what moves it, and which way', CIRCULATION),
  rows('one step of mind, heat, sugar, lactate, blood and medicines: which way', REST),
  rows('one step of medicines and mediators: more does more', MORE),
  home,
];
