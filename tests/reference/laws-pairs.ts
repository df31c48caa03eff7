/**
 * What one step does where two things meet: a medicine that takes back what an illness does, a threshold that is met without a
 * jump, a total that is the sum of its parts. Directions and bounds from textbook physiology and pharmacology, from memory, unless
 * a source is named; no pinned numbers.
 */
import { below, holds, inside, near, type InnerApi, type Law } from './checks.ts';
import { begin, drive, hands, oxygen } from './behaviours.ts';
import { after, L, M, RETAINER, rows, S, type Change, type Row } from './laws-steps.ts';
import type { PatientProfile } from '../../packages/patient/src/index.ts';

const ADULT: PatientProfile = { ageYears: 30, weightKg: 70, sex: 'male' };
const NIV = oxygen('niv', undefined, 0.4);
const TEXTBOOK = 'textbook physiology and pharmacology, from memory';
/** A step of 100 ms, in minutes. */
const STEP = 0.1 / 60;

const slotsOf = (api: InnerApi) => api.SLOTS as unknown as Record<string, number>;
const own = (api: InnerApi, who: PatientProfile) => begin(api, who)[0].p as Record<string, number>;
/** A slot after one step. */
const one = (api: InnerApi, who: PatientProfile, slot: string, changes: readonly Change[]) =>
  after(api, who, changes)[slotsOf(api)[slot]!]!;

/** Alveolar oxygen at which an artery is that full now. */
function po2At(api: InnerApi, who: PatientProfile, saturation: number, given: readonly Change[] = []): number {
  let [low, high] = [5, 150];
  for (let i = 0; i < 14; i++) {
    const mid = (low + high) / 2;
    if (one(api, who, 'SAO2', [...given, S('PA_O2', mid)]) < saturation) low = mid;
    else high = mid;
  }
  return (low + high) / 2;
}

const HEART: readonly Row[] = [
  [ADULT, [], [S('STRAIN', 0.6)], 'SV', 'down', 'a heart worn by an overdose is weak (Kanwar M et al. 2010)'],
  [ADULT, [L('aminophylline', 5)], [L('aminophylline', 7)], 'SVR', 'down', 'theophylline in excess opens vessels, the more the more'],
  [ADULT, [L('aminophylline', 4)], [L('aminophylline', 7)], 'HR', 'up', 'and quickens the heart'],
]; // prettier-ignore

const heart: Law = {
  name: 'circulation: what meets in heart and vessels adds up as in the textbook',
  source: `${TEXTBOOK}; wear by overdose: Kanwar M et al. Ann Emerg Med 2010;55:341-4`,
  check(api) {
    const p = own(api, ADULT);
    // Full veins and open vessels: what is left is the heart's own strength. Adrenaline gives back what mediators took.
    const full = [S('BV', 2 * p['bv0']!), S('SVR', 4)];
    const kept = (e: number) =>
      one(api, ADULT, 'SV', [...full, S('AD_E', e), S('MED', 0.8)]) /
      one(api, ADULT, 'SV', [...full, S('AD_E', e), S('MED', 0)]);
    below(kept(0), 0.97, 'mediators weaken the heart');
    inside(kept(0.9), 0.5 * (1 + kept(0)), 1.0001, 'adrenaline gives most of it back');
    // And it gives vessels back the reflex that mediators blunt.
    const before = begin(api, ADULT)[1][api.SLOTS.SVR]!;
    const tone = (...changes: Change[]) => before + (one(api, ADULT, 'SVR', changes) - before) / (STEP / 0.15);
    const reflex = (med: number, e: number) =>
      tone(S('SYMP', 0.8), S('MED', med), S('AD_E', e)) / tone(S('SYMP', 0), S('MED', med), S('AD_E', e));
    below(reflex(0.8, 0), 0.85 * reflex(0, 0), 'mediators blunt the reflex');
    inside(reflex(0.8, 0.9), 0.9 * reflex(0, 0.9), reflex(0, 0.9), 'adrenaline gives it back');
    // Flow times resistance is the pressure from arteries to veins, at any pressure.
    const high = after(api, ADULT, [S('SVR', 2 * p['svr0']!)]);
    const X = api.SLOTS;
    near(high[X.CO]! * high[X.SVR]!, high[X.MAP]! - p['cvp']! * high[X.PRELOAD]!, 0.01, 'flow times resistance');
    // Stretched arteries are stiffer: more pulse for each millilitre, beyond what resistance adds.
    const pulse = (s: Float64Array) => (s[X.SBP]! - s[X.DBP]!) / s[X.SV]! / (0.7 + (0.3 * s[X.SVR]!) / p['svr0']!);
    below(1.02 * pulse(after(api, ADULT, [])), pulse(high), 'pulse of stretched arteries');
    // Without any pressure the reflex is whole.
    below(0.95, one(api, ADULT, 'SYMP', [S('SYMP', 0.95), S('BV', 1.6)]), 'reflex without pressure');
    // No debt is paid back while it is being made.
    const starved = [S('PA_O2', 8), S('CV_O2', 1)];
    const made = (debt: number) => one(api, ADULT, 'DEBT', [...starved, S('DEBT', debt)]) - debt;
    below(0, made(0), 'debt is made');
    near(made(0.5) / made(0), 1, 0.001, 'and none paid back');
    // Wear starts from nothing where an overdose starts.
    const worn = (ex: number) => one(api, ADULT, 'STRAIN', [S('AD_EX', ex)]);
    below(0, worn(0.32), 'wear');
    below(10 * worn(0.32), worn(0.95), 'wear starts from nothing');
  },
};

const arrest: Law = {
  name: 'arrest: what irritates, what brings the heart back, what is left behind',
  source:
    'Shannon M. Ann Intern Med 1993;119:1161-7 (arrhythmia above ten loading doses); chance falls by the minute, oxygen and flow bring it back: textbook, from memory', // prettier-ignore
  check(api) {
    const X = api.SLOTS;
    const rhythm = (changes: readonly Change[]) => one(api, ADULT, 'RHYTHM', changes);
    const usual = rhythm([S('AD_EX', 0.3)]);
    // The same level irritates less once tissues have caught up with it.
    const rush = (ce: number) => one(api, ADULT, 'ARREST', [S('AD_EX', 1), S('AD_CX', 2.2), S('AD_CE', ce)]);
    near(rush(0), 1, 0, 'all at once');
    near(rush(1), 0, 0, 'caught up with');
    // Eight loading doses of theophylline bring ectopic beats, no arrest; twelve and more do.
    near(one(api, ADULT, 'ARREST', [L('aminophylline', 8)]), 0, 0, 'eight loading doses');
    near(one(api, ADULT, 'ARREST', [L('aminophylline', 13)]), 1, 0, 'thirteen');
    // A little want of oxygen adds little to what irritates, much adds more.
    const air = (sa: number) => rhythm([S('AD_EX', 0.4), S('PA_O2', po2At(api, ADULT, sa, [S('CV_O2', 8)])), S('CV_O2', 8), S('HR', 72)]); // prettier-ignore
    holds(air(0.78) !== air(0.5), 'want of oxygen brings ectopic beats');
    holds(usual !== air(0.5), 'which were not there');

    // Coming back: compressions, oxygen, and time.
    const dead = (...more: Change[]) => [S('ARREST', 1), S('RHYTHM', 7), S('RESTART', 0.5), S('SVR', 40), hands('cpr', 110), ...more]; // prettier-ignore
    const gain = (...more: Change[]) => one(api, ADULT, 'RESTART', dead(...more)) - 0.5;
    below(0, gain(), 'compressions bring it back');
    inside(gain(S('PA_O2', 12), S('CV_O2', 2)), -1, 1e-12, 'not without oxygen');
    below(gain(S('NO_FLOW_MIN', 3.9)), 0.6 * gain(), 'a heart that has just stopped starts more easily');
    below(gain(S('NO_FLOW_MIN', 10)), gain(S('NO_FLOW_MIN', 5)), 'each minute without flow takes from it');
    below(gain(S('LOW_FLOW_MIN', 20)), gain(), 'each minute of little flow takes from it');
    const fibrillating = after(api, ADULT, [S('ARREST', 1), S('RESTART', 0.5), S('RHYTHM', 5), S('SVR', 60), hands('cpr', 110)]); // prettier-ignore
    below(30, fibrillating[X.MAP]!, 'a good pressure');
    near(fibrillating[X.RESTART]!, 0.5, 1e-9, 'good flow keeps what was won');
    // What is left behind.
    const back = (...more: Change[]) => after(api, ADULT, [...dead(), S('RESTART', 0.99999), ...more]);
    near(back()[X.ARREST]!, 0, 0, 'back');
    below(back()[X.DEBT]!, back(S('LOW_FLOW_MIN', 20))[X.DEBT]!, 'little flow leaves a debt');
    inside(back(S('NO_FLOW_MIN', 0.5))[X.STUNNED]!, 0, 0.01, 'half a minute leaves nobody stunned');
  },
};

const MIND: readonly Row[] = [
  [
    ADULT,
    [S('AWAKE', 0.5)],
    [M('vasoplegia', 0.8)],
    'AWAKE',
    'down',
    'sepsis clouds the mind (Seymour CW et al. 2016)',
  ],
  [ADULT, [], [S('FIT', 1)], 'AWAKE', 'down', 'nobody is awake in a fit'],
  [ADULT, [L('aminophylline', 10)], [S('FIT', 1)], 'LACTATE', 'up', 'a fit makes lactate'],
  [ADULT, [S('FIT', 1)], [S('RELAXED', 1)], 'LACTATE', 'down', 'not in relaxed muscle'],
  [ADULT, [S('FIT', 0.8), L('aminophylline', 10)], [S('ASLEEP', 0.9)], 'FIT', 'down', 'an anaesthetic ends it'],
  [ADULT, [], [S('FIT', 1)], 'CNS', 'down', 'breathing is poor in a fit'],
];

const mind: Law = {
  name: 'mind: which pressure clouds it, and how a fit comes and goes',
  source: 'lower limit of autoregulation and fainting, fits of theophylline: textbook, from memory',
  check(api) {
    const X = api.SLOTS;
    const p = own(api, ADULT);
    /** Where consciousness is going (time constant 0.15 min down, 0.5 up), and the share of usual pressure. */
    const going = (tone: number) => {
      const s = after(api, ADULT, [S('SVR', tone * p['svr0']!), S('AWAKE', 1)]);
      return [s[X.MAP]! / p['map0']!, 1 + (s[X.AWAKE]! - 1) / (STEP / 0.15)] as const;
    };
    const at = (wanted: number) => {
      let [low, high] = [0.02, 1.2];
      for (let i = 0; i < 14; i++) {
        const mid = (low + high) / 2;
        if (going(mid)[0] < wanted) low = mid;
        else high = mid;
      }
      return going(low)[1];
    };
    inside(at(0.34), -0.01, 0.3, 'gone near a third of the usual pressure');
    inside(at(0.62), 0.3, 0.95 * at(0.95), 'drowsy at six tenths');
    // A fit follows the poison and does not pass its aim.
    const fit = (from: number, level: number) => one(api, ADULT, 'FIT', [S('FIT', from), L('aminophylline', level)]);
    inside(fit(0.5, 10), 0.5001, 0.6, 'a fit comes');
    inside(fit(0.5, 0), 0.4, 0.4999, 'and goes');
  },
};

const signs: Law = {
  name: 'signs: tired and drowsy patients look better than they are; silence is want of air',
  source: 'asthma guidelines of several countries: exhaustion, inability to talk, silent chest; from memory',
  check(api) {
    const X = slotsOf(api);
    const grade = (
      sign: Parameters<InnerApi['readSign']>[2],
      slots: Readonly<Record<string, number>>,
      more: readonly Change[] = [],
    ) => {
      // prettier-ignore
      const [model, s] = begin(api, ADULT);
      for (const [slot, to] of Object.entries(slots)) s[X[slot]!] = to;
      for (const change of more) if ('kind' in change) api.applyInput(model, s, change);
      return api.readSign(model, s, sign);
    };
    const work = { LOAD: 0.55, CNS: 1, FATIGUE: 0 };
    below(
      grade('work-of-breathing', { ...work, FATIGUE: 0.6 }),
      grade('work-of-breathing', work),
      'the tired work less',
    );
    below(grade('work-of-breathing', { ...work, RELAXED: 0.5 }), grade('work-of-breathing', work), 'relaxed muscle');
    near(grade('work-of-breathing', { ...work, RELAXED: 1 }), 0, 0, 'none in paralysis');
    const afraid = { SYMP: 1, AWAKE: 1 };
    below(grade('agitation', { ...afraid, AWAKE: 0.65 }), grade('agitation', afraid), 'the drowsy are less restless');
    const talk = { LOAD: 0.1, FATIGUE: 0.3, B: 0, AWAKE: 1 };
    below(grade('cannot-talk', talk), grade('cannot-talk', { ...talk, B: 0.8 }), 'tight airways take words');
    near(grade('cannot-talk', { LOAD: 0.1, FATIGUE: 0, B: 0, AWAKE: 0.82 }), 0, 0, 'a little drowsy, still talking');
    const tight = { B: 0.85, DEMAND: 10, VE: 6.5, FATIGUE: 0 };
    below(grade('silent-chest', tight), grade('silent-chest', { ...tight, FATIGUE: 0.5 }), 'quieter when tired');
    near(grade('silent-chest', { ...tight, VE: 10 }), 0, 0, 'not while enough air moves');
  },
};

const AIR: readonly Row[] = [
  [ADULT, [drive('opioid', 0.3)], [L('naloxone', 0.05)], 'OPIOID', 'down', 'a little antagonist takes a little of a little opioid'],
]; // prettier-ignore

const BLUISH: PatientProfile = { ...ADULT, baseline: { spo2Percent: 94.5 } };

const air: Law = {
  name: 'breathing: where drive begins, and what a machine adds',
  source:
    'hypoxic drive below the usual saturation, acid drive, oxygen stores of the asphyxiated: textbook, from memory',
  check(api) {
    const wish = (who: PatientProfile, ...more: Change[]) => one(api, who, 'DEMAND', more);
    // At a patient's own saturation, want of oxygen adds nothing yet.
    for (const who of [RETAINER, BLUISH]) {
      const sa = own(api, who)['sa0']!;
      const [at, over] = [po2At(api, who, sa - 0.008), po2At(api, who, sa + 0.015)];
      near(wish(who, S('PA_O2', at)) / wish(who, S('PA_O2', over)), 1, 0.001, 'drive at the usual saturation');
    }
    // Acid drives from nothing where it begins.
    const acid = (lactate: number) => wish(ADULT, S('LACTATE', lactate)) - wish(ADULT, S('LACTATE', 1.4));
    inside(acid(1.6), 0, 0.1 * acid(6), 'a little acid');
    // The store of one shut off from air goes faster the less oxygen is left.
    const used = (sa: number) => {
      const shut = [S('CV_O2', 3), drive('airway-block', 1), S('STORE_USED_MIN', 1)];
      return one(api, ADULT, 'STORE_USED_MIN', [...shut, S('PA_O2', po2At(api, ADULT, sa, shut))]) - 1;
    };
    below(used(0.6), 0.6 * used(0.3), 'own store');
    // A machine set up by people who see the CO2 adds no depth where it is not high.
    const moved = (device: Change) => one(api, ADULT, 'VE', [device, S('PA_CO2', 38)]);
    near(moved(NIV) / moved(oxygen('cpap', undefined, 0.4)), 1, 1e-4, 'no deeper at a low CO2');
  },
};

export const PAIR_LAWS: readonly Law[] = [
  rows('one step of a worn or poisoned heart: which way', HEART),
  heart,
  arrest,
  rows('one step of a clouded mind and a fit: which way', MIND),
  mind,
  signs,
  rows('one step of breathing with a little antagonist: which way', AIR),
  air,
];
