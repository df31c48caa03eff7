/** Laws of circulation, medicines, arrest and the rest of the body, each with its source, on any copy of the package. */
import { below, holds, inside, near, type InnerApi, type Law } from './checks.ts';
import { begin, run as runBy, dose, drive, hands, mask, oxygen, type Plan } from './behaviours.ts';
import { personAt } from './people.ts';
import { HAQUE, LOW_SYSTOLIC, RATES_BY_AGE, TIME_TO_PEAK } from './published.ts';
import type { PatientInput, PatientProfile, Route } from '../../packages/patient/src/index.ts';

/** Courses in steps of 200 ms, which move nothing by 1 % (step-size.test.ts) and take half the time. */
const run = (api: InnerApi, who: PatientProfile, plan: Plan, minutes: number) => runBy(api, who, plan, minutes, 200);

const ADULT: PatientProfile = { ageYears: 30, weightKg: 70, sex: 'male' };
const SEVEN: PatientProfile = { ageYears: 7, weightKg: 23, sex: 'female' };
const posture = (to: 'standing' | 'sitting' | 'legs-raised'): PatientInput => ({ kind: 'posture', posture: to });
const im = (micrograms: number, site = 'thigh'): PatientInput => ({
  kind: 'dose',
  effect: 'adrenaline',
  route: 'im',
  site,
  amount: micrograms,
});

/** Highest plasma adrenaline, ng/mL, and its minute, of one input at rest. */
export function plasmaPeak(api: InnerApi, who: PatientProfile, input: PatientInput, minutes: number) {
  const [model, s] = begin(api, who);
  api.applyInput(model, s, input);
  let [peak, when] = [0, 0];
  for (let i = 1; i <= minutes * 600; i++) {
    api.stepPatient(model, s, 100);
    const c = s[api.SLOTS.AD_C]!;
    if (c > peak) [peak, when] = [c, i / 600];
  }
  return { peak, when };
}

const rest: Law = {
  name: 'everyone at rest stays at rest, at the numbers of their age',
  source: 'Fleming 2011 medians; 90 + 2 x age (life-support teaching, from memory); PaCO2 40, pH 7.40 (textbook)',
  check(api) {
    for (const age of [0.02, 0.5, 2, 7, 14, 48, 85]) {
      const r = run(api, personAt(age), [], 12);
      const v = r.last;
      const norms = api.ageNorms(age);
      near(v.heartRatePerMin / norms.heartRatePerMin.median, 1, 0.01, `heart rate at ${age}`);
      near(v.respiratoryRatePerMin / norms.respiratoryRatePerMin.median, 1, 0.015, `breathing rate at ${age}`);
      near(v.systolicMmHg / norms.systolicMedianMmHg, 1, 0.01, `systolic at ${age}`);
      near(v.meanMmHg, v.diastolicMmHg + (v.systolicMmHg - v.diastolicMmHg) / 3, 0.01, 'mean');
      inside(v.diastolicMmHg / v.systolicMmHg, 0.5, 0.65, 'diastolic');
      near(v.paco2MmHg, 40, 0.6, `PaCO2 at ${age}`);
      near(v.arterialPh, 7.395, 0.012, `pH at ${age}`);
      inside(v.spo2Percent, 96, 98.5, `saturation at ${age}`);
      inside(v.capillaryRefillS, 1, 2, 'refill');
      near(v.temperatureCelsius, 37, 0.01, 'temperature');
      // A newborn's is lower: 2.5 to 5 mmol/L in the first days (textbook, from memory).
      near(v.glucoseMmolPerL, age < 1 / 12 ? 4 : 5, 0.02, 'glucose');
      near(v.lactateMmolPerL, 1, 0.05, 'lactate');
      near(v.consciousnessFraction, 1, 1e-6, 'awake');
      near(v.perfusionFraction, 1, 0.01, 'perfusion');
      near(v.etco2MmHg, v.paco2MmHg - 3, 0.3, 'end-tidal');
      near(v.rhythm, 0, 0, 'rhythm');
      for (const sign of [
        'work-of-breathing',
        'wheeze',
        'stridor',
        'rash',
        'agitation',
        'drowsiness',
        'cyanosis',
        'poor-perfusion',
        'cannot-talk',
        'apnoea',
        'arrest',
        'gut',
        'swelling',
        'fatigue',
        'silent-chest',
      ] as const)
        // prettier-ignore
        near(api.readSign(r.model, r.state, sign), 0, 0, `${sign} at ${age}`);
      // Usual blood volume, 65 to 90 mL/kg at every age (Linderkamp 1977, secondary; adults textbook).
      inside((1000 * r.state[api.SLOTS.BV]!) / r.model.profile.weightKg, 64, 91, `blood volume at ${age}`);
      // Cardiac index 3 to 4.5 L/min/m2 goes with 80 mL/kg/min in an adult, 150 to 250 in an infant (textbook).
      inside((1000 * r.state[api.SLOTS.CO]!) / r.model.profile.weightKg, 60, 250, `output at ${age}`);
    }
  },
};

const norms: Law = {
  name: 'centiles and limits by age',
  source: 'Fleming 2011; Haque & Zaritsky 2007; paediatric advanced life support (published.ts)',
  check(api) {
    for (const [age, heart, breathing] of RATES_BY_AGE)
      for (const [kind, anchors] of [
        ['heart', heart],
        ['breathing', breathing],
      ] as const)
        // prettier-ignore
        anchors.forEach((rate, i) => {
          near(api.rateCentile(kind, age, rate)!.centile, [1, 10, 50, 90, 99][i]!, 0.01, `${kind} at ${age}`);
          if (i === 0) return;
          const mid = api.rateCentile(kind, age, (rate + anchors[i - 1]!) / 2)!.centile;
          inside(mid, [1, 10, 50, 90][i - 1]! + 0.5, [10, 50, 90, 99][i - 1]! - 0.5, 'between two anchors');
        });
    // Half-way between median and 90th lies at z 0.6408: the 73.9th centile (tables of the normal distribution).
    near(api.rateCentile('heart', 7, 101)!.centile, 73.9, 0.1, 'half-way up');
    near(api.rateCentile('heart', 7, 82.5)!.centile, 26.1, 0.1, 'half-way down');
    for (const [age, low] of LOW_SYSTOLIC) near(api.ageNorms(age).systolicLowMmHg, low, 1e-9, `low limit at ${age}`);
    for (const [age, mean5, mean50, systolic5] of HAQUE) {
      const found = api.pressureAnchors(age, 'female')!;
      near(found.mean5thMmHg, mean5, 1e-9, 'mean, 5th');
      near(found.mean50thMmHg, mean50, 1e-9, 'mean, 50th');
      near(found.systolic5thMmHg, systolic5, 1e-9, 'systolic, 5th');
    }
    near(api.ageNorms(5).systolicMedianMmHg, 100, 1e-9, 'median systolic at five');
    inside(api.ageNorms(0.5).systolicMedianMmHg, 80, 95, 'median systolic at half a year');
    inside(api.ageNorms(14).systolicMedianMmHg, 111, 117, 'median systolic at fourteen');
    inside(api.ageNorms(70).systolicMedianMmHg, 132, 140, 'median systolic at seventy');
    // Fourth report (Pediatrics 2004;114:555-76), boy of seven at the median height: 95th centile 115.
    near(api.pressureAnchors(7, 'male')!.systolic95thMmHg!, 115, 1, '95th at seven');
  },
};

const plasma: Law = {
  name: 'adrenaline in plasma: time to peak, thigh over arm over skin, half-life in the vein, infusion',
  source:
    'Simons 1998, 2001; the adult study of dose interval (published.ts); vein half-life 3.5 min: Abboud I et al. Crit Care 2009;13:R120 (seen)',
  check(api) {
    for (const [who, ageYears, weightKg, micrograms, mean, sd] of TIME_TO_PEAK) {
      const { when } = plasmaPeak(api, { ageYears, weightKg, sex: 'male' }, im(micrograms), 30);
      inside(when, Math.max(mean - 2 * sd, 2), mean + 2 * sd, `time to peak, ${who}`);
    }
    const child: PatientProfile = { ageYears: 8, weightKg: 26, sex: 'male' };
    const thigh = plasmaPeak(api, child, im(300), 40);
    const sdPeak = 0.351 * Math.sqrt(8);
    inside(thigh.peak, 2.136 - 2 * sdPeak, 2.136 + 2 * sdPeak, 'peak in children, ng/mL');
    const arm = plasmaPeak(api, child, im(300, 'upper arm'), 40);
    const skin = plasmaPeak(api, child, dose('adrenaline', 'subcutaneous', 300), 60);
    below(arm.peak, 0.8 * thigh.peak, 'arm below thigh');
    below(skin.peak, 0.9 * thigh.peak, 'skin below thigh');
    below(thigh.when, skin.when, 'skin later');
    const vein = run(api, ADULT, [[0, dose('adrenaline', 'iv', 50)]], 1).state[api.SLOTS.AD_C]!;
    const later = run(api, ADULT, [[0, dose('adrenaline', 'iv', 50)]], 4.5).state[api.SLOTS.AD_C]!;
    inside(later / vein, 0.4, 0.6, 'left after one half-life');
    // Area under the curve is what arrives over clearance. By vein, 127 L/h at 70 kg (Abboud 2009, seen): 10 micrograms give
    // 4.7 ng/mL x min; by muscle and under the skin the same share of the dose arrives, sooner or later.
    const area = (input: PatientInput) => {
      const [model, s] = begin(api, ADULT);
      api.applyInput(model, s, input);
      let sum = 0;
      for (let i = 0; i < 300 * 120; i++) {
        api.stepPatient(model, s, 500);
        sum += s[api.SLOTS.AD_C]! / 120;
      }
      return sum;
    };
    const whole = area(dose('adrenaline', 'iv', 10));
    inside(whole, 2.8, 8, 'area by vein');
    const muscle = area(dose('adrenaline', 'im', 10));
    below(muscle, 1.02 * whole, 'no more arrives from muscle than from the vein');
    near(area(dose('adrenaline', 'subcutaneous', 10)) / muscle, 1, 0.03, 'as much from under the skin as from muscle');
    const rising = run(api, ADULT, [[0, { kind: 'infusion', effect: 'adrenaline', ratePerMin: 7 }]], 30);
    below(0.2, rising.state[api.SLOTS.AD_C]!, 'infusion of 0.1 microgram/kg/min');
    below(rising.at(0).meanMmHg + 2, rising.last.meanMmHg, 'and pressure rises');
  },
};

const late: Law = {
  name: 'a dose told late is where it would have been by now, every medicine, every route',
  source: 'linear kinetics: what a dose does does not depend on when it was written down',
  check(api) {
    const X = api.SLOTS;
    const slots: number[] = [X.AD_FAST, X.AD_SLOW, X.AD_SC, X.AD_NEB, X.AD_NEB_DEPOT, X.AD_C, X.AD_CE, X.AD_CX, X.STEROID, X.STEROID_MIN, X.VI, X.BV, X.FLUID_IN]; // prettier-ignore
    for (let i = 0; i < X.LEVEL_STRIDE * X.LEVEL_COUNT; i++) slots.push(X.LEVEL_BASE + i);
    const none = begin(api, ADULT)[1];
    for (const [effect, spec] of Object.entries(api.EFFECTS))
      for (const route of spec.routes as readonly Route[]) {
        const amount = { micrograms: 5, mg: 0.5, mL: 50 }[spec.unit] * (effect === 'ipratropium' ? 40 : 1);
        const end = (plan: Plan) => {
          const [model, s] = begin(api, ADULT);
          for (let i = 0; i <= 6 * 300; i++) {
            for (const [minute, input] of plan) if (Math.round(minute * 300) === i) api.applyInput(model, s, input);
            api.stepPatient(model, s, 200);
          }
          return s;
        };
        const input: PatientInput = { kind: 'dose', effect, route, amount };
        const prompt = end([[1, input]]);
        const told = end([[5, { ...input, lagMs: 240_000 }]]);
        for (const at of slots) {
          // Urine that a diuretic would have brought by now is not carried forward: only its level is.
          if (at === X.BV && effect !== 'crystalloid') continue;
          const size = Math.abs(prompt[at]! - none[at]!);
          // A nebulised or fluid dose is carried forward by one formula, not step by step: 10 %.
          if (size > 1e-4) near((told[at]! - none[at]!) / (prompt[at]! - none[at]!), 1, 0.1, `${effect} ${route}: slot ${at}`); // prettier-ignore
        }
      }
  },
};

const running: Law = {
  name: 'doses over time, infusions and ramps give what was asked for in the time asked for',
  source: 'bookkeeping',
  check(api) {
    const X = api.SLOTS;
    const model = api.buildPatient(ADULT);
    const s = api.createState(model);
    const go = (minutes: number) => {
      for (let i = 0; i < minutes * 600; i++) api.stepPatient(model, s, 100);
    };
    api.applyInput(model, s, dose('crystalloid', 'iv', 500, 10));
    api.applyInput(model, s, dose('crystalloid', 'iv', 100, 5));
    api.applyInput(model, s, drive('shunt', 0.2, 4));
    go(2);
    near(s[X.FLUID_IN]!, 140, 0.2, 'after two minutes');
    near(s[X.DRIVE_BASE + 4 * X.DRIVE_STRIDE]!, 0.1, 1e-6, 'half-way up a ramp');
    go(10);
    near(s[X.FLUID_IN]!, 600, 1e-6, 'all of both');
    near(s[X.DRIVE_BASE + 4 * X.DRIVE_STRIDE]!, 0.2, 1e-9, 'ramp done');
    api.applyInput(model, s, { kind: 'infusion', effect: 'crystalloid', ratePerMin: 10 });
    go(5);
    near(s[X.FLUID_IN]!, 650, 0.02, 'infusion');
    // A dose that has run for part of its time when it is told: the rest still runs.
    const half = api.createState(model);
    api.applyInput(model, half, { kind: 'dose', effect: 'crystalloid', route: 'iv', amount: 400, overMs: 480_000, lagMs: 120_000 }); // prettier-ignore
    for (let i = 0; i < 3600; i++) api.stepPatient(model, half, 100);
    near(half[X.FLUID_IN]!, 400, 1e-6, 'told late, all of it');
    const early = api.createState(model);
    api.applyInput(model, early, { kind: 'dose', effect: 'crystalloid', route: 'iv', amount: 400, overMs: 480_000, lagMs: 120_000 }); // prettier-ignore
    near(early[X.FLUID_IN]!, 100, 1e-6, 'told late, the first quarter');
  },
};

const volume: Law = {
  name: 'crystalloid: about half in the blood while it runs, 15 to 30 % half an hour later; volumes add up',
  source:
    'Hahn RG. Acta Anaesthesiol Scand 2020, doi 10.1111/aas.13533: 50-60 % while running, 15-20 % within 30 min (abstract seen); conservation of volume',
  check(api) {
    const X = api.SLOTS;
    const r = (minutes: number, plan: Plan) => run(api, ADULT, plan, minutes).state;
    const bag: Plan = [[0, dose('crystalloid', 'iv', 1000, 30)]];
    const own = r(30, [])[X.BV]!;
    inside(r(30, bag)[X.BV]! - own, 0.4, 0.65, 'litres held when it has run');
    inside(r(60, bag)[X.BV]! - own, 0.15, 0.33, 'litres held 30 min later');
    const reacting = run(api, ADULT, [[0, drive('mediators', 0.7, 1)], [3, dose('crystalloid', 'iv', 1000, 5)], [4, im(500)], [0, drive('bleeding', 0.5)]], 10); // prettier-ignore
    const s = reacting.state;
    const given = s[X.FLUID_IN]! / 1000;
    const bled = (0.5 * 70 * (10 * 300 + 1)) / 300 / 1000;
    near(s[X.BV]!, own + given - 0.75 * (given - s[X.VI]!) - s[X.LEAKED]! - bled, 1e-6, 'blood volume');
    below(0.15, s[X.LEAKED]!, 'plasma has leaked');
  },
};

const bleeding: Law = {
  name: 'bleeding: rate and vessels answer first, pressure falls late, refill lengthens, lactate rises',
  source:
    'American College of Surgeons classes of haemorrhage (from memory): up to 15 % little; 15-30 % fast pulse, narrow pulse pressure; 30-40 % low pressure',
  check(api) {
    for (const who of [ADULT, SEVEN]) {
      // 2 mL/kg/min: 15 % of blood in some 5 min, 30 % in 10, 40 % in 14.
      const r = run(api, who, [[0, drive('bleeding', 2)]], 15);
      const start = r.at(0);
      near(r.at(4).systolicMmHg / start.systolicMmHg, 1, 0.12, 'systolic at 11 %');
      below(start.heartRatePerMin * 1.12, r.at(9).heartRatePerMin, 'pulse at 25 %');
      below(r.at(9).systolicMmHg - r.at(9).diastolicMmHg, 0.85 * (start.systolicMmHg - start.diastolicMmHg), 'pulse pressure'); // prettier-ignore
      below(r.at(13).systolicMmHg, 0.8 * start.systolicMmHg, 'systolic at 37 %');
      below(start.capillaryRefillS + 1, r.at(12).capillaryRefillS, 'refill');
      below(r.at(12).perfusionFraction, 0.5, 'perfusion');
      const fluid = run(api, who, [[0, drive('bleeding', 2)], [8, drive('bleeding', 0)], [8, dose('crystalloid', 'iv', 20 * who.weightKg, 5)]], 14); // prettier-ignore
      const dry = run(
        api,
        who,
        [
          [0, drive('bleeding', 2)],
          [8, drive('bleeding', 0)],
        ],
        14,
      );
      below(dry.at(13).meanMmHg + 2, fluid.at(13).meanMmHg, 'fluid lifts pressure');
      const flat = run(api, who, [[0, drive('bleeding', 2)]], 7.5);
      const up = run(api, who, [[0, drive('bleeding', 2)], [7, posture('standing')]], 7.5); // prettier-ignore
      const legs = run(api, who, [[0, drive('bleeding', 2)], [7, posture('legs-raised')]], 7.5); // prettier-ignore
      below(up.last.systolicMmHg, flat.last.systolicMmHg - 5, 'standing drops it');
      below(flat.last.systolicMmHg, legs.last.systolicMmHg, 'raising the legs lifts it');
      const long = run(
        api,
        who,
        [
          [0, drive('bleeding', 2)],
          [13, drive('bleeding', 0)],
        ],
        30,
      );
      below(1.2, long.most('lactateMmolPerL'), 'lactate');
      below(long.least('arterialPh'), start.arterialPh - 0.008, 'pH');
    }
  },
};

const medicines: Law = {
  name: 'medicines: each does what its label says, in the direction and at about the time it says',
  source:
    'label texts and textbooks (from memory) for directions; naloxone by vein within 2 min (Buck ML. Pediatr Pharm 2002)',
  check(api) {
    const tight: Plan = [[0, drive('bronchospasm', 0.7, 3)]];
    const none = run(api, SEVEN, tight, 40);
    const with_ = (input: PatientInput) => run(api, SEVEN, [...tight, [6, input]], 40);
    for (const [effect, route, amount, minute, least] of [
      ['salbutamol', 'neb', 5, 25, 0.08],
      ['salbutamol', 'inhaled', 1, 25, 0.08],
      ['salbutamol', 'iv', 0.345, 20, 0.08],
      ['ipratropium', 'neb', 250, 35, 0.04],
      ['magnesium', 'iv', 920, 25, 0.04],
      ['aminophylline', 'iv', 115, 25, 0.015],
      ['adrenaline', 'im', 300, 16, 0.1],
    ] as const)
      below(with_(dose(effect, route, amount)).at(minute).bronchospasmFraction + least, none.at(minute).bronchospasmFraction, `${effect} ${route}`); // prettier-ignore
    // Faster heart from salbutamol and aminophylline in the well; magnesium lowers pressure, more when pushed in.
    const hr = (input: PatientInput) => run(api, ADULT, [[0, input]], 25).last.heartRatePerMin;
    const base = run(api, ADULT, [], 25).last;
    below(base.heartRatePerMin + 4, hr(dose('salbutamol', 'neb', 5)), 'salbutamol quickens');
    below(base.heartRatePerMin + 3, hr(dose('aminophylline', 'iv', 350)), 'aminophylline quickens');
    const slowly = run(api, ADULT, [[0, dose('magnesium', 'iv', 2000, 20)]], 21);
    const pushed = run(api, ADULT, [[0, dose('magnesium', 'iv', 2000)]], 21);
    below(slowly.last.meanMmHg, base.meanMmHg, 'magnesium lowers pressure');
    below(pushed.least('meanMmHg'), slowly.least('meanMmHg') - 2, 'pushed in: more');
    const flooded = run(api, ADULT, [[0, dose('magnesium', 'iv', 20000)]], 21);
    below(flooded.state[api.SLOTS.MVV]!, 0.5 * slowly.state[api.SLOTS.MVV]!, 'ten times: weak muscles');
    // Glucose, glucagon and adrenaline raise sugar; a low sugar takes consciousness, and glucose gives it back.
    const low: Plan = [[0, drive('glucose', -4)]];
    const faint = run(api, ADULT, low, 80);
    below(faint.last.consciousnessFraction, 0.4, 'low sugar');
    const fed = run(api, ADULT, [...low, [70, dose('glucose-10-percent', 'iv', 200)]], 75);
    below(faint.at(75).glucoseMmolPerL + 4, fed.last.glucoseMmolPerL, 'glucose');
    below(faint.at(75).consciousnessFraction + 0.4, fed.last.consciousnessFraction, 'wakes');
    below(5.3, run(api, ADULT, [[0, dose('glucagon', 'im', 1)]], 20).last.glucoseMmolPerL, 'glucagon');
    below(5.3, run(api, ADULT, [[0, dose('adrenaline', 'im', 500)]], 20).last.glucoseMmolPerL, 'adrenaline');
    below(base.heartRatePerMin + 5, run(api, ADULT, [[0, dose('glucagon', 'iv', 2)]], 6).last.heartRatePerMin, 'glucagon quickens'); // prettier-ignore
    // Morphine depresses in dose; naloxone undoes it in minutes.
    const ve = (mg: number, minute = 20) =>
      run(api, ADULT, [[0, dose('morphine', 'iv', mg)]], minute).last.ventilationRatio;
    below(ve(40), ve(20) - 0.05, 'morphine, dose');
    below(ve(20), 0.95, 'morphine');
    const deep: Plan = [[0, mask], [0, dose('morphine', 'iv', 80)]]; // prettier-ignore
    const asleep = run(api, ADULT, deep, 16);
    const woken = run(api, ADULT, [...deep, [12, dose('naloxone', 'iv', 400)]], 16);
    below(asleep.at(14).ventilationRatio + 0.15, woken.at(14).ventilationRatio, 'naloxone within two minutes');
    // Beta-blockade dulls adrenaline's effect on the heart and bronchi.
    const shot: Plan = [[0, dose('adrenaline', 'im', 500)]];
    below(run(api, ADULT, [...shot, [0, drive('beta-blockade', 1)]], 8).last.heartRatePerMin, run(api, ADULT, shot, 8).last.heartRatePerMin - 4, 'blocked'); // prettier-ignore
    below(base.heartRatePerMin + 6, run(api, ADULT, shot, 8).last.heartRatePerMin, 'adrenaline quickens the well');
  },
};

const overdose: Law = {
  name: 'adrenaline by vein, a tenth of a milligram and a whole one, in the well: fast, high, then irregular',
  source: 'label text (from memory): overdose gives hypertension, tachycardia, ventricular arrhythmia',
  check(api) {
    const at = (micrograms: number) => run(api, ADULT, [[1, dose('adrenaline', 'iv', micrograms)]], 5);
    const [small, hundred, whole] = [at(10), at(100), at(1000)];
    below(small.at(0).systolicMmHg, small.most('systolicMmHg') - 0.3, 'ten micrograms');
    below(small.most('systolicMmHg') + 5, hundred.most('systolicMmHg'), 'a hundred: pressure');
    below(hundred.most('systolicMmHg') + 20, whole.most('systolicMmHg'), 'a thousand: pressure');
    below(hundred.most('heartRatePerMin') + 10, whole.most('heartRatePerMin'), 'a thousand: rate');
    below(2, whole.most('rhythm'), 'a thousand: rhythm');
    near(small.most('rhythm'), 0, 1, 'ten micrograms: no arrhythmia');
  },
};

const opposed: Law = {
  name: 'a reaction in full spate needs more adrenaline for the same effect, and adrenaline slows it',
  source:
    'functional antagonism (receptor pharmacology, direction only); repeated doses after 5 min when there is no answer (RCUK 2021)',
  check(api) {
    const X = api.SLOTS;
    const child: PatientProfile = { ...SEVEN, illness: [{ disease: 'anaphylaxis', pattern: 'airway-led' }] };
    const jab: Plan = [[2, im(230)]];
    const effect = (hard: number) => {
      const r = run(api, child, [...(hard > 0 ? ([[0, drive('mediators', hard, 1)]] as Plan) : []), ...jab], 8);
      return { effect: r.state[X.AD_E]!, level: r.state[X.AD_CE]!, stops: r.state[X.AD_ER]! };
    };
    const [well, mild, hard] = [effect(0), effect(0.3), effect(0.9)];
    below(hard.effect, mild.effect - 0.02, 'effect at 0.9 against 0.3');
    below(hard.effect, well.effect - 0.02, 'effect at 0.9 against none');
    below(hard.stops, hard.effect, 'stopping release takes more than opening airways');
    below(hard.stops, well.stops - 0.05, 'and more in full spate');
    const twice = run(api, child, [[0, drive('mediators', 0.9, 1)], ...jab, [5, im(230)]], 12);
    const once = run(api, child, [[0, drive('mediators', 0.9, 1)], ...jab], 12);
    const none = run(api, child, [[0, drive('mediators', 0.9, 1)]], 12);
    below(twice.state[X.MED]!, once.state[X.MED]!, 'second dose');
    below(once.state[X.MED]!, none.state[X.MED]!, 'first dose');
    below(once.state[X.LEAKED]!, none.state[X.LEAKED]!, 'less leak');
    below(once.last.upperAirwayFraction, none.last.upperAirwayFraction, 'less swelling');
    below(once.state[X.SKIN]!, none.state[X.SKIN]!, 'less rash');
    const quiet = run(api, child, [[0, drive('mediators', 0.9, 1)], [1, dose('antihistamine', 'iv', 5)]], 12); // prettier-ignore
    below(quiet.state[X.SKIN]!, none.state[X.SKIN]! - 0.05, 'antihistamine: rash');
    near(quiet.last.meanMmHg, none.last.meanMmHg, 1e-9, 'antihistamine: pressure');
  },
};

const arrest: Law = {
  name: 'arrest: nothing comes of nothing; compressions give a quarter to a third of output; a shock ends fibrillation',
  source:
    'compressions 25-33 % of normal output (textbook, from memory); adult and paediatric life support (RCUK 2021)',
  check(api) {
    const X = api.SLOTS;
    const choking: PatientProfile = { ...SEVEN, illness: [{ disease: 'foreign-body', pattern: 'laryngeal-complete' }] };
    const choked: Plan = [];
    const r = run(api, choking, choked, 20);
    inside(r.arrestMin, 2, 12, 'arrest of a child with no air');
    near(r.last.arrested, 1, 0, 'nobody returns alone');
    near(r.last.rhythm, 8, 0, 'and complexes end');
    near(r.last.heartRatePerMin, 0, 0, 'with them the rate');
    const freed: Plan = [...choked, [r.arrestMin + 0.5, hands('object-removed')]];
    const at = r.arrestMin + 1;
    const cpr: Plan = [...freed, [at, hands('cpr', 110)], [at, oxygen('bag-mask', 15)], [at, hands('breaths-given', 12)]]; // prettier-ignore
    const pressed = run(api, choking, cpr, at + 1);
    if (pressed.last.arrested) inside(pressed.state[X.CO]! / (pressed.model.p as Record<string, number>)['co0']!, 0.15, 0.35, 'output of compressions'); // prettier-ignore
    const back = run(api, choking, [...cpr, [at + 1, dose('adrenaline', 'iv', 230)]], at + 14);
    near(back.last.arrested, 0, 0, 'compressions, breaths and adrenaline bring back');
    const slow = run(api, choking, cpr, at + 14);
    holds(back.when((v) => v.arrested === 0 && v.consciousnessFraction < 0.5) <= 20, 'there is a return');
    const first = (x: typeof back) => {
      for (let t = at; t < at + 14; t += 0.05) if (!x.at(t).arrested) return t;
      return Infinity;
    };
    below(first(back), first(slow), 'adrenaline hastens it');
    const handsOnly = run(api, choking, [...choked, [at, hands('cpr', 110)]], at + 12);
    near(handsOnly.last.arrested, 1, 0, 'no air, no return');
    // An overdose into an old heart fibrillates; compressions and a shock bring a rhythm.
    const old: PatientProfile = { ageYears: 70, weightKg: 70, sex: 'male' };
    const vf = run(api, old, [[1, dose('adrenaline', 'iv', 10000)]], 3);
    near(vf.last.rhythm, 6, 0, 'fibrillation');
    const shocked = run(api, old, [[1, dose('adrenaline', 'iv', 10000)], [2.5, hands('cpr', 110)], [2.5, oxygen('bag-mask', 15)], [2.5, hands('breaths-given', 10)], [3.5, hands('defibrillation', 4)]], 4); // prettier-ignore
    holds(shocked.last.rhythm !== 6, 'a shock ends it');
  },
};

const brain: Law = {
  name: 'consciousness needs oxygen, pressure, sugar and a PaCO2 that is not extreme; hypoxia quickens, then slows the heart',
  source:
    'textbook physiology; CO2 narcosis above about 90 mmHg (from memory); bradycardia of the hypoxic child (RCUK 2021)',
  check(api) {
    const low = run(api, SEVEN, [[0, drive('airway-block', 1)]], 4);
    const fast = low.most('heartRatePerMin');
    below(low.at(0).heartRatePerMin * 1.05, fast, 'quicker at first');
    const end = Math.min(low.arrestMin, 4) - 0.1;
    below(low.at(end).heartRatePerMin, 0.75 * fast, 'then slow');
    below(low.at(Math.min(end, 1.6)).consciousnessFraction, 0.2, 'and unconscious');
    const full = run(
      api,
      ADULT,
      [
        [0, oxygen('tube', undefined, 1)],
        [1, drive('opioid', 0.9)],
      ],
      60,
    );
    below(90, full.last.paco2MmHg, 'PaCO2 climbs on oxygen');
    below(full.last.consciousnessFraction, full.at(4).consciousnessFraction - 0.1, 'CO2 dulls');
    below(full.at(1).heartRatePerMin + 3, full.at(20).heartRatePerMin, 'CO2 quickens the heart');
    const hot = run(api, ADULT, [[0, drive('fever', 3)]], 60);
    inside(hot.last.temperatureCelsius, 39.7, 40, 'fever');
    inside(
      hot.last.heartRatePerMin - hot.at(0).heartRatePerMin,
      12,
      40,
      'about 10 a minute for each degree (textbook)',
    );
    const cold = run(api, ADULT, [[0, drive('fever', -3)]], 60);
    inside(cold.last.temperatureCelsius, 34, 34.3, 'cooling');
  },
};

const signsLaw: Law = {
  name: 'signs follow their causes, and a quiet chest can be a worse one',
  source: 'examination texts; directions only',
  check(api) {
    const grade = (sign: Parameters<InnerApi['readSign']>[2], plan: Plan, minutes = 10, who = SEVEN) => {
      const r = run(api, who, plan, minutes);
      return api.readSign(r.model, r.state, sign);
    };
    const rising = (sign: Parameters<InnerApi['readSign']>[2], id: string, levels: readonly number[], minutes = 10) => {
      let last = -1;
      for (const to of levels) {
        const found = grade(sign, [[0, drive(id, to)], [0, mask]], minutes); // prettier-ignore
        inside(found, Math.max(last, 0), 4, `${sign} by ${id} ${to}`);
        last = found;
      }
      inside(last, 2, 4, `${sign} at its most`);
    };
    rising('wheeze', 'bronchospasm', [0.2, 0.4, 0.65]);
    rising('stridor', 'upper-airway-oedema', [0.2, 0.5, 0.75], 20);
    rising('swelling', 'upper-airway-oedema', [0.2, 0.5, 0.8], 20);
    rising('work-of-breathing', 'bronchospasm', [0.2, 0.5, 0.8]);
    rising('cannot-talk', 'bronchospasm', [0.3, 0.6, 0.9]);
    rising('rash', 'mediators', [0.1, 0.4, 0.9]);
    rising('gut', 'mediators', [0.1, 0.4, 0.9]);
    rising('drowsiness', 'opioid', [0.2, 0.7, 0.95], 4);
    rising('agitation', 'agitation', [0.1, 0.5, 1], 2);
    inside(grade('cyanosis', [[0, drive('shunt', 0.55)]]), 2, 4, 'cyanosis');
    inside(grade('poor-perfusion', [[0, drive('bleeding', 2)]], 11), 2, 4, 'poor perfusion');
    near(grade('apnoea', [[0, drive('paralysis', 1)]], 1), 4, 0, 'apnoea');
    inside(grade('fatigue', [[0, drive('bronchospasm', 1)], [0, mask]], 25), 2, 4, 'fatigue'); // prettier-ignore
    inside(grade('silent-chest', [[0, drive('bronchospasm', 1)], [0, mask]], 25), 1, 4, 'silent chest'); // prettier-ignore
  },
};

export const BODY_LAWS: readonly Law[] = [
  rest,
  norms,
  plasma,
  late,
  running,
  volume,
  bleeding,
  medicines,
  overdose,
  opposed,
  arrest,
  brain,
  signsLaw,
];
