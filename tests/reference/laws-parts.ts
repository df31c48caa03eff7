/**
 * Parts of an illness that add up or hold each other back: a reaction and its second wave, two illnesses at once, air, water,
 * pauses, and the gas left in a lung that does not move. Directions and bounds from the textbook, from memory, unless a row names more.
 */
import { below, inside, near, type InnerApi, type Law } from './checks.ts';
import { begin, drive, hands } from './behaviours.ts';
import { after, M, RETAINER, rows, S, type Change, type Row } from './laws-steps.ts';
import type { PatientProfile } from '../../packages/patient/src/index.ts';

const ADULT: PatientProfile = { ageYears: 30, weightKg: 70, sex: 'male' };
const with_ = (...illness: NonNullable<PatientProfile['illness']>): PatientProfile => ({ ...ADULT, illness });
const BIPHASIC = with_({ disease: 'anaphylaxis', pattern: 'biphasic' });
const INFANT: PatientProfile = { ageYears: 0.12, weightKg: 4.5, sex: 'male', illness: [{ disease: 'bronchiolitis', pattern: 'with-apnoea', startedMinutesAgo: 30 }] }; // prettier-ignore
const CHOKING = with_({ disease: 'foreign-body', pattern: 'laryngeal-partial' });
const WET = with_({ disease: 'pulmonary-oedema', startedMinutesAgo: 20 });
const slotsOf = (api: InnerApi) => api.SLOTS as unknown as Record<string, number>;
const own = (api: InnerApi, who: PatientProfile) => begin(api, who)[0].p as Record<string, number>;
const one = (api: InnerApi, who: PatientProfile, slot: string, changes: readonly Change[]) =>
  after(api, who, changes)[slotsOf(api)[slot]!]!;
const mechanism = (api: InnerApi, who: PatientProfile, id: string, changes: readonly Change[] = []) =>
  after(api, who, changes)[api.SLOTS.MECH_BASE + (api.mechanisms.MECHANISMS as readonly string[]).indexOf(id)]!;

const STILL = [drive('apnoea-drive', 1), S('VE', 0)];
const PARTS: readonly Row[] = [
  [ADULT, [S('GUT', 0.3), S('MED', 0.6)], [S('AD_E', 0.6)], 'GUT', 'down', 'adrenaline slackens the gut'],
  [BIPHASIC, [S('MED', 0.4), S('T_MIN', 60)], [S('T_MIN', 300)], 'MED', 'down', 'a reaction that fades feeds itself less'],
  [CHOKING, [S('T_MIN', 5), S('LOOSENED', 0.2)], [hands('cpr', 110)], 'LOOSENED', 'up', 'thrusts on the chest help a cough'],
  [WET, [], [S('LUNG_RELIEF', 0.5)], 'WATER', 'down', 'a nitrate takes water off the lungs'],
  [ADULT, [S('AD_EX', 0.5), S('MAP', 190)], [S('AD_EX', 0.75)], 'WATER', 'up', 'the more overdose, the more water'],
  [ADULT, [S('AD_EX', 0.75), S('MAP', 145)], [S('MAP', 185)], 'WATER', 'up', 'the more pressure, the more water'],
  [INFANT, [S('PAUSE_DRAW', 12345), S('PAUSE_NEXT_MIN', 1e-9), S('PAUSE', 0)], [S('FATIGUE', 0.8)], 'PAUSE_LEFT_MIN', 'up', 'tired infants pause longer'],
  [INFANT, [...STILL, S('AWAKE', 1)], [drive('paralysis', 1)], 'PA_O2', 'down', 'a relaxed infant holds less gas'],
  [ADULT, [...STILL], [M('lostGas', 0.5)], 'PA_O2', 'down', 'less gas lasts less long'],
  [ADULT, [...STILL, M('lowVq', 0.3), S('PL_O2', 90), S('VA', 0)], [S('FIO2', 0.95)], 'PL_O2', 'up', 'oxygen is drawn in by uptake alone (apnoeic oxygenation)'],
]; // prettier-ignore

const reaction: Law = {
  name: 'a reaction: spread feeds on itself and adrenaline damps that; a second wave begins from nothing and passes',
  source: 'autocatalytic release, biphasic reactions: textbook, from memory',
  check(api) {
    // What a drive adds, for each share not yet active: more where more is active already.
    const fed = (med: number, er: number) => {
      const at = (to: number) => one(api, ADULT, 'MED', [S('MEDIATORS_DRIVEN', 1), drive('mediators', to), S('MED', med), S('AD_ER', er)]); // prettier-ignore
      return (at(0.8) - at(0)) / (1 - med);
    };
    const [little, much] = [fed(0.1, 0), fed(0.6, 0)];
    below(little, much, 'what is active feeds the rest');
    inside(fed(0.6, 0.8) - fed(0.1, 0.8), 0, 0.6 * (much - little), 'adrenaline damps it');
    const p = own(api, BIPHASIC);
    const wave = (since: number) => one(api, BIPHASIC, 'RELEASE', [S('T_MIN', p['returnsAfter']! - p['already']! + since)]); // prettier-ignore
    inside(wave(0.01), 0, 0.1 * wave(3), 'from nothing');
    below(wave(120), 0.5 * wave(4), 'and passes');
  },
};

const chest: Law = {
  name: 'two illnesses at once add up; air on each side by its share; water and pauses begin where they should',
  source: 'textbook, from memory; right lung 55 % of flow; pauses as described in diseases/illness.ts',
  check(api) {
    const X = slotsOf(api);
    const [asthma, pneumonia] = [{ disease: 'asthma', startedMinutesAgo: 20, severity: 0.5 }, { disease: 'pneumonia', startedMinutesAgo: 20, severity: 0.5 }] as const; // prettier-ignore
    const both = mechanism(api, with_(asthma, pneumonia), 'urge');
    near(both / (mechanism(api, with_(asthma), 'urge') + mechanism(api, with_(pneumonia), 'urge')), 1, 0.01, 'urge of both'); // prettier-ignore
    // A lung that was shut and has nothing to keep it shut opens, on either side.
    for (const slot of ['CLOSED_LEFT', 'CLOSED_RIGHT']) inside(one(api, ADULT, slot, [S(slot, 0.5)]), 0, 0.499, slot);
    // The right lung is a little larger; air takes gas away.
    const stiff = (left: number, right: number) => mechanism(api, ADULT, 'stiffness', [S('AIR_LEFT', left), S('AIR_RIGHT', right)]); // prettier-ignore
    inside(stiff(0, 0.2) / stiff(0.2, 0), 1, 1.5, 'right against left');
    below(0, mechanism(api, ADULT, 'lostGas', [S('AIR_LEFT', 0.2)]), 'gas lost to air around the lung');
    near(
      one(api, ADULT, 'AIR_LEFT', [S('AIR_LEFT', 0.05), S('OUTLET_LEFT', 1)]),
      0.05,
      1e-9,
      'a needle leaves the last of it',
    );
    // No water from an overdose without its pressure.
    near(one(api, ADULT, 'WATER', [S('AD_EX', 0.95), S('MAP', 90)]), 0, 1e-12, 'no pressure, no water');
    // A retainer at the usual saturation is not unmatched by it.
    const sa = own(api, RETAINER)['sa0']!;
    near(
      one(api, RETAINER, 'UNMATCHED', [S('UNMATCHED', 0), S('SAO2', sa + 0.01)]),
      0,
      1e-12,
      'at the usual saturation',
    );
    inside(one(api, INFANT, 'PAUSE_NEXT_MIN', [S('PAUSE', 0), S('PAUSE_DRAW', 0)]), 0.59, 1.5, 'half a minute and more between pauses'); // prettier-ignore
    // The effect of an opioid goes on from where its rise ended, without a jump.
    const drugged = with_({ disease: 'opioid-toxicity' });
    const act = (t: number) => after(api, drugged, [S('T_MIN', t)])[X['ACT_BASE']! + api.DISEASE_ORDER.indexOf('opioid-toxicity')]!; // prettier-ignore
    let [most, jump] = [0, 0];
    for (let t = 0; t < 60; t += 0.5) {
      jump = Math.max(jump, Math.abs(act(t + 0.5) - act(t)));
      most = Math.max(most, act(t));
    }
    below(jump, 0.3 * most, 'no jump');
    below(act(600), 0.9 * most, 'and it passes');
    inside(most, 0, 1.0001, 'at most whole');
    // Flow turns away from a lung behind an object, not from a solid lobe (Benumof; Licker: from memory).
    const turned = (who: PatientProfile) => one(api, who, 'DIVERTED', []);
    near(turned(with_({ disease: 'pneumonia', pattern: 'left-lobar', startedMinutesAgo: 30 })), 0, 1e-9, 'a solid lobe keeps its flow'); // prettier-ignore
    const blocked = with_({ disease: 'foreign-body', pattern: 'left-bronchial', startedMinutesAgo: 10 });
    inside(turned(blocked), -0.3, -0.01, 'away from the left');
    inside(turned(with_({ disease: 'foreign-body', pattern: 'right-bronchial', startedMinutesAgo: 10 })), 0.01, 0.3, 'away from the right'); // prettier-ignore
    // The body's usual fraction of CO2 is breathed out in an arrest, less where flow meets no lung.
    const [model, s] = begin(api, ADULT);
    for (const [slot, to] of [['ARREST', 1], ['CO', 5], ['PA_CO2', 40]] as const) s[X[slot]!] = to; // prettier-ignore
    const tide = () => api.readVitals(model, s, api.createVitals()).etco2MmHg;
    const free = tide();
    inside(free, 25, 40, 'end-tidal CO2 of a good flow');
    s[X['MECH_BASE']! + (api.mechanisms.MECHANISMS as readonly string[]).indexOf('deadSpace')] = 0.2;
    below(tide(), free - 1, 'dead space takes from it');
    // Kept whole or cut at the end of what can be in use: a state at rest without illness ends where illness begins.
    near(api.touchedState(begin(api, ADULT)[1]).length, api.SLOTS.ILLNESS_BASE, 0, 'what a healthy state touches');
  },
};

const lung: Law = {
  name: 'lung: air breathed is shared whole, no step passes its aim, an object turns flow away, an onset earlier is a course earlier',
  source: 'conservation, implicit steps, hypoxic constriction by about half (Benumof; Licker: from memory)',
  check(api) {
    const X = slotsOf(api);
    // Pure oxygen washes in by the air breathed, however it is shared between well and poorly ventilated lung.
    const washed = (low: number) => {
      const s = after(api, ADULT, [M('lowVq', low), S('FIO2', 0.99), S('PA_O2', 100), S('PL_O2', 100)]);
      const share = s[X['LOW_VQ']!]!;
      return (1 - share) * (s[X['PA_O2']!]! - 100) + share * (s[X['PL_O2']!]! - 100);
    };
    near(washed(0.35) / washed(0), 1, 0.08, 'air breathed');
    // Without breath, one long step takes no more oxygen out of poorly ventilated lung than five short ones.
    const [model, long] = begin(api, ADULT);
    for (const input of [drive('apnoea-drive', 1)]) api.applyInput(model, long, input);
    for (const [slot, to] of [['VE', 0], ['VA', 0], ['PL_O2', 80]] as const) long[X[slot]!] = to; // prettier-ignore
    long[X['MECH_BASE']! + (api.mechanisms.MECHANISMS as readonly string[]).indexOf('lowVq')] = 0.3;
    const short = api.copyState(long);
    api.stepPatient(model, long, 500);
    for (let i = 0; i < 5; i++) api.stepPatient(model, short, 100);
    inside(long[X['PL_O2']!]!, short[X['PL_O2']!]!, 80, 'one long step');
    // Lung that is poorly ventilated for two reasons gets air by how much of it there is of each. Air got, by how far oxygen washes in:
    const got = (who: PatientProfile, b: number) => {
      const at = (fio2: number) => after(api, who, [S('B', b), S('FIO2', fio2), S('PL_O2', 100)]);
      const [rich, plain] = [at(0.99), at(0.21)];
      return (rich[X['PL_O2']!]! - plain[X['PL_O2']!]!) / rich[X['VA']!]!;
    };
    for (const pattern of ['left-bronchial', 'right-bronchial']) {
      const who = with_({ disease: 'foreign-body', pattern, startedMinutesAgo: 10 });
      const [tight, behind] = [got(ADULT, 0.9), got(who, 0)];
      const part = mechanism(api, who, 'lowVq', [S('B', 0.9)]) / one(api, who, 'LOW_VQ', [S('B', 0.9)]);
      near(got(who, 0.9) / (tight + (behind - tight) * part), 1, 0.04, `air to narrowed lung, ${pattern}`);
    }
    // Behind an object that takes a quarter of a lung and narrows half of it, at least a fifth of its flow goes elsewhere.
    const toLeft = (...illness: NonNullable<PatientProfile['illness']>) => one(api, with_(...illness), 'DIVERTED', []);
    const left = { disease: 'foreign-body', pattern: 'left-bronchial', startedMinutesAgo: 10 } as const;
    const right = { disease: 'foreign-body', pattern: 'right-bronchial', startedMinutesAgo: 10 } as const;
    inside(toLeft(left), -0.25, -0.05, 'away from the left');
    inside(toLeft(right), 0.05, 0.25, 'away from the right');
    const lobe = { disease: 'pneumonia', pattern: 'left-lobar', startedMinutesAgo: 30 } as const;
    near(toLeft(right, lobe), toLeft(right), 1e-9, 'a solid lobe beside it keeps its flow');
    // Muscle gives up what it holds however poor its flow, at any size of that effect; it never takes back.
    const cold: PatientProfile = { ...ADULT, uncertain: { 'perfusion-limited-uptake': 4 } };
    inside(own(api, cold)['uptakeFloor']!, 0, 1, 'share given up without flow');
    // The top of an opioid's course has no step in it.
    const drugged = with_({ disease: 'opioid-toxicity', pattern: 'short-acting' });
    const at = X['ACT_BASE']! + api.DISEASE_ORDER.indexOf('opioid-toxicity');
    const act = (t: number) => after(api, drugged, [S('T_MIN', t)])[at]!;
    let top = 0;
    for (let t = 0; t < 10; t += 0.02) if (act(t) > act(top)) top = t;
    for (let t = top; t < top + 0.02; t += 0.0005) if (act(t) > act(top)) top = t;
    inside(act(top + 0.04), 0.993 * act(top), act(top), 'just past its top');
    // An illness that began twenty minutes ago is where one that begins now will be in twenty minutes.
    const [ill, lived] = begin(api, with_({ disease: 'asthma' }));
    for (let i = 0; i < 2400; i++) api.stepPatient(ill, lived, 500);
    const began = begin(api, with_({ disease: 'asthma', startedMinutesAgo: 20 }))[1];
    for (const slot of ['B', 'FATIGUE', 'SAO2', 'SECRETIONS'])
      near(began[X[slot]!]!, lived[X[slot]!]!, 0.02, `twenty minutes in: ${slot}`);
  },
};

export const PART_LAWS: readonly Law[] = [
  rows('one step of parts that meet in an illness: which way', PARTS),
  reaction,
  chest,
  lung,
];
