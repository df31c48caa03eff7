/** Doses against published tables. Training only. Each row names where its figure was printed. */
import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { allowedDose, formatDose, libraryHash, readPack, suggestDose, type DoseRule } from '../src/index.ts';
import { here, must, shippedLibrary, text } from './support.ts';

const library = shippedLibrary();
const uk = 'anaphylaxis-uk-2021';
const plain = (words: string | undefined): string | undefined => words?.replaceAll('\u00a0', ' ');
const dose = (intervention: string, ageYears: number, weightKg: number, packId = uk) =>
  suggestDose({ library, packId, intervention, ageYears, weightKg });

const source = { organisation: 'x', document: 'x', verified: 'arithmetic' as const, checkedOn: '2026-11-25' };

describe('intramuscular adrenaline by age (Resuscitation Council UK, May 2021, dose table)', () => {
  test.each([
    ['5 years, 18 kg', 5, 18, 150, 0.15],
    ['6 months', 0.5, 8, 150, 0.15],
    ['just under 6', 5.99, 20, 150, 0.15],
    ['the sixth birthday', 6, 20, 300, 0.3],
    ['11 years', 11, 35, 300, 0.3],
    ['13 years', 13, 45, 500, 0.5],
    ['adult', 40, 80, 500, 0.5],
  ])('%s', (_, age, weight, micrograms, volumeMl) => {
    const found = dose('adrenaline-im', age, weight);
    expect(found).toMatchObject({ amount: micrograms, unit: 'micrograms', volumeMl, rule: 'age band', packId: uk });
    expect(found?.amountHigh).toBeUndefined();
    expect(plain(found?.text)).toBe(`${micrograms} micrograms = ${volumeMl} mL of 1 mg/mL`);
  });

  test('under 6 months a range, 100 to 150 micrograms', () => {
    const found = dose('adrenaline-im', 0.25, 5);
    expect(found).toMatchObject({ amount: 100, amountHigh: 150, volumeMl: 0.1, volumeHighMl: 0.15 });
    expect(plain(found?.text)).toBe('100 micrograms to 150 micrograms = 0.1 mL to 0.15 mL of 1 mg/mL');
  });

  test('at 12 the source and other UK lists differ, so both count', () => {
    expect(dose('adrenaline-im', 12.5, 40)).toMatchObject({ amount: 300, amountHigh: 500 });
  });
});

describe('by weight', () => {
  // ASCIA, Acute management of anaphylaxis: 10 micrograms/kg, at most 500 micrograms.
  const ascia: DoseRule = { id: 'x', intervention: 'adrenaline-im', perKg: { amount: 10, max: 500 }, source };
  test('18 kg: 180 micrograms', () =>
    expect(allowedDose(ascia, { ageYears: 5, weightKg: 18 })).toMatchObject({ low: 180, high: 180, capped: false }));
  test('80 kg: capped at 500 micrograms', () =>
    expect(allowedDose(ascia, { ageYears: 40, weightKg: 80 })).toMatchObject({ low: 500, capped: true }));

  // BTS/SIGN 158 (2019): 40 mg/kg, at most 2 g, over 20 min.
  test('magnesium 30 kg: 1.2 g over 20 min; 60 kg: 2 g', () => {
    expect(dose('magnesium-iv', 9, 30)).toMatchObject({
      amount: 1200,
      unit: 'mg',
      overMs: 1_200_000,
      capped: false,
      rule: 'formulary',
    });
    expect(plain(dose('magnesium-iv', 9, 30)?.text)).toBe('1.2 g');
    expect(dose('magnesium-iv', 16, 60)).toMatchObject({ amount: 2000, capped: true });
  });

  // NICE CKS croup: 0.15 mg/kg, 12 kg gives 1.8 mg; elsewhere 0.6 mg/kg, 7.2 mg.
  test('dexamethasone 12 kg: 1.8 mg; at 0.6 mg/kg 7.2 mg', () => {
    expect(dose('dexamethasone-oral', 2, 12)?.amount).toBe(1.8);
    expect(allowedDose({ perKg: { amount: 0.6 }, source }, { ageYears: 2, weightKg: 12 })?.low).toBe(7.2);
  });

  // Resuscitation Council UK refractory algorithm 2021: 10 mL/kg in children, 500 to 1000 mL in adults.
  test('crystalloid', () => {
    expect(plain(dose('crystalloid-bolus', 8, 27)?.text)).toBe('270 mL');
    expect(plain(dose('crystalloid-bolus', 40, 80)?.text)).toBe('500 mL to 1,000 mL');
  });

  // Same algorithm: 0.5 to 1.0 mL/kg/h of 10 micrograms/mL: 20 kg 10 to 20 mL/h, 70 kg 35 to 70 mL/h.
  test('low-dose infusion', () => {
    expect(plain(dose('adrenaline-iv-infusion', 6, 20)?.text)).toBe(
      '100 micrograms/h to 200 micrograms/h = 10 mL/h to 20 mL/h of 10 micrograms/mL',
    );
    expect(dose('adrenaline-iv-infusion', 40, 70)).toMatchObject({ volumeMl: 35, volumeHighMl: 70, ratePer: 'h' });
  });

  // Resuscitation Council UK life support 2021: adult 1 mg, child 10 micrograms/kg; 0.1 mg/mL.
  test('arrest', () => {
    expect(plain(dose('adrenaline-iv-arrest', 8, 25)?.text)).toBe('250 micrograms = 2.5 mL of 0.1 mg/mL');
    expect(plain(dose('adrenaline-iv-arrest', 40, 80)?.text)).toBe('1 mg = 10 mL of 0.1 mg/mL');
  });

  // British National Formulary: adult 400 micrograms; child 100 micrograms/kg, at most 2 mg.
  test('naloxone', () => {
    expect(dose('naloxone', 40, 80)?.amount).toBe(400);
    expect(dose('naloxone', 4, 16)?.amount).toBe(1600);
    expect(dose('naloxone', 9, 30)).toMatchObject({ amount: 2000, capped: true });
  });
});

describe('packs that disagree stay apart', () => {
  const ascia = 'anaphylaxis-ascia-2024';
  // ASCIA by weight against Resuscitation Council UK by age: the same child, two right answers.
  test.each([
    ['5 years, 18 kg', 5, 18, 150, 180],
    ['5 years, 20 kg', 5, 20, 150, 200],
    ['11 years, 35 kg', 11, 35, 300, 350],
    ['3 months, 4 kg', 0.25, 4, 100, 40],
    ['adult, 80 kg', 40, 80, 500, 500],
  ])('%s', (_, age, weight, byAge, byWeight) => {
    expect(dose('adrenaline-im', age, weight)?.amount).toBe(byAge);
    expect(dose('adrenaline-im', age, weight, ascia)?.amount).toBe(byWeight);
  });
  test('180 micrograms is 0.18 mL', () => expect(dose('adrenaline-im', 5, 18, ascia)?.volumeMl).toBe(0.18));
  test('fluid 10 against 20 mL/kg', () => {
    expect(dose('crystalloid-bolus', 8, 27)?.amount).toBe(270);
    expect(dose('crystalloid-bolus', 8, 27, ascia)?.amount).toBe(540);
  });
  test('mL/h means nothing without the strength: tenfold between the two', () => {
    expect(plain(dose('adrenaline-iv-infusion', 6, 20)?.text)).toContain('of 10 micrograms/mL');
    expect(plain(dose('adrenaline-iv-infusion', 6, 20, ascia)?.text)).toBe(
      '100 micrograms/h = 100 mL/h of 1 microgram/mL',
    );
  });
});

describe('suggestions', () => {
  test('nothing for what takes no amount, an unknown id, or an impossible patient', () => {
    expect(dose('call-for-help', 8, 27)).toBeNull();
    expect(dose('no-such-thing', 8, 27)).toBeNull();
    expect(dose('adrenaline-im', 8, 0)).toBeNull();
    expect(dose('adrenaline-im', NaN, 20)).toBeNull();
    expect(dose('adrenaline-iv-bolus', 8, 27)).toBeNull();
  });

  test('without a pack the formulary speaks, and says so', () => {
    expect(dose('adrenaline-im', 8, 27, 'none')).toMatchObject({ amount: 300, rule: 'formulary', packId: null });
  });

  test('no dose is ever shown as a bare volume of a drug, and none is NaN', () => {
    const ids = library.interventions.filter((one) => one.unit).map((one) => one.id);
    fc.assert(
      fc.property(
        fc.constantFrom(...ids),
        fc.double({ min: 0, max: 100, noNaN: true }),
        fc.double({ min: 0.5, max: 200, noNaN: true }),
        (id, age, weight) => {
          const found = dose(id, age, weight);
          if (!found) return;
          expect(found.amount).toBeGreaterThan(0);
          expect(found.amountHigh ?? Infinity).toBeGreaterThan(found.amount);
          expect(found.text).not.toMatch(/NaN|Infinity|undefined|mcg|µg|(^|[^\d])\.\d|\.\d*0(?!\d)/);
          expect(found.source?.organisation.length).toBeGreaterThan(0);
          const item = library.interventions.find((one) => one.id === id)!;
          expect(found.amountHigh ?? found.amount).toBeLessThanOrEqual(item.warnAbove?.total ?? Infinity);
        },
      ),
      { numRuns: 3000 },
    );
  });

  test('strength stands beside every volume', () => {
    expect(
      plain(
        formatDose({ amount: 300, unit: 'micrograms', concentration: { label: '1 mg/mL', amount: 1000, perMl: 1 } }),
      ),
    ).toBe('300 micrograms = 0.3 mL of 1 mg/mL');
    expect(plain(formatDose({ amount: 300, unit: 'micrograms' }))).toBe('300 micrograms');
  });

  test('the hash follows the content, not its order of keys', () => {
    expect(libraryHash(library)).toBe(library.hash);
    const changed = structuredClone(library) as unknown as { interventions: { name: string }[] };
    changed.interventions[0]!.name += ' ';
    expect(libraryHash(changed as never)).not.toBe(library.hash);
  });

  test('a pack edited to a tenfold dose changes what is suggested', () => {
    const written = text(here(`../../../scenarios/guidelines/${uk}.yaml`));
    const yaml = written.replace(/(from: 6 years,\s+below: 12 years,\s+dose: )300 micrograms/, '$13 mg');
    expect(yaml).not.toBe(written);
    const pack = must(readPack(yaml, { file: 'x.yaml', interventions: library.interventions }));
    const edited = { ...library, packs: [pack] };
    expect(
      suggestDose({ library: edited, packId: uk, intervention: 'adrenaline-im', ageYears: 8, weightKg: 27 })?.amount,
    ).toBe(3000);
  });
});
