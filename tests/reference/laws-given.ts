/**
 * What is given, how it is told, and what faculty steer: what is told late is as what was given then, what is given twice adds up,
 * nothing given is lost, and steering mends in proportion. Arithmetic and linear kinetics, from the textbook, unless a row names more.
 */
import { below, inside, near, type InnerApi, type Law } from './checks.ts';
import { begin, dose, drive, hands } from './behaviours.ts';
import { after, L, S, type Change } from './laws-steps.ts';
import type { PatientInput, PatientProfile } from '../../packages/patient/src/index.ts';

const ADULT: PatientProfile = { ageYears: 30, weightKg: 70, sex: 'male' };
const slotsOf = (api: InnerApi) => api.SLOTS as unknown as Record<string, number>;
const one = (api: InnerApi, slot: string, changes: readonly Change[]) =>
  after(api, ADULT, changes)[slotsOf(api)[slot]!]!;
const late = (input: PatientInput, minutes: number): PatientInput =>
  ({ ...input, lagMs: minutes * 60000 }) as PatientInput;
const over = (input: PatientInput, minutes: number): PatientInput =>
  ({ ...input, overMs: minutes * 60000 }) as PatientInput;

/** First address of a medicine's depots (inhaled, other, vein), its level and its infusion. */
function depots(api: InnerApi, id: string): number {
  const spec = api.EFFECTS[id as keyof typeof api.EFFECTS] as { level: { slot: number } };
  return api.SLOTS.LEVEL_BASE + api.SLOTS.LEVEL_STRIDE * spec.level.slot;
}

/** The state just after some inputs, before any step. */
function told(api: InnerApi, slots: Readonly<Record<string, number>>, ...inputs: PatientInput[]): Float64Array {
  const [model, s] = begin(api, ADULT);
  for (const [slot, to] of Object.entries(slots)) s[slotsOf(api)[slot]!] = to;
  for (const input of inputs) api.applyInput(model, s, input);
  return s;
}

/** The state after some inputs and minutes. */
function lived(api: InnerApi, minutes: number, ...inputs: PatientInput[]): Float64Array {
  const [model, s] = begin(api, ADULT);
  for (const input of inputs) api.applyInput(model, s, input);
  for (let i = 0; i < Math.round(minutes * 120); i++) api.stepPatient(model, s, 500);
  return s;
}

const twice: Law = {
  name: 'given: doses add up, tight airways take less of a mist, infusions reach their own medicine',
  source: 'arithmetic; lung deposition falls with obstruction: textbook, from memory',
  check(api) {
    const X = api.SLOTS;
    const doses = [
      [dose('glucagon', 'im', 1), depots(api, 'glucagon') + 1],
      [dose('hydrocortisone', 'iv', 100), X.STEROID],
      [dose('propofol', 'iv', 50), X.SLACK],
    ] as const;
    for (const [given, at] of doses) {
      const once = told(api, {}, given)[at]!;
      below(0, once, 'a dose');
      near(told(api, {}, given, given)[at]! / once, 2, 1e-9, 'two doses');
    }
    // Told late: what a second dose leaves comes on top of what is there, and less is left the longer ago it was given.
    const lateDoses = [
      [dose('morphine', 'iv', 5), depots(api, 'morphine') + 3],
      [dose('propofol', 'iv', 50), X.SLACK],
      [dose('adrenaline', 'neb', 5000), X.AD_NEB_DEPOT],
      [dose('adrenaline', 'neb', 5000), X.AD_NEB],
      [dose('adrenaline', 'neb', 5000), X.AD_SLOW],
    ] as const;
    for (const [given, at] of lateDoses) {
      const once = told(api, {}, late(given, 5))[at]!;
      below(0, once, 'a dose told late');
      near(told(api, {}, late(given, 5), late(given, 5))[at]! / once, 2, 1e-6, 'two told late');
    }
    const slack = (minutes: number) => told(api, {}, late(dose('propofol', 'iv', 50), minutes))[X.SLACK]!;
    below(slack(10), 0.9 * slack(1), 'opened vessels close again');
    below(slack(1), told(api, {}, dose('propofol', 'iv', 50))[X.SLACK]!, 'from the first minute');
    const mist = (b: number) => told(api, { B: b }, dose('salbutamol', 'neb', 5))[depots(api, 'salbutamol')]!;
    below(mist(0.8), 0.9 * mist(0), 'a mist in tight airways');
    for (const id of ['salbutamol', 'magnesium', 'aminophylline', 'naloxone'] as const) {
      const s = told(api, {}, { kind: 'infusion', effect: id, ratePerMin: 1 });
      below(0, s[depots(api, id) + 4]!, `${id} runs`);
    }
    // An infusion told late is as one half-way through what has run in.
    const drip = over(dose('propofol', 'iv', 20), 6);
    const level = (s: Float64Array) => s[depots(api, 'propofol') + 3]!;
    near(
      level(told(api, {}, late(drip, 12))) / level(lived(api, 12, drip)),
      1,
      0.08,
      'six minutes that began twelve ago',
    );
  },
};

const queue: Law = {
  name: 'given: of seventeen doses running at once none is lost',
  source: 'conservation: what is given arrives once',
  check(api) {
    const X = api.SLOTS;
    const inQueue = (s: Float64Array, part: number) => {
      let sum = 0;
      for (let i = 0; i < X.QUEUE_COUNT; i++) sum += s[X.QUEUE_BASE + X.QUEUE_STRIDE * i + part]!;
      return sum;
    };
    const drip = over(dose('crystalloid', 'iv', 170), 10);
    const full = Array.from({ length: X.QUEUE_COUNT }, () => drip);
    // One more of the same kind: its amount and its rate are added.
    const more = told(api, {}, ...full, drip);
    near(inQueue(more, 2), 17 * 170, 1e-6, 'amount');
    near(inQueue(more, 3), 17 * 17, 1e-6, 'rate');
    near(more[X.FLUID_IN]! - told(api, {})[X.FLUID_IN]!, 0, 1e-9, 'none at once');
    const mixed = told(
      api,
      {},
      ...full.slice(1),
      over(dose('glucagon', 'im', 1), 10),
      over(dose('glucagon', 'im', 3), 10),
    );
    const last = X.QUEUE_BASE + X.QUEUE_STRIDE * (X.QUEUE_COUNT - 1);
    near(mixed[last + 2]!, 4, 1e-9, 'both doses');
    near(mixed[last + 3]!, 0.4, 1e-9, 'at both rates');
    near(mixed[last + 2 - X.QUEUE_STRIDE]!, 170, 1e-9, 'the one before is left alone');
    // One of another kind is given at once, and leaves the others alone.
    const other = told(api, {}, ...full, over(dose('magnesium', 'iv', 2000), 10));
    below(0, other[depots(api, 'magnesium') + 2]!, 'given at once');
    near(inQueue(other, 2), 16 * 170, 1e-6, 'the others');
    // By another route, or of another medicine, it keeps to itself and goes where it belongs.
    const [model, s] = begin(api, ADULT);
    api.applyInput(model, s, over(dose('morphine', 'iv', 5), 0.05));
    api.applyInput(model, s, over(dose('glucagon', 'im', 1), 0.05));
    for (let i = 0; i < 40; i++) api.stepPatient(model, s, 100);
    near(inQueue(s, 2), 0, 1e-9, 'all given');
    below(0, s[depots(api, 'glucagon') + 1]!, 'into muscle');
    near(s[depots(api, 'glucagon') + 2]!, 0, 1e-12, 'not into a vein');
    const whole = told(api, {}, dose('glucagon', 'im', 1))[depots(api, 'glucagon') + 1]!;
    inside(
      s[depots(api, 'glucagon') + 1]! + s[depots(api, 'glucagon') + 3]!,
      0.95 * whole,
      1.0001 * whole,
      'the whole dose, once',
    );
    const muscle = told(
      api,
      {},
      ...full.slice(1),
      over(dose('glucagon', 'im', 1), 10),
      over(dose('glucagon', 'iv', 1), 10),
    );
    below(0, muscle[depots(api, 'glucagon') + 2]!, 'another route is another kind');
  },
};

const better: PatientInput = { kind: 'steer', direction: 'better', pace: 'fast' };
const mending: Law = {
  name: 'steered better: each thing an illness left mends at once, nothing passes its aim, what helps stays',
  source: 'the description of core/steering.ts',
  check(api) {
    const X = slotsOf(api);
    const morphine = depots(api, 'morphine') + 3;
    /** The same step, steered wholly better and not steered. */
    const both = (at: number, to: number) => {
      const [model, s] = begin(api, ADULT);
      s[at] = to;
      const free = api.copyState(s);
      api.stepPatient(model, free, 500);
      api.applyInput(model, s, better);
      s[X['STEER']!] = 1;
      if (at === X['MED_OWN']!) s[at] = to;
      api.stepPatient(model, s, 500);
      return [s[at]!, free[at]!] as const;
    };
    for (const [at, to] of [
      [X['PA_CO2']!, 70],
      [X['PT_CO2']!, 75],
      [X['FATIGUE']!, 0.5],
      [X['STUNNED']!, 0.5],
      [morphine, 2],
    ] as const) {
      const [steered, free] = both(at, to);
      below(steered, free - 1e-6, `slot ${at} mends`);
    }
    below(both(X['MED_OWN']!, 0.6)[0], 0.599, 'mediators mend');
    // An overdose goes only as far as the level that does no harm.
    const harmless = 0.4 * (begin(api, ADULT)[0].p as Record<string, number>)['overdoseHalf']!;
    const [kept, own] = both(X['AD_C']!, harmless * 1.05);
    inside(own - kept, 0, 0.002 * harmless, 'a level that hardly harms');
    const nearly = told(api, {}, better);
    nearly[X['STEER']!] = 0.9999;
    const [model] = begin(api, ADULT);
    api.stepPatient(model, nearly, 500);
    near(nearly[X['STEER']!]!, 1, 0, 'as far as asked, no further');
    // At the brink, adrenaline helps a heart that has its oxygen again.
    const debt = (e: number) => one(api, 'DEBT', [S('BRINK', 1), S('DEBT', 0.8), S('AD_E', e)]);
    below(debt(0), 0.8, 'oxygen mends');
    below(debt(0.8), debt(0), 'adrenaline helps');
  },
};

const doors: Law = {
  name: 'glucagon: another door to a blocked heart; a block and an object narrow together; what a shock wins',
  source: 'glucagon in beta-blockade: textbook, from memory; radii left multiply: geometry',
  check(api) {
    // The more glucagon, the less of a beta-blockade is left.
    const rate = (level: number) =>
      one(api, 'HR', [drive('beta-blockade', 1), S('AD_E', 0.8), S('MED', 0.5), L('glucagon', level)]);
    below(rate(0), rate(0.5), 'glucagon');
    const tight = (level: number) =>
      one(api, 'B', [
        drive('beta-blockade', 1),
        S('B', 0.6),
        S('AD_E', 0.8),
        drive('bronchospasm', 0.7),
        L('glucagon', level),
      ]);
    below(tight(2), tight(0) - 1e-6, 'and lets adrenaline open airways again');
    const tongue = (set: number, object: number) =>
      one(api, 'R_UPPER', [drive('airway-block', set), S('OBJECT', object)]);
    below(tongue(0, 0.4), tongue(0.3, 0.4), 'a block with an object');
    near(tongue(0.3, 0.4), tongue(0.58, 0), 1e-6 * tongue(0.58, 0), 'what is left of each multiplies');
    // A shock brings a fibrillating heart nearer, not further.
    const shocked = told(api, { ARREST: 1, RHYTHM: 5, RESTART: 0.3 }, hands('defibrillation', 4));
    below(0.3, shocked[api.SLOTS.RESTART]!, 'a shock');
  },
};

export const GIVEN_LAWS: readonly Law[] = [twice, queue, mending, doors];
