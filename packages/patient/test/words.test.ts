/** Findings in words that fit the age, and what overdoses look like. */
import { describe, expect, it } from 'vitest';
import { readFindings, readSign } from '../src/index.ts';
import type { PatientInput, PatientProfile } from '../src/index.ts';
import { SLOTS as X } from '../src/core/layout.ts';
import { adrenalineIm, course, drive } from './helpers.ts';
import type { Timed } from './helpers.ts';

const BABY: PatientProfile = {
  ageYears: 0.6,
  weightKg: 8,
  sex: 'male',
  illness: [{ disease: 'anaphylaxis', pattern: 'food', severity: 0.9 }],
};
const WELL_ADULT: PatientProfile = { ageYears: 40, weightKg: 75, sex: 'female' };
const WELL_CHILD: PatientProfile = { ageYears: 9, weightKg: 32, sex: 'male' };
const all = (c: ReturnType<typeof course>) => readFindings(c.model, c.state);
const said = (c: ReturnType<typeof course>, id: string) => all(c).find((f) => f.id === id)?.text ?? '';
const give = (effect: string, route: 'iv' | 'im' | 'neb', amount: number, overMin = 0): PatientInput => ({
  kind: 'dose',
  effect,
  route,
  amount,
  overMs: overMin * 60_000,
});

describe('an infant in anaphylaxis', () => {
  // Simons FER, Sampson HA. J Allergy Clin Immunol 2015;135:1125-31; Carlisle A, Lieberman J. J Asthma Allergy 2021;14:821-7.
  const minutes = Array.from({ length: 32 }, (_, i) => i / 2);
  const texts = minutes.map((t) => course(BABY, [], t)).filter((c) => !(c.at(99).arrested > 0));
  const first = (id: string, words: RegExp) => {
    const i = texts.findIndex((c) => words.test(said(c, id)));
    return i < 0 ? Infinity : minutes[i]!;
  };
  it('frets, cries and will not be consoled, then goes quiet and floppy before anything that could be called drowsy', () => {
    const fretful = first('consciousness', /fretful|console/);
    const quiet = first('consciousness', /Suddenly quiet and floppy/);
    const drowsy = first('consciousness', /stirs|Unresponsive|less interested/);
    expect(fretful).toBeLessThan(quiet);
    expect(quiet).toBeLessThan(drowsy);
    expect(quiet).toBeLessThan(16);
  });
  it('drools, vomits again and again, is mottled; pulse is felt where one feels it in a baby', () => {
    expect(first('swelling', /drools/)).toBeLessThan(12);
    expect(first('gut', /again and again/)).toBeLessThan(14);
    expect(first('skin-temperature', /mottled/)).toBeLessThan(16);
    for (const c of texts) expect(said(c, 'pulse')).not.toMatch(/wrist/i);
  });
  it('nobody without a mask pushes one away', () => {
    const toddler: PatientProfile = { ...BABY, ageYears: 2, weightKg: 12 };
    expect(said(course(toddler, [], 6), 'consciousness')).not.toMatch(/mask/);
  });
});

describe('words that belong together', () => {
  it('AVPU and the words for the mind say the same at every depth of an opioid', () => {
    const c = course(WELL_ADULT, [], 0);
    for (let awake = 0; awake <= 100; awake++) {
      c.state[X.AWAKE] = awake / 100;
      const grade = readSign(c.model, c.state, 'drowsiness');
      const words = said(c, 'consciousness');
      const level = said(c, 'avpu');
      expect(level, `${awake} %`).toMatch(
        grade < 2 ? /alert/ : grade === 2 ? /voice/ : grade === 3 ? /pain/ : /unresp/,
      );
      if (/to voice/.test(words)) expect(level).toMatch(/voice/);
      if (/squeeze/.test(words)) expect(level).toMatch(/pain/);
    }
  });
  it('skin and gut that linger after treatment are said to be going; coming on, they are not', () => {
    // Common practice, no source: weals and a sore belly outlast the wheeze.
    const child: PatientProfile = { ...WELL_CHILD, illness: [{ disease: 'anaphylaxis', pattern: 'food' }] };
    const plan: Timed[] = [
      [0, drive('mediators', 0.7, 1)],
      [5, adrenalineIm(300)],
      [10, adrenalineIm(300)],
      [10, drive('mediators', 0, 2)],
    ];
    const coming = course(child, plan, 5);
    const going = course(child, plan, 15);
    expect(said(coming, 'rash') + said(coming, 'gut')).not.toMatch(/fading|flatter|still|easing|less often/);
    expect(said(coming, 'rash')).toMatch(/weals/);
    expect(readSign(going.model, going.state, 'wheeze')).toBeLessThan(2);
    expect(said(going, 'rash')).toMatch(/fading|flatter|left where/);
    expect(said(going, 'gut')).toMatch(/less often|easing|no more/);
  });
});

describe('adults are not spoken of as children', () => {
  it.each([
    ['anaphylaxis', 'food'],
    ['croup', 'viral'],
    ['asthma', 'life-threatening'],
    ['pneumonia', 'septic'],
  ])('%s, %s', (disease, pattern) => {
    for (const t of [4, 8, 12, 20]) {
      const c = course({ ...WELL_ADULT, illness: [{ disease, pattern }] }, [], t);
      for (const f of all(c))
        expect(f.text, f.id).not.toMatch(/tummy|reaches out|clings|floppy|limp|head bob|knees|feeds|grunt/i);
    }
  });
  it('weals, never wheals', () => {
    for (const who of [BABY, { ...WELL_ADULT, illness: BABY.illness! }])
      for (const t of [3, 6, 9]) for (const f of all(course(who, [], t))) expect(f.text).not.toMatch(/wheal/i);
  });
});

describe('too much adrenaline is seen and told', () => {
  it('a usual dose: tremor and a pounding heart, graded mild; ten times by vein: pain, headache, worse', () => {
    const usual = course(WELL_ADULT, [[0, adrenalineIm(500)]], 8);
    expect(said(usual, 'adrenaline-effects')).toMatch(/tremble.*pounding/);
    expect(all(usual).find((f) => f.id === 'adrenaline-effects')!.grade).toBe('mild');
    expect(course(WELL_ADULT, [], 2).state[X.AD_E]).toBe(0);
    expect(said(course(WELL_ADULT, [], 2), 'adrenaline-effects')).toBe('');
  });
  it('grade rises with dose, in an adult, a child and a baby', () => {
    const rank = ['none', 'mild', 'moderate', 'marked', 'severe'];
    for (const [who, base] of [
      [WELL_ADULT, 500],
      [WELL_CHILD, 300],
      [{ ...BABY, illness: [] }, 150],
    ] as const) {
      const grades = [1, 3, 10].map((times) => {
        const c = course(who, [[0, adrenalineIm(base * times)]], 7);
        const found = all(c).find((f) => f.id === 'adrenaline-effects');
        return c.at(7).arrested > 0 ? 5 : rank.indexOf(found?.grade ?? 'none');
      });
      expect(grades[1]!).toBeGreaterThanOrEqual(grades[0]!);
      expect(grades[2]!).toBeGreaterThan(grades[0]!);
      expect(grades[2]!).toBeGreaterThanOrEqual(3);
    }
  });
  it('an extreme overdose by vein floods the lungs, more than a usual one ever does', () => {
    // Pulmonary oedema after catecholamine overdose: case report, Am J Emerg Med 2010 (16 mg of noradrenaline).
    const plan = (micrograms: number): Timed[] => [[1, give('adrenaline', 'iv', micrograms, 2)]];
    const much = course(WELL_CHILD, plan(300), 8);
    const usual = course(WELL_CHILD, [[1, adrenalineIm(300)]], 8);
    expect(usual.state[X.WATER]!).toBe(0);
    if (much.arrestMin === Infinity) {
      expect(much.state[X.WATER]!).toBeGreaterThan(0.1);
      expect(much.at(8).spo2Percent).toBeLessThan(usual.at(8).spo2Percent - 0.5);
    } else expect(much.arrestMin).toBeLessThan(8);
  });
});

describe('other medicines in excess', () => {
  it('aminophylline: nothing at one loading dose, vomiting above two', () => {
    const one = course(WELL_ADULT, [[0, give('aminophylline', 'iv', 375, 20)]], 30);
    const four = course(WELL_ADULT, [[0, give('aminophylline', 'iv', 1500, 20)]], 30);
    expect(said(one, 'aminophylline-effects')).toBe('');
    expect(said(four, 'aminophylline-effects')).toMatch(/[Vv]omit/);
  });
  it('salbutamol over and over: tremor, and lactate in the published range', () => {
    // Radwan ZM et al. 2004: 4.4 ± 0.8 mmol/L an hour after three nebulisers (children); Rodrigo 2005: 2.9 ± 2.1 (adults).
    const nebs: Timed[] = [0, 20, 40].map((t): Timed => [t, give('salbutamol', 'neb', 5, 8)]);
    const c = course(
      { ageYears: 8, weightKg: 26, sex: 'male', illness: [{ disease: 'asthma', pattern: 'acute-severe' }] },
      nebs,
      100,
    );
    expect(said(c, 'tremor')).toMatch(/tremor/);
    expect(c.at(100).lactateMmolPerL).toBeGreaterThan(2.8);
    expect(c.at(100).lactateMmolPerL).toBeLessThan(6);
    const none = course(c.model.profile, [], 100);
    expect(none.at(100).lactateMmolPerL).toBeLessThan(2.3);
  });
});

describe('CO2 held back', () => {
  it('an adult is warm, flaps and is drowsy by 75 mmHg; a retainer at the same PaCO2 is not', () => {
    const narcotic = course(
      WELL_ADULT,
      [
        [0, { kind: 'oxygen', device: 'venturi-mask', fio2Fraction: 0.6 }],
        [0, drive('bronchospasm', 1, 5)],
      ],
      70,
    );
    const t = Array.from({ length: 701 }, (_, i) => i / 10).find((m) => narcotic.at(m).paco2MmHg > 75);
    expect(t).toBeDefined();
    const there = course(
      WELL_ADULT,
      [
        [0, { kind: 'oxygen', device: 'venturi-mask', fio2Fraction: 0.6 }],
        [0, drive('bronchospasm', 1, 5)],
      ],
      t!,
    );
    expect(readSign(there.model, there.state, 'drowsiness')).toBeGreaterThanOrEqual(2);
    expect(said(there, 'co2-flap')).toMatch(/flap/);
    const retainer = course(
      { ageYears: 68, weightKg: 70, sex: 'male', illness: [{ disease: 'copd', startedMinutesAgo: 30 }] },
      [[2, { kind: 'oxygen', device: 'non-rebreathe-mask', flowLPerMin: 15 }]],
      50,
    );
    expect(retainer.at(50).paco2MmHg).toBeGreaterThan(66);
    expect(retainer.at(50).consciousnessFraction).toBeGreaterThan(there.at(t!).consciousnessFraction + 0.1);
  });
});
