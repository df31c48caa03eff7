/**
 * What every course must do, as properties over age, size, severity, pattern and disease. Tolerances stand beside each law,
 * with the reason; none is zero where a body overshoots before it settles.
 */
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { bundled } from '../../packages/patient/test/bundled.ts';
import type { PatientInput, PatientProfile, TrueVitals } from '@breathline/patient';
import { dose, drive, run as runBy, type Plan, type Run } from './behaviours.ts';
import { anyone, personAt, runs } from './people.ts';

const api = await bundled();

const { DISEASES, ageNorms } = api;

/** Courses in steps of 250 ms, which move nothing by 1 % (step-size.test.ts). */
const run = (_: typeof api, who: PatientProfile, plan: Plan, minutes: number) => runBy(api, who, plan, minutes, 250);

/** Ages at which each disease is met. */
const AGES: Readonly<Record<string, readonly [number, number]>> = {
  anaphylaxis: [0, 90],
  asthma: [2, 90],
  croup: [0.5, 6],
  bronchiolitis: [0, 1],
  'foreign-body': [0.5, 90],
  pneumonia: [0, 90],
  copd: [40, 90],
  'opioid-toxicity': [0, 90],
  pneumothorax: [0, 90],
  'pulmonary-oedema': [20, 90],
};

/**
 * Patterns that get better by themselves, on purpose: a cough may bring up what blocks only in part, an opioid fades, pauses
 * end, and moderate asthma is not a severe course.
 */
const MENDING = new Set(['laryngeal-partial', 'with-apnoea', 'short-acting', 'moderate']);
const COURSES = Object.entries(DISEASES).flatMap(([disease, spec]) =>
  Object.keys(spec.patterns)
    .filter((pattern) => !MENDING.has(pattern))
    .map((pattern) => [disease, pattern] as const),
);

const illPerson = (disease: string, pattern: string, severity: number, startedMinutesAgo = 0) =>
  anyone(...AGES[disease]!).map((who): PatientProfile => ({
    ...who,
    illness: [{ disease, pattern, severity, startedMinutesAgo }],
  }));

/** Anaphylaxis is kept going, as by an allergen still being taken up: its own trigger fades. */
const kept = (disease: string, severity: number): Plan =>
  disease === 'anaphylaxis' ? [[0, drive('mediators', 0.9 * severity, 1)]] : [];

const minutes = (r: Run, until: number, test: (v: TrueVitals) => boolean) => {
  let n = 0;
  for (let i = 0; i <= until * 20; i++) if (test(r.at(i / 20))) n++;
  return n / 20;
};

describe('untreated, a severe course never improves', () => {
  // After saturation, consciousness and pressure have fallen, none comes back by more than an overshoot: 1 point, 0.03, 6 %.
  // A pressure above the patient's own is the body's alarm, not recovery: counted as their own. An opioid wears off, and CO2 that
  // climbs draws some breaths, so its saturation may creep up in whoever lives: there the law is that nobody who was blue (below
  // 75 %) gets to 85 %, and nobody who was out (below 0.3) comes round.
  it.each(COURSES)('%s, %s', (disease, pattern) => {
    fc.assert(
      fc.property(
        fc
          .double({ min: disease === 'opioid-toxicity' ? 0.98 : 0.85, max: 1, noNaN: true })
          .chain((severity) => fc.tuple(illPerson(disease, pattern, severity), fc.constant(severity))),
        ([who, severity]) => {
          const r = run(api, who, kept(disease, severity), 45);
          const lowest = { spo2Percent: Infinity, consciousnessFraction: Infinity, meanMmHg: Infinity };
          const slack = {
            spo2Percent: 1,
            consciousnessFraction: 0.03,
            meanMmHg: 0.06 * r.at(0).meanMmHg,
          };
          let stopped = false;
          for (let t = 0; t <= 45; t += 0.5) {
            const v = r.at(t);
            if (stopped) expect(v.arrested, 'stays in arrest').toBe(1);
            else if (disease === 'opioid-toxicity') {
              lowest.spo2Percent = Math.min(lowest.spo2Percent, v.spo2Percent);
              lowest.consciousnessFraction = Math.min(lowest.consciousnessFraction, v.consciousnessFraction);
              if (lowest.spo2Percent < 75) expect(v.spo2Percent, `${t} min`).toBeLessThan(85);
              if (lowest.consciousnessFraction < 0.3) expect(v.consciousnessFraction, `${t} min`).toBeLessThan(0.4);
            } else if (!v.arrested)
              for (const id of ['spo2Percent', 'consciousnessFraction', 'meanMmHg'] as const) {
                const now = Math.min(v[id], r.at(0)[id]);
                expect(now, `${id} at ${t} min`).toBeLessThanOrEqual(lowest[id] + slack[id]);
                lowest[id] = Math.min(lowest[id], now);
              }
            stopped = v.arrested > 0;
          }
        },
      ),
      runs(2),
    );
  });
});

describe('more severe never does better', () => {
  // Counted in steps of 3 s: two steps of slack.
  it.each(COURSES)('%s, %s', (disease, pattern) => {
    const two = fc
      .tuple(fc.double({ min: 0.3, max: 1, noNaN: true }), fc.double({ min: 0.1, max: 0.5, noNaN: true }))
      .filter(([severe, less]) => severe - less >= 0.15);
    fc.assert(
      fc.property(two, anyone(...AGES[disease]!), ([severe, less], person) => {
        const at = (severity: number) =>
          run(api, { ...person, illness: [{ disease, pattern, severity }] }, kept(disease, severity), 40);
        const [worse, better] = [at(severe), at(less)];
        const low = ageNorms(person.ageYears).systolicLowMmHg;
        expect(worse.arrestMin).toBeLessThanOrEqual(better.arrestMin + 0.1);
        const until = Math.min(worse.arrestMin, better.arrestMin, 40);
        const say = `${severe} against ${less}`;
        for (const [what, test] of [
          ['below 90 %', (v: TrueVitals) => v.spo2Percent < 90],
          ['below the pressure limit', (v: TrueVitals) => v.systolicMmHg < low],
        ] as const)
          expect(minutes(worse, until, test), `${what}, ${say}`).toBeGreaterThanOrEqual(
            minutes(better, until, test) - 0.1,
          );
        const least = (r: Run) => Math.min(...Array.from({ length: Math.floor(until * 20) + 1 }, (_, i) => r.at(i / 20).consciousnessFraction)); // prettier-ignore
        expect(least(worse), say).toBeLessThanOrEqual(least(better) + 0.02);
      }),
      runs(2),
    );
  });
});

describe('adrenaline at 2 min beats adrenaline at 8 min', () => {
  const course = (who: PatientProfile, hard: number, at: number) =>
    run(api, who, [
      [0, drive('mediators', hard, 1)],
      [at, dose('adrenaline', 'im', Math.min(10 * who.weightKg, 500))],
    ], 25); // prettier-ignore
  const measures = (who: PatientProfile, r: Run) => ({
    saturation: minutes(r, 25, (v) => v.spo2Percent < 90),
    pressure: minutes(r, 25, (v) => v.systolicMmHg < ageNorms(who.ageYears).systolicLowMmHg),
    awake: r.least('consciousnessFraction'),
    arrest: r.arrestMin,
  });
  it('is never worse on any of the four counts, at any age and in any pattern', () => {
    fc.assert(
      fc.property(
        anyone(0.3),
        fc.constantFrom(...Object.keys(DISEASES['anaphylaxis']!.patterns)),
        fc.double({ min: 0.5, max: 1, noNaN: true }),
        (person, pattern, hard) => {
          const who = { ...person, illness: [{ disease: 'anaphylaxis', pattern }] };
          const early = measures(who, course(who, hard, 2));
          const late = measures(who, course(who, hard, 8));
          expect(early.saturation).toBeLessThanOrEqual(late.saturation + 0.1);
          expect(early.pressure).toBeLessThanOrEqual(late.pressure + 0.1);
          expect(early.awake).toBeGreaterThanOrEqual(late.awake - 0.01);
          expect(early.arrest).toBeGreaterThanOrEqual(late.arrest - 0.1);
        },
      ),
      runs(10),
    );
  });
  it('is better on each of the four in a hard reaction', () => {
    for (const [ageYears, weightKg] of [
      [7, 23],
      [48, 82],
    ] as const) {
      const who: PatientProfile = { ageYears, weightKg, sex: 'male', illness: [{ disease: 'anaphylaxis', pattern: 'airway-led' }] }; // prettier-ignore
      const early = measures(who, course(who, 1, 2));
      const late = measures(who, course(who, 1, 8));
      expect(early.saturation).toBeLessThan(late.saturation - 5);
      expect(early.pressure).toBeLessThan(late.pressure - 3);
      expect(early.awake).toBeGreaterThan(late.awake + 0.3);
      expect(late.arrest).toBeLessThan(25);
      expect(early.arrest).toBe(Infinity);
    }
  });
});

describe('a steroid alone', () => {
  // Onset is hours: RCUK 2021 (anaphylaxis), BTS/SIGN 158 (asthma); croup from half an hour (Dobrovoljac & Geelhoed 2012).
  it.each(Object.entries(DISEASES).map(([d, spec]) => [d, spec.usualPattern] as const))(
    'changes no vital in 15 minutes: %s, %s',
    (disease, pattern) => {
      const [least, most] = AGES[disease]!;
      const who = {
        ...personAt((least + Math.min(most, 80)) / 2),
        illness: [{ disease, pattern, startedMinutesAgo: 5 }],
      };
      const none = run(api, who, kept(disease, 1), 16);
      for (const [effect, route, amount] of [
        ['hydrocortisone', 'iv', 200],
        ['dexamethasone', 'oral', 6],
      ] as const) {
        const given = run(api, who, [...kept(disease, 1), [1, dose(effect, route, amount)]], 16);
        for (let t = 0; t <= 16; t += 0.25) expect(given.at(t), `${effect} at ${t} min`).toEqual(none.at(t));
      }
    },
  );
});

describe('standing a shocked patient up', () => {
  // Pumphrey RS. J Allergy Clin Immunol 2003;112:451-2: deaths within seconds of a more upright posture (seen second-hand at
  // bestbets.org/bets/bet.php?id=2521).
  it('drops pressure within half a minute at every age that stands, and far more than in the well', () => {
    fc.assert(
      fc.property(anyone(3), fc.constantFrom('venom', 'iv-drug', 'no-rash'), (person, pattern) => {
        const who = { ...person, illness: [{ disease: 'anaphylaxis', pattern }] };
        const hard: Plan = [[0, drive('mediators', 0.9, 1)]];
        const flat = run(api, who, hard, 12);
        const limit = ageNorms(who.ageYears).systolicLowMmHg;
        const at = flat.when((v) => v.systolicMmHg < limit + 5);
        fc.pre(at < 11 && flat.arrestMin > at + 1);
        const stand: PatientInput = { kind: 'posture', posture: 'standing' };
        const up = run(api, who, [...hard, [at, stand]], at + 1);
        expect(up.at(at + 0.5).systolicMmHg).toBeLessThan(flat.at(at + 0.5).systolicMmHg - 5);
        const well = run(api, person, [[1, stand]], 2);
        const drop = well.at(0).systolicMmHg - well.at(1.5).systolicMmHg;
        expect(flat.at(at + 0.5).systolicMmHg - up.at(at + 0.5).systolicMmHg).toBeGreaterThan(0.9 * drop);
      }),
      runs(6),
    );
  });
  it('can kill: an adult whose pressure has just failed arrests sooner standing than lying', () => {
    const who: PatientProfile = { ageYears: 48, weightKg: 82, sex: 'male', illness: [{ disease: 'anaphylaxis', pattern: 'venom' }] }; // prettier-ignore
    const hard: Plan = [[0, drive('mediators', 0.9, 1)]];
    const flat = run(api, who, hard, 20);
    const up = run(api, who, [...hard, [6, { kind: 'posture', posture: 'standing' }]], 20);
    expect(up.arrestMin).toBeLessThan(flat.arrestMin - 0.5);
  });
});

describe('shunt against oxygen', () => {
  // Berggren SM. Acta Physiol Scand 1942;4 S11: CaO2 = CcO2 - d Qs/Qt/(1 - Qs/Qt) at an arterio-venous difference d.
  it('25 % reaches 94 %, 50 % does not reach 90, at any difference of 4 to 6 mL/dL, haemoglobin 8 to 15', () => {
    const { alveolarPo2, content, po2OfContent, saturation } = api.equations;
    fc.assert(
      fc.property(
        fc.double({ min: 4, max: 6, noNaN: true }),
        fc.double({ min: 8, max: 15, noNaN: true }),
        fc.double({ min: 0.9, max: 1, noNaN: true }),
        (difference, hb, fio2) => {
          const after = (shunt: number) => {
            const arterial = content(alveolarPo2(fio2, 40), hb, 1) - (difference * shunt) / (1 - shunt);
            return 100 * saturation(po2OfContent(arterial, hb, 1, 60));
          };
          expect(after(0.25)).toBeGreaterThanOrEqual(94);
          expect(after(0.5)).toBeLessThan(90);
        },
      ),
      runs(200),
    );
  });
});
