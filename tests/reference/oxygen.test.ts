/** Oxygen and acid-base equations against published points and worked examples. Source beside each check. */
import { describe, expect, it } from 'vitest';
import {
  alveolarPo2,
  bloodPh,
  content,
  curveShift,
  po2OfContent,
  po2OfSaturation,
  saturation,
} from '../../packages/patient/src/core/gas.ts';

describe('oxygen dissociation curve', () => {
  // Standard human curve (PO2 mmHg, saturation %) that Severinghaus JW, J Appl Physiol 1979;46:599-602, doi
  // 10.1152/jappl.1979.46.3.599, fits with a stated error of at most 0.55 points (its table 1; values from memory).
  const published: readonly [number, number][] = [
    [1, 0.6],
    [20, 32.12],
    [26, 48.27],
    [30, 57.54],
    [40, 74.69],
    [46, 81.71],
    [50, 85.08],
    [65, 92.73],
    [70, 94.06],
    [80, 95.84],
    [100, 97.49],
    [120, 98.21],
    [150, 98.77],
  ];
  it.each(published)('PO2 %d mmHg gives %d %% within 0.6', (po2, percent) => {
    expect(Math.abs(100 * saturation(po2) - percent)).toBeLessThanOrEqual(0.6);
  });
  it('half saturation at 26.86 mmHg (root of the 1979 equation; adult P50 26.8)', () => {
    expect(po2OfSaturation(0.5)).toBeCloseTo(26.86, 1);
  });
  it('rises all the way', () => {
    for (let p = 0.5; p < 700; p += 0.5) expect(saturation(p + 0.5)).toBeGreaterThan(saturation(p));
  });
  it('shifts with acid and cold (Kelman GR, J Appl Physiol 1966;21:1375-6; worked with PCO2 40)', () => {
    expect(100 * saturation(60 * curveShift(37, 7.2, 40))).toBeCloseTo(84.9, 0);
    expect(100 * saturation(60 * curveShift(37, 7.0, 40))).toBeCloseTo(76.9, 0);
    expect(100 * saturation(60 * curveShift(34, 7.4, 40))).toBeCloseTo(94.0, 0);
    expect(100 * saturation(40 * curveShift(37, 7.2, 40))).toBeCloseTo(64.1, 0);
  });
});

describe('content', () => {
  // 1.34 mL/g and 0.0031 mL/dL/mmHg: Nunn's Applied Respiratory Physiology (from memory); worked values by hand.
  it.each([
    [15, 95, 19.9],
    [12, 95, 15.9],
    [12, 40, 12.2],
    [12, 500, 17.6],
  ])('Hb %d, PO2 %d -> %d mL/dL', (hb, po2, want) => {
    expect(Math.abs(content(po2, hb, 1) - want)).toBeLessThan(0.06);
  });
  it('inverts to 1e-6 from any first guess', () => {
    for (const po2 of [5, 20, 27, 40, 60, 95, 150, 400, 650]) {
      for (const shift of [0.6, 1, 1.4]) {
        for (const guess of [1, 60, 700]) {
          const c = content(po2, 13, shift);
          expect(Math.abs(po2OfContent(c, 13, shift, guess) - po2) / po2).toBeLessThan(1e-6);
        }
      }
    }
  });
});

describe('alveolar gas', () => {
  // Fenn WO, Rahn H, Otis AB. Am J Physiol 1946;146:637 (full form, R 0.8, 760 mmHg); worked by hand.
  it.each([
    [0.21, 40, 101.8],
    [0.21, 60, 77.9],
    [0.21, 80, 53.9],
    [0.21, 90, 42.0],
    [0.4, 40, 239],
    [0.6, 40, 384],
    [1, 40, 673],
  ])('FiO2 %d, PCO2 %d -> %d mmHg', (fio2, pco2, want) => {
    expect(Math.abs(alveolarPo2(fio2, pco2) - want)).toBeLessThan(0.6);
  });
});

describe('acid-base', () => {
  // Henderson-Hasselbalch, pK 6.1, solubility 0.0307; acute bicarbonate + 1 mmol/L per 10 mmHg (textbook worked values).
  it.each([
    [24, 40, 7.39],
    [28, 80, 7.16],
    [26, 60, 7.25],
    [22.5, 30, 7.49],
  ])('HCO3 %d, PCO2 %d -> pH %d', (hco3, pco2, want) => {
    expect(Math.abs(bloodPh(hco3, pco2) - want)).toBeLessThan(0.006);
  });
});
