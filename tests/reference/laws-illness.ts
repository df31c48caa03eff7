/** Laws of single illnesses and of how medicines add up, each with its source, on any copy of the package. */
import { run as runBy, dose, drive, hands, mask, oxygen, type Plan } from './behaviours.ts';
import { below, holds, inside, near, type InnerApi, type Law } from './checks.ts';
import type { PatientProfile } from '../../packages/patient/src/index.ts';

/** Courses in steps of 200 ms, which move nothing by 1 % (step-size.test.ts) and take half the time. */
const run = (api: InnerApi, who: PatientProfile, plan: Plan, minutes: number) => runBy(api, who, plan, minutes, 200);

const SEVEN: PatientProfile = { ageYears: 7, weightKg: 23, sex: 'female' };
const ADULT: PatientProfile = { ageYears: 30, weightKg: 70, sex: 'male' };
const ill = (who: PatientProfile, disease: string, pattern?: string, startedMinutesAgo = 0): PatientProfile => ({
  ...who,
  illness: [{ disease, ...(pattern === undefined ? {} : { pattern }), startedMinutesAgo }],
});

export const ILLNESS_LAWS: readonly Law[] = [
  {
    name: 'an illness twice as fast is where it would be in twice the time, and only bronchiolitis brings pauses',
    source: 'meaning of tempo; apnoea of infancy belongs to bronchiolitis (texts)',
    check(api) {
      const X = api.SLOTS;
      const order = api.DISEASE_ORDER as readonly string[];
      for (const [i, disease] of order.entries()) {
        const spec = api.DISEASES[disease as keyof typeof api.DISEASES];
        const at = (tempo: number, minutes: number) =>
          run(api, { ...ADULT, illness: [{ disease, pattern: spec!.usualPattern, severity: 0.5, tempo }] }, [], minutes).state[X.ACT_BASE + i]!; // prettier-ignore
        near(at(2, 2), at(1, 4), 0.006, `${disease}: activity`);
        if (disease === 'bronchiolitis') continue;
        const baby = { ageYears: 0.12, weightKg: 4.5, sex: 'male' as const };
        const r = run(api, { ...baby, illness: [{ disease, pattern: spec!.usualPattern, severity: 0.4, startedMinutesAgo: 10 }] }, [[0, mask]], 5); // prettier-ignore
        near(r.state[X.PAUSE_COUNT]!, 0, 0, `${disease}: pauses`);
      }
      // Two at once: laying out the second leaves the first alone.
      const both = { ageYears: 0.12, weightKg: 4.5, sex: 'male' as const, illness: [{ disease: 'croup', severity: 0.3, startedMinutesAgo: 30 }, { disease: 'bronchiolitis', severity: 0.3, startedMinutesAgo: 30 }] }; // prettier-ignore
      near(
        run(api, both, [[0, mask]], 4).state[X.PAUSE_COUNT]!,
        0,
        0,
        'croup and bronchiolitis without apnoea: pauses',
      );
      const partial = run(
        api,
        ill({ ageYears: 4, weightKg: 16, sex: 'male' }, 'foreign-body', 'laryngeal-partial'),
        [],
        1,
      );
      const left = 1 - partial.state[X.OBJECT]!;
      near(partial.state[X.R_UPPER]! * left ** 4, 1, 0.05, 'Poiseuille past an object');
    },
  },
  {
    name: 'a drive takes an illness over from where it had got to',
    source: 'bookkeeping',
    check(api) {
      const order = api.DISEASE_ORDER as readonly string[];
      for (const disease of ['pneumonia', 'pulmonary-oedema', 'croup']) {
        const who: PatientProfile = { ageYears: 4, weightKg: 16, sex: 'male', illness: [{ disease, startedMinutesAgo: 30, severity: 0.8 }] }; // prettier-ignore
        const at = api.SLOTS.ACT_BASE + order.indexOf(disease);
        const had = run(api, who, [], 0.1).state[at]!;
        below(0.3, had, `${disease}: active`);
        near(run(api, who, [[0.05, drive(disease, 0.9, 10)]], 0.1).state[at]!, had, 0.02, disease);
      }
    },
  },
  {
    name: 'a retainer at rest has the bicarbonate of a chronic high PaCO2; wet lungs wheeze',
    source: '3.5 mmol/L for each 10 mmHg of chronic rise (textbook, from memory); cardiac asthma (texts)',
    check(api) {
      const X = api.SLOTS;
      const who: PatientProfile = { ageYears: 68, weightKg: 70, sex: 'male', illness: [{ disease: 'copd', pattern: 'retainer', severity: 0.01 }] }; // prettier-ignore
      const r = run(api, who, [], 1);
      near(r.state[X.HCO3]!, 24.1 + 0.35 * (r.last.paco2MmHg - 40), 0.5, 'bicarbonate');
      inside(r.last.arterialPh, 7.34, 7.42, 'pH');
      const wet = run(api, ill({ ageYears: 72, weightKg: 75, sex: 'female' }, 'pulmonary-oedema', 'flash'), [], 15);
      below(0.08, wet.state[X.B]!, 'wheeze of water');
      const sum = (s: Float64Array, id: string) => s[X.MECH_BASE + (api.mechanisms.MECHANISMS as readonly string[]).indexOf(id)]!; // prettier-ignore
      for (const [id, least] of [
        ['shunt', 0.38],
        ['stiffness', 2.2],
        ['lostGas', 0.25],
        ['urge', 0.35],
        ['plugging', 0.16],
      ] as const)
        // prettier-ignore
        inside(sum(wet.state, id), 0.95 * least * wet.state[X.WATER]!, 5, `${id} of water`);
      // Rich oxygen adds dead space to a retainer: 0.07 at full (Aubier 1980, from memory; size of the model's README).
      const full: PatientProfile = {
        ...who,
        illness: [{ disease: 'copd', pattern: 'retainer', startedMinutesAgo: 30 }],
      };
      const [air, rich] = [run(api, full, [], 25).state, run(api, full, [[0, mask]], 25).state];
      near(sum(rich, 'deadSpace') - sum(air, 'deadSpace'), 0.07 * (rich[X.UNMATCHED]! - air[X.UNMATCHED]!), 0.002, 'dead space of rich oxygen'); // prettier-ignore
      below(air[X.UNMATCHED]! + 0.3, rich[X.UNMATCHED]!, 'unmatched');
    },
  },
  {
    name: 'a pressure that cannot be is refused, one that can is not',
    source: 'arithmetic: a diastolic at least 5 mmHg below the systolic',
    check(api) {
      const at = (diastolicMmHg: number) =>
        api.buildPatient({ ...ADULT, baseline: { systolicMmHg: 100, diastolicMmHg } });
      at(94);
      let refused = false;
      try {
        at(97);
      } catch {
        refused = true;
      }
      holds(refused, '100/97');
    },
  },
  {
    name: 'steroids: nothing for two hours in a reaction or asthma, half an hour in croup, then more as time passes',
    source:
      'RCUK 2021, BTS/SIGN 158: onset in hours; croup: Dobrovoljac M, Geelhoed GC. Emerg Med Australas 2012;24:79-85 (from memory)',
    check(api) {
      const X = api.SLOTS;
      const act = (minutes: number, given: boolean) =>
        run(api, ill(SEVEN, 'asthma', 'moderate', 30), given ? [[0, dose('prednisolone', 'oral', 40)]] : [], minutes)
          .state[X.ACT_BASE]!;
      near(act(110, true), act(110, false), 1e-12, 'asthma at 110 min');
      const early = act(150, false) - act(150, true);
      const late = act(300, false) - act(300, true);
      inside(early, 0.02, 0.3, 'asthma at 150 min');
      below(early + 0.1, late, 'asthma at 300 min: more');
      inside(late / act(300, false), 0.2, 0.6, 'asthma at 300 min: not all');
      const toddler = ill({ ageYears: 2, weightKg: 12, sex: 'male' }, 'croup', 'viral', 30);
      const swelling = (minutes: number, given: boolean) =>
        run(api, toddler, given ? [[0, dose('dexamethasone', 'oral', 1.8)]] : [], minutes).state[X.ACT_BASE + 1]!;
      near(swelling(25, true), swelling(25, false), 1e-12, 'croup at 25 min');
      const soon = swelling(40, false) - swelling(40, true);
      inside(soon, 0.02, 0.2, 'croup at 40 min');
      below(soon + 0.1, swelling(120, false) - swelling(120, true), 'croup at 120 min');
      const reaction = (given: boolean) =>
        run(api, SEVEN, [[0, drive('mediators', 0.1)], ...(given ? ([[0, dose('hydrocortisone', 'iv', 100)]] as Plan) : [])], 240).state[X.RELEASE]!; // prettier-ignore
      below(reaction(true), 0.85 * reaction(false), 'reaction at four hours');
    },
  },
  {
    name: 'a reaction left to itself rises and fades; one under way at the start is further on; it can come back',
    source: 'Pumphrey 2000 (minutes, not hours, to the worst); biphasic return after an interval without signs (texts)',
    check(api) {
      const X = api.SLOTS;
      const course = (pattern: string, ago: number, plan: Plan, minutes: number) =>
        run(api, ill(ADULT, 'anaphylaxis', pattern, ago), plan, minutes).state;
      const first = course('venom', 0, [], 1)[X.RELEASE]!;
      const worst = course('venom', 0, [], 3)[X.RELEASE]!;
      const gone = course('venom', 0, [[1, dose('adrenaline', 'im', 500)], [1, mask]], 25)[X.RELEASE]!; // prettier-ignore
      below(first, worst, 'rises');
      inside(first, 0.2, 0.8, 'at one minute');
      below(gone, 0.3 * worst, 'fades');
      below(course('venom', 0, [], 2)[X.MED]! + 0.05, course('venom', 4, [], 2)[X.MED]!, 'under way');
      const quick = run(api, { ...ADULT, illness: [{ disease: 'anaphylaxis', pattern: 'venom', tempo: 2 }] }, [], 2);
      below(course('venom', 0, [], 2)[X.MED]!, quick.state[X.MED]! - 0.02, 'tempo');
    },
  },
  {
    name: 'all that a reaction brought goes when it stops and adrenaline is given',
    source: 'texts; direction only',
    check(api) {
      const X = api.SLOTS;
      const who = ill(SEVEN, 'anaphylaxis', 'food');
      const hard: Plan = [[0, drive('mediators', 0.7, 1)], [0, mask]]; // prettier-ignore
      const then = run(api, who, hard, 7).state;
      const stop: Plan = [...hard, [7, drive('mediators', 0)], [7, dose('adrenaline', 'im', 230)], [12, dose('adrenaline', 'im', 230)]]; // prettier-ignore
      const after = run(api, who, stop, 60).state;
      for (const [slot, what] of [
        [X.MED, 'mediators'],
        [X.B, 'bronchospasm'],
        [X.U, 'swelling'],
        [X.SKIN, 'rash'],
        [X.GUT, 'gut'],
      ] as const) {
        inside(then[slot]!, 0.1, 1.4, `${what} at 7 min`);
        below(after[slot]!, 0.35 * then[slot]!, `${what} at 60 min`);
      }
    },
  },
  {
    name: 'more of a medicine does more, and each further dose adds less',
    source: 'saturable dose-response (receptor pharmacology); doubling beyond the usual dose gains little',
    check(api) {
      const X = api.SLOTS;
      const tight: Plan = [[0, drive('bronchospasm', 0.7, 1)], [0, drive('upper-airway-oedema', 0.5, 1)]]; // prettier-ignore
      for (const [effect, route, amount, slot, minute] of [
        ['salbutamol', 'neb', 3.45, X.B, 25],
        ['ipratropium', 'neb', 276, X.B, 40],
        ['magnesium', 'iv', 920, X.B, 20],
        ['aminophylline', 'iv', 115, X.B, 20],
        ['adrenaline', 'neb', 5000, X.U, 30],
        ['adrenaline', 'im', 230, X.B, 15],
      ] as const) {
        const at = (share: number) =>
          run(api, SEVEN, share > 0 ? [...tight, [5, dose(effect, route, share * amount)]] : tight, minute).state[
            slot
          ]!;
        const levels = [0, 0.25, 0.5, 1, 2].map(at);
        for (let i = 1; i < levels.length; i++)
          below(levels[i]!, levels[i - 1]! - 1e-4, `${effect} ${route}, step ${i}`);
        below(levels[3]! - levels[4]!, levels[0]! - levels[3]!, `${effect} ${route}: the second dose adds less`);
      }
    },
  },
  {
    name: 'each disease is run by its own drive and by no other',
    source: 'bookkeeping',
    check(api) {
      const X = api.SLOTS;
      const order = ['asthma', 'croup', 'bronchiolitis', 'foreign-body', 'pneumonia', 'copd', 'opioid', 'pneumothorax', 'pulmonary-oedema']; // prettier-ignore
      order.forEach((id, i) => {
        const s = run(api, ADULT, [[0, drive(id, 0.4)]], 1).state;
        for (let k = 0; k < order.length; k++)
          near(s[X.ACT_BASE + k]!, k === i ? 0.4 : 0, 1e-9, `${id}: activity of ${order[k]!}`);
        const off = run(api, ADULT, [[0, drive(id, 0.4, 1)], [1.5, drive(id, 0, 1)]], 3).state; // prettier-ignore
        near(off[X.ACT_BASE + i]!, 0, 1e-9, `${id}: off`);
      });
    },
  },
  {
    name: 'pneumothorax: air on the side named, less oxygen, a wider end-tidal gap; a needle leaves some of it',
    source: 'Roberts DJ et al. Ann Surg 2015;261:1068-78 (hypoxia before collapse when breathing; from memory)',
    check(api) {
      const X = api.SLOTS;
      for (const [pattern, own, other] of [
        ['left-tension', X.AIR_LEFT, X.AIR_RIGHT],
        ['right-tension', X.AIR_RIGHT, X.AIR_LEFT],
        ['left-simple', X.AIR_LEFT, X.AIR_RIGHT],
      ] as const) {
        const side = pattern.startsWith('left') ? 'left' : 'right';
        const who = ill({ ...ADULT, ageYears: 25 }, 'pneumothorax', pattern);
        const r = run(api, who, [], 11);
        below(0.3, r.state[own]!, `${pattern}: air`);
        near(r.state[other]!, 0, 0, `${pattern}: other side`);
        below(
          r.last.spo2Percent,
          r.at(0).spo2Percent - (pattern.endsWith('tension') ? 3 : 0.7),
          `${pattern}: saturation`,
        );
        below(r.at(0).paco2MmHg - r.at(0).etco2MmHg + 0.3, r.last.paco2MmHg - r.last.etco2MmHg, `${pattern}: gap`);
        const eased = run(api, who, [[9, hands('needle-decompression', undefined, side)]], 12);
        inside(eased.state[own]!, 0.08, 0.45, `${pattern}: after a needle`);
        const drained = run(api, who, [[9, hands('chest-drain', undefined, side)]], 14);
        below(drained.state[own]!, 0.08, `${pattern}: after a drain`);
      }
    },
  },
  {
    name: 'water in the lungs quickens breathing and stiffens; a partial block is coughed up; pauses keep their distance',
    source: 'texts (directions); apnoea of infancy: pauses of 10 to 60 s, minutes apart (from memory)',
    check(api) {
      const X = api.SLOTS;
      const wet = run(api, ill({ ageYears: 72, weightKg: 75, sex: 'female' }, 'pulmonary-oedema', 'flash'), [], 15);
      below(wet.at(0).respiratoryRatePerMin * 1.3, wet.last.respiratoryRatePerMin, 'breathing rate');
      below(wet.last.spo2Percent, wet.at(0).spo2Percent - 3, 'saturation');
      below(wet.state[X.MVV]!, 0.7 * run(api, ADULT, [], 1).state[X.MVV]!, 'reserve');
      const partial = run(
        api,
        ill({ ageYears: 4, weightKg: 16, sex: 'male' }, 'foreign-body', 'laryngeal-partial'),
        [],
        60,
      );
      near(partial.state[X.OBJECT_OUT]!, 1, 0, 'coughed up within the hour');
      const newborn = ill({ ageYears: 0.12, weightKg: 4.5, sex: 'male' }, 'bronchiolitis', 'with-apnoea', 30);
      const pausing = run(api, newborn, [[0, oxygen('nasal-cannula', 2)]], 20);
      inside(pausing.state[X.PAUSE_COUNT]!, 3, 20, 'pauses in twenty minutes');
      let [shortest, longest, since] = [Infinity, 0, 0];
      for (let t = 0; t < 20; t += 0.05) {
        if (pausing.at(t).respiratoryRatePerMin > 5) {
          if (since > 0) [shortest, longest] = [Math.min(shortest, since), Math.max(longest, since)];
          since = 0;
        } else since += 0.05;
      }
      inside(longest, 0.15, 1.6, 'longest pause, min');
    },
  },
  {
    name: 'consciousness goes when pressure does, and a tired child is duller than the saturation says',
    source:
      'cerebral flow holds down to about three quarters of usual mean pressure and is lost near a third (textbook, from memory)',
    check(api) {
      const bled = run(api, ADULT, [[0, drive('bleeding', 3)], [0, mask]], 20); // prettier-ignore
      const start = bled.at(0).meanMmHg;
      let seen = false;
      for (let t = 0; t < 20; t += 0.05) {
        const v = bled.at(t);
        if (v.arrested) break;
        if (v.meanMmHg > 0.75 * start) below(0.9, v.consciousnessFraction, `awake at ${t} min`);
        if (v.meanMmHg > 0.62 * start) below(0.65, v.consciousnessFraction, `dull at most at ${t} min`);
        if (v.meanMmHg < 0.4 * start) {
          seen = true;
          below(v.consciousnessFraction, 0.75, `not awake at ${t} min`);
        }
      }
      holds(seen, 'pressure went that low');
      const tired = run(api, SEVEN, [[0, drive('bronchospasm', 1)], [0, mask]], 18); // prettier-ignore
      below(92, tired.last.spo2Percent, 'saturation on oxygen');
      below(tired.last.consciousnessFraction, 0.97, 'duller');
      const worn = run(api, SEVEN, [[0, dose('adrenaline', 'im', 3000)]], 90);
      const later = worn.state[api.SLOTS.STRAIN]!;
      inside(later, 0.05, 0.4, 'a heart worn by an overdose, half mended after an hour and a half');
      const choked = run(api, SEVEN, [[0, drive('shunt', 0.6)], [0, drive('heart-weakness', 0.6)]], 12); // prettier-ignore
      below(choked.at(0).lactateMmolPerL + 0.3, choked.most('lactateMmolPerL'), 'lactate of want');
    },
  },
];
