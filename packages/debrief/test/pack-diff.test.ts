/** Two packs laid side by side, read as a person reads them, with the true numbers of the shipped packs. */
import { readdirSync, readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { buildLibrary, suggestDose, type DoseRule, type GuidelinePack } from '@breathline/scenario';
import { checkDose, packDifferences, packNames, packSheet } from '../src/index.ts';
import { CHECKED, FIRST_ADRENALINE, ORDER, pack } from './build-run.ts';

const folder = new URL('../../../scenarios/', import.meta.url).pathname;
const texts = (name: string) =>
  readdirSync(`${folder}${name}`)
    .filter((file) => file.endsWith('.yaml'))
    .map((file) => ({ file, text: readFileSync(`${folder}${name}/${file}`, 'utf8') }));
const built = buildLibrary({ formularies: texts('formulary'), packs: texts('guidelines') });
if (!built.ok) throw new Error('the shipped library does not build');
const library = built.value;
const names = packNames(library);
const one = (id: string): GuidelinePack => library.packs.find((each) => each.id === id)!;
const between = (a: string, b: string) => packDifferences(one(a), one(b), names);
const line = (a: string, b: string, id: string) => between(a, b).find((each) => each.id === id);

describe('a pack to read', () => {
  it('has every line once, in words, with its source; only its way of scoring has none', () => {
    for (const pack of library.packs) {
      const parts = packSheet(pack, names);
      const lines = parts.flatMap(({ lines }) => lines);
      expect(lines.filter(({ source }) => source !== null).length, pack.id).toBe(
        pack.doses.length +
          pack.targets.length +
          pack.recognition.length +
          (pack.observation ?? []).length +
          (pack.oxygenRange ? 1 : 0),
      );
      for (const { about, says, source } of lines) {
        expect(`${about} ${says.join(' ')}`, pack.id).not.toMatch(/undefined|NaN|null|\b1 (years|months)\b/);
        if (source !== null) expect(source).toMatch(/ on \d{4}-\d\d-\d\d; (not )?checked by /);
      }
      expect(
        parts.filter(({ lines }) => lines.some(({ source }) => source === null)).map(({ title }) => title),
      ).toEqual(['How it is scored']);
    }
  });

  it('says a dose as its guideline does, and does not say a target twice', () => {
    const parts = packSheet(one('anaphylaxis-uk-2021'), names);
    const lineOf = (title: string, id: string) =>
      parts.find((part) => part.title === title)!.lines.find((each) => each.id === id)!;
    // Resuscitation Council UK, May 2021: 300 micrograms from 6 to 12 years, 1 mg/mL.
    const { says } = lineOf('Doses', 'adrenaline-im');
    expect(says).toContain('age band 6 years to under 12 years: 300 micrograms');
    expect(says).toContain('as 1 mg/mL');
    const first = lineOf('What is done, and when', one('anaphylaxis-uk-2021').targets[0]!.id);
    expect(first.says).not.toContain(first.about);
  });
});

describe('doses', () => {
  it('an infusion’s amount never stands without its time', () => {
    // Resuscitation Council UK, refractory algorithm, May 2021: 0.5 to 1 mL/kg/h of 10 micrograms/mL (seen on a mirror).
    const { a, b } = line('anaphylaxis-uk-2021', 'anaphylaxis-ascia-2024', 'adrenaline-iv-infusion')!;
    expect(a).toBe('5 to 10 micrograms for each kg an hour; as 10 micrograms/mL');
    // ASCIA, appendix: 1 mg in 1000 mL at 5 mL/kg/h (from memory).
    expect(b).toBe('5 micrograms for each kg an hour; as 1 microgram/mL');
  });

  it('a band by weight is printed by weight', () => {
    // Frith K et al. Aust Prescr 2021;44:91-95 (seen): 150 micrograms from 7.5 to 20 kg, 300 micrograms above.
    expect(line('anaphylaxis-uk-2021', 'anaphylaxis-ascia-2024', 'adrenaline-auto-injector')).toMatchObject({
      a: null,
      b: 'weight band 7.5 kg to under 20 kg: 150 micrograms; weight band 20 kg and over: 300 micrograms',
    });
  });

  it('age bands are printed by age, months below two years', () => {
    // Resuscitation Council UK, May 2021, dose table.
    expect(line('anaphylaxis-uk-2021', 'anaphylaxis-ascia-2024', 'adrenaline-im')?.a).toContain(
      'age band birth to under 6 months: 100 to 150 micrograms; age band 6 months to under 6 years: 150 micrograms',
    );
  });

  it('both ends of a range keep their unit where it differs', () => {
    // BTS/SIGN 158: one puff of 100 micrograms, up to ten; two are the least that a pack counts.
    expect(line('asthma-child-uk', 'asthma-child-au', 'salbutamol-spacer')?.a).toBe('any age: 200 micrograms to 1 mg');
  });

  it('a changed note is told, and a changed amount tells the amount alone', () => {
    const rule: DoseRule = {
      id: 'x',
      intervention: 'adrenaline-im',
      bands: [{ fromAgeYears: 0, amount: 150, note: 'Old words.' }],
      source: CHECKED,
    };
    const mine = pack({ targets: [FIRST_ADRENALINE], doses: [rule] });
    const noted = pack({
      targets: [FIRST_ADRENALINE],
      doses: [{ ...rule, bands: [{ ...rule.bands![0]!, note: 'New words.' }] }],
    });
    const [found] = packDifferences(mine, noted, names);
    expect(found).toMatchObject({ part: 'dose' });
    expect([found!.a, found!.b]).toEqual([
      'any age: 150 micrograms; any age: Old words.',
      'any age: 150 micrograms; any age: New words.',
    ]);
  });

  it('two rules for one intervention are both laid out', () => {
    const rule: DoseRule = { id: 'x', intervention: 'adrenaline-im', perKg: { amount: 10 }, source: CHECKED };
    const mine = pack({ targets: [FIRST_ADRENALINE], doses: [rule, { ...rule, id: 'y' }] });
    const other = pack({
      targets: [FIRST_ADRENALINE],
      doses: [
        { ...rule, perKg: { amount: 20 } },
        { ...rule, id: 'y' },
      ],
    });
    expect(packDifferences(mine, other, names)).toMatchObject([{ part: 'dose', id: 'adrenaline-im' }]);
  });
});

describe('why this dose', () => {
  const child = { ageYears: 6, weightKg: 19 };

  it('is by weight for a band of weight', () => {
    const found = suggestDose({
      library,
      packId: 'anaphylaxis-ascia-2024',
      intervention: 'adrenaline-auto-injector',
      ...child,
    });
    expect(found).toMatchObject({ amount: 150, because: 'weight band 7.5 kg to under 20 kg' });
  });

  it('is by age for a band of age', () => {
    const found = suggestDose({ library, packId: 'anaphylaxis-uk-2021', intervention: 'adrenaline-im', ...child });
    expect(found).toMatchObject({ amount: 300, because: 'age band 6 years to under 12 years' });
  });

  it('says so in the dose check as well', () => {
    const pack = one('anaphylaxis-ascia-2024');
    const rule = pack.doses.find(({ id }) => id === 'adrenaline-auto-injector')!;
    const check = checkDose({ amount: 300, doseSeen: true }, rule, {
      intervention: library.interventions.find(({ id }) => id === 'adrenaline-auto-injector')!,
      ageYears: 7,
      trueWeightKg: 22,
      tolerance: pack.doseTolerance,
    });
    expect(check.text).toContain('the pack allows 300 micrograms (weight band 20 kg and over)');
    expect(check.text).not.toContain('any age');
  });
});

describe('a table printed beside a weight rule', () => {
  const judged = (packId: string, ageYears: number, trueWeightKg: number, amount: number) => {
    const pack = one(packId);
    return checkDose(
      { amount, doseSeen: true },
      pack.doses.find(({ id }) => id === 'adrenaline-im')!,
      {
        intervention: library.interventions.find(({ id }) => id === 'adrenaline-im')!,
        ageYears,
        trueWeightKg,
        tolerance: pack.doseTolerance,
      },
    );
  };
  // ASCIA 2017, table of volumes of 1 mg/mL by age, as reproduced in the Australian Immunisation Handbook.
  it.each([
    [0.25, 4, 40],
    [0.25, 4, 50],
    [0.25, 4, 100],
    [5, 18, 180],
    [5, 18, 200],
    [8, 27, 270],
    [8, 27, 300],
    [10, 32, 400],
    [11, 36, 400],
    [40, 80, 500],
  ])('is right as well: %f years, %f kg, %f micrograms', (ageYears, kg, amount) => {
    expect(judged('anaphylaxis-ascia-2024', ageYears, kg, amount).verdict).toBe('right');
  });

  it('is named where it was followed, and makes nothing right that neither allows', () => {
    expect(judged('anaphylaxis-ascia-2024', 8, 27, 300).text).toContain(
      'its table, age band 7 years to under 10 years',
    );
    expect(judged('anaphylaxis-ascia-2024', 8, 27, 270).text).toContain('10 micrograms/kg × 27 kg');
    expect(judged('anaphylaxis-ascia-2024', 8, 27, 150).verdict).not.toBe('right');
    expect(judged('anaphylaxis-ascia-2024', 8, 27, 3000).verdict).toBe('critical-error');
    // World Allergy Organization 2020, doses simplified by age: a five-year-old of 20 kg, 150 or 200 micrograms.
    for (const amount of [150, 200]) expect(judged('anaphylaxis-wao-2020', 5, 20, amount).verdict).toBe('right');
    expect(judged('anaphylaxis-wao-2020', 5, 20, 300).verdict).not.toBe('right');
  });

  it('is never suggested: the weight rule is', () => {
    const found = suggestDose({
      library,
      packId: 'anaphylaxis-ascia-2024',
      intervention: 'adrenaline-im',
      ageYears: 8,
      weightKg: 27,
    });
    expect(found).toMatchObject({ amount: 270 });
  });
});

describe('times', () => {
  it('margins round a repeat interval are called teaching, never the guideline’s time', () => {
    // Both print an interval (5 min; 5 to 15 min); 4 to 6 and the end of credit are margins of this project.
    const { a, b } = line('anaphylaxis-uk-2021', 'anaphylaxis-wao-2020', 'second-adrenaline')!;
    for (const words of [a!, b!]) {
      expect(words).toContain('the interval is the guideline’s, the margins are for teaching');
      expect(words).not.toContain('the guideline’s time');
    }
    expect(a).toContain('not before 4 min; due 6 min from previous dose of Adrenaline, intramuscular');
    expect(b).toContain('not before 5 min; due 15 min');
  });

  it('a time of the guideline itself keeps its name', () => {
    // NICE quality standard QS25 (2013): systemic steroid within one hour.
    const mine = one('asthma-adult-uk');
    const slower = {
      ...mine,
      targets: mine.targets.map((each) => (each.id === 'steroid' ? { ...each, dueMs: 5_400_000 } : each)),
    };
    const [found] = packDifferences(mine, slower, names);
    expect(found?.a).toBe('due 60 min from arrival; the guideline’s time');
    expect(found?.b).toBe('due 90 min from arrival; the guideline’s time');
  });

  it('shows only what differs of a target both have, conditions in words', () => {
    const { a, b } = line('copd-oxygen-uk', 'copd-oxygen-gold', 'mask-ventilation')!;
    expect(a).toContain('if pH below 7.35 and PaCO2 above 6.5 kPa');
    expect(b).toContain('if pH at most 7.35 and PaCO2 at least 6 kPa');
    expect(a).not.toContain('weight');
  });

  it('tells a condition that changed under the same words', () => {
    const mine = pack({ targets: [FIRST_ADRENALINE, ORDER] });
    const other = pack({
      targets: [
        {
          ...FIRST_ADRENALINE,
          onlyIf: { kind: 'vital', vital: 'spo2Percent', op: 'below', limit: { value: 92 }, forMs: 15_000 },
        },
        ORDER,
      ],
    });
    expect(packDifferences(mine, other, names)).toMatchObject([
      { part: 'target', a: 'nothing more', b: 'if SpO2 below 92 % for 15 s' },
    ]);
  });
});

it('every shipped pack is the same as itself, and each pair of one condition differs', () => {
  for (const a of library.packs) {
    expect(packDifferences(a, a, names)).toEqual([]);
    for (const b of library.packs) {
      if (a.id < b.id && a.condition === b.condition) expect(packDifferences(a, b, names)).not.toEqual([]);
    }
  }
});
