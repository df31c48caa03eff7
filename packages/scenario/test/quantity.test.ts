import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import {
  convertAmount,
  editDistance,
  closest,
  formatAmount,
  formatDuration,
  formatNumber,
  parseQuantity,
} from '../src/index.ts';

const value = (text: string) => {
  const parsed = parseQuantity(text);
  return parsed.ok ? [parsed.quantity.kind, parsed.quantity.value] : [parsed.problem, parsed.hint];
};

describe('reading quantities', () => {
  test.each([
    ['23 kg', 'weight', 23],
    ['7 years', 'age', 7],
    ['6 months', 'age', 0.5],
    ['9 months', 'age', 0.75],
    ['1 year 6 months', 'age', 1.5],
    ['6 weeks', 'age', (6 * 7) / 365.25],
    ['150 micrograms', 'mass', 150],
    ['1 microgram', 'mass', 1],
    ['0.57 mg', 'mass', 570],
    ['0.15 mg', 'mass', 150],
    ['1.2 g', 'mass', 1_200_000],
    ['1,000 mL', 'volume', 1000],
    ['3 L', 'volume', 3000],
    ['15 L/min', 'flow', 15],
    ['10 mL/kg', 'volume-per-kg', 10],
    ['40 mg/kg', 'mass-per-kg', 40_000],
    ['5 micrograms/kg/h', 'mass-per-kg-rate', 5],
    ['0.1 micrograms/kg/min', 'mass-per-kg-rate', 6],
    ['92 %', 'percent', 92],
    ['92%', 'percent', 92],
    ['3 min', 'duration', 180_000],
    ['40 s', 'duration', 40_000],
    ['1 min 30 s', 'duration', 90_000],
    ['1min 30s', 'duration', 90_000],
    ['0:50', 'clock', 50_000],
    ['12:05', 'clock', 725_000],
    ['1:02:03', 'clock', 3_723_000],
    ['1 mg/mL', 'concentration', 1000],
    ['10 micrograms/mL', 'concentration', 10],
    ['37.2 °C', 'temperature', 37.2],
    ['5.4 mmol/L', 'molar', 5.4],
    ['124 g/L', 'haemoglobin', 12.4],
    ['150\u00a0micrograms', 'mass', 150],
    ['140 /min', 'rate', 140],
  ])('%s', (text, kind, expected) => {
    expect(value(text)[0]).toBe(kind);
    expect(value(text)[1]).toBeCloseTo(expected, 9);
  });

  // 1 kPa is 7.50062 mmHg: BIPM, The International System of Units, 9th edition (2019).
  test('kilopascals', () => expect(value('1 kPa')[1]).toBeCloseTo(7.50062, 5));

  test.each([
    ['23', 'has no unit'],
    ['50 lb', 'unit `lb`'],
    ['300 mcg', 'unit `mcg`'],
    ['300 µg', 'unit `µg`'],
    ['300 ug', 'unit `ug`'],
    ['.5 mg', 'bare decimal point'],
    ['1,5 mg', 'comma for the decimal point'],
    ['-5 mg', 'negative'],
    ['007 mg', 'stray leading zero'],
    ['5 ml', 'unit `ml`'],
    ['10 U', 'unit `U`'],
    ['0:75', 'not a clock time'],
    ['', 'is empty'],
    ['five mg', 'not a number with a unit'],
    ['1 min 30 kg', "don't know"],
    ['9'.repeat(400) + ' kg', 'too long'],
  ])('refuses %s', (text, problem) => {
    expect(parseQuantity(text).ok).toBe(false);
    expect(String(value(text)[0])).toContain(problem);
    expect(String(value(text)[1]).length).toBeGreaterThan(5);
  });

  test('never throws, whatever it is given', () => {
    fc.assert(
      fc.property(fc.string(), (text) => void parseQuantity(text)),
      { numRuns: 2000 },
    );
    fc.assert(
      fc.property(fc.stringMatching(/^[0-9.,: -]{0,8}(mg|kg|min|s|%)?$/), (text) => void parseQuantity(text)),
      { numRuns: 2000 },
    );
  });
});

describe('showing amounts', () => {
  test.each([
    [300, 'micrograms', '300 micrograms'],
    [1, 'micrograms', '1 microgram'],
    [0.5, 'mg', '500 micrograms'],
    [1000, 'micrograms', '1 mg'],
    [2500, 'micrograms', '2.5 mg'],
    [1200, 'mg', '1.2 g'],
    [999.5, 'micrograms', '999.5 micrograms'],
    [1000, 'mL', '1,000 mL'],
    [0.3, 'mL', '0.3 mL'],
    [0.1 + 0.2, 'mL', '0.3 mL'],
    [0, 'mg', '0 micrograms'],
  ])('%s %s', (amount, unit, expected) =>
    expect(formatAmount(amount, unit)).toBe(expected.replace(/ (?=\S+$)/, '\u00a0')),
  );

  test('leading zero, no trailing zero, no exponent, for any amount', () => {
    fc.assert(
      fc.property(fc.double({ min: 0.0001, max: 1e9, noNaN: true }), (amount) => {
        const text = formatNumber(amount);
        expect(text).toMatch(/^(0|[1-9]\d{0,2}(,\d{3})*)(\.\d*[1-9])?$/);
      }),
    );
  });

  test('reading what is shown gives the amount back', () => {
    const units = fc.constantFrom('micrograms', 'mg', 'g', 'mL', 'units');
    fc.assert(
      fc.property(fc.integer({ min: 1, max: 50_000_000 }), units, (thousandths, unit) => {
        const amount = thousandths / 1000;
        const parsed = parseQuantity(formatAmount(amount, unit));
        if (!parsed.ok) throw new Error(parsed.problem);
        const base = convertAmount(
          parsed.quantity.value,
          unit === 'mL' || unit === 'units' ? unit : 'micrograms',
          unit,
        );
        expect(base).toBeCloseTo(amount, 9);
      }),
    );
  });

  test('reading a shown duration gives it back', () => {
    fc.assert(
      fc.property(fc.integer({ min: 1, max: 10_000_000 }), (ms) => {
        const parsed = parseQuantity(formatDuration(ms));
        expect(parsed.ok && parsed.quantity.value).toBeCloseTo(ms, 6);
      }),
    );
  });
});

describe('did you mean', () => {
  test('distance counts a swap as one', () => {
    expect(editDistance('mediatros', 'mediators')).toBe(1);
    expect(editDistance('', 'abc')).toBe(3);
    expect(editDistance('kitten', 'sitting')).toBe(3);
  });
  test('finds the near and not the far', () => {
    expect(closest('setling', ['settling', 'arrival'])).toBe('settling');
    expect(closest('Adrenaline IM', ['oxygen', 'adrenaline-im'])).toBe('adrenaline-im');
    expect(closest('zebra', ['settling', 'arrival'])).toBeNull();
  });
});
