import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import {
  doseText,
  draftBody,
  draftFor,
  draftWarnings,
  readAmount,
  tapBody,
  withAmount,
  withConcentration,
  withTyped,
  withVolume,
  type PackDose,
} from '../../src/lib/console/dose.ts';
import { plainNumber } from '../../src/lib/console/format.ts';
import { interventions } from './sample.ts';

const adrenaline = interventions[0]!;
const fluid = interventions.find((item) => item.id === 'crystalloid')!;
const pack: PackDose = {
  amount: 300,
  amountHigh: null,
  unit: 'micrograms',
  concentration: '1 mg/mL',
  volumeMl: 0.3,
  text: '300 micrograms = 0.3 mL of 1 mg/mL',
  basis: 'fixture band',
  note: null,
  fromPack: true,
  source: 'fixture',
  checked: false,
};
const limits = { high: 2, low: 0.5 };

describe('the dose line', () => {
  it('keeps volume and strength together, without trailing zeros', () => {
    expect(doseText(draftFor(adrenaline, pack), adrenaline)).toBe('300 micrograms = 0.3 mL of 1 mg/mL');
    // An infusion's amount and volume are by time, or it reads as a bolus.
    const drip = { ...adrenaline, ratePer: 'h' } as const;
    const rate = { amount: 135, unit: 'micrograms', concentration: '10 micrograms/mL', volumeMl: 13.5 };
    expect(doseText(rate, drip)).toBe('135 micrograms/h = 13.5 mL/h of 10 micrograms/mL');
    expect(doseText({ amount: null, unit: 'micrograms', concentration: null, volumeMl: null }, adrenaline)).toBe(
      'amount not known',
    );
  });

  it('lets amount and volume follow each other through the strength', () => {
    const draft = draftFor(adrenaline, pack);
    expect(withAmount(adrenaline, draft, 500).volumeMl).toBe(0.5);
    expect(withVolume(adrenaline, draft, 0.15).amount).toBe(150);
    // The ten-times trap: the same volume in the weaker strength is a tenth of the dose, and the other way round.
    expect(withConcentration(adrenaline, draft, '0.1 mg/mL').volumeMl).toBe(3);
    expect(withVolume(adrenaline, withConcentration(adrenaline, draft, '0.1 mg/mL'), 0.3).amount).toBe(30);
    expect(withVolume(fluid, draftFor(fluid, null), 230)).toMatchObject({ amount: 230, volumeMl: 230 });
  });

  it('converts typed units exactly or not at all', () => {
    const draft = draftFor(adrenaline, pack);
    expect(withTyped(adrenaline, draft, 0.3, 'mg').amount).toBe(300);
    expect(withTyped(adrenaline, draft, 0.3, 'mL').amount).toBe(300);
    expect(withTyped(adrenaline, draft, 5, 'units')).toBe(draft);
  });

  it('amount to volume and back is the identity (to six figures)', () => {
    fc.assert(
      fc.property(fc.integer({ min: 1, max: 5000 }), fc.constantFrom('1 mg/mL', '0.1 mg/mL'), (amount, label) => {
        const draft = withConcentration(adrenaline, withAmount(adrenaline, draftFor(adrenaline, pack), amount), label);
        expect(withVolume(adrenaline, draft, draft.volumeMl).amount).toBe(amount);
      }),
    );
  });

  it('reads numbers kindly and refuses the rest in words', () => {
    expect(readAmount(' 0,3 ')).toEqual({ value: 0.3 });
    expect(readAmount('.5')).toEqual({ value: 0.5 });
    expect(readAmount('')).toEqual({ value: null });
    expect(readAmount('-3')).toHaveProperty('error');
    expect(readAmount('3e5')).toHaveProperty('error');
    expect(readAmount('abc')).toHaveProperty('error');
    expect(readAmount('1e999')).toHaveProperty('error');
    expect(readAmount('99999999')).toHaveProperty('error');
  });

  it('cautions at a tenfold dose, at a tenth, and above the limit; says nothing otherwise', () => {
    const at = (amount: number | null, using: PackDose | null = pack) =>
      draftWarnings(adrenaline, withAmount(adrenaline, draftFor(adrenaline, using), amount), using, limits, 23).map(
        (each) => each.code,
      );
    expect(at(300)).toEqual([]);
    expect(at(3000)).toEqual(['dose.far-above']);
    expect(at(30)).toEqual(['dose.far-below']);
    expect(at(0)).toEqual(['dose.far-below']);
    expect(at(500)).toEqual(['dose.over-limit']);
    expect(at(500, null)).toEqual(['dose.over-limit']);
    expect(at(null)).toEqual([]);
  });

  it('makes the event, telling seen from not seen', () => {
    const draft = draftFor(adrenaline, pack);
    expect(draftBody(adrenaline, draft, 'given', true)).toEqual({
      kind: 'intervention',
      intervention: 'adrenaline-im',
      step: 'given',
      amount: 300,
      unit: 'micrograms',
      concentration: '1 mg/mL',
      volumeMl: 0.3,
      route: 'im',
      doseSeen: true,
    });
    // A place is logged only when somebody chose it.
    expect(draftBody(adrenaline, { ...draft, site: 'left thigh' }, 'given', true)).toMatchObject({
      site: 'left thigh',
    });
    expect(tapBody(adrenaline, pack, false)).not.toHaveProperty('site');
    const oxygen = interventions.find((item) => item.id === 'oxygen-15')!;
    expect(tapBody(oxygen, null, true)).toMatchObject({
      step: 'given',
      amount: null,
      flowLPerMin: 15,
      doseSeen: false,
    });
    expect(
      tapBody(
        interventions.find((item) => item.id === 'probe')!,
        null,
        false,
      ),
    ).toEqual({ kind: 'device-attached', device: 'oximeter' });
    expect(
      tapBody(
        interventions.find((item) => item.id === 'listen')!,
        null,
        false,
      ),
    ).toEqual({ kind: 'assessment', intervention: 'listen' });
  });
});

describe('numbers', () => {
  it('never ends in a zero after the point and always leads with one', () => {
    expect(plainNumber(0.3)).toBe('0.3');
    expect(plainNumber(0.5)).toBe('0.5');
    expect(plainNumber(1)).toBe('1');
    expect(plainNumber(10)).toBe('10');
    expect(plainNumber(100, 0)).toBe('100');
    expect(plainNumber(-0.0001)).toBe('0');
  });
});
