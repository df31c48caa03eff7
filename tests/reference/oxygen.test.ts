/** Oxygen and acid-base equations against published points and worked examples; sources in published.ts. */
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
import { ACID_BASE, ALVEOLAR, CONTENT, DISSOCIATION, SHIFTED } from './published.ts';

describe('oxygen dissociation curve', () => {
  it.each(DISSOCIATION)('PO2 %d mmHg gives %d %% within 0.6', (po2, percent) => {
    expect(Math.abs(100 * saturation(po2) - percent)).toBeLessThanOrEqual(0.6);
  });
  it('half saturation at 26.86 mmHg (root of the 1979 equation; adult P50 26.8)', () => {
    expect(po2OfSaturation(0.5)).toBeCloseTo(26.86, 1);
  });
  it('rises all the way', () => {
    for (let p = 0.5; p < 700; p += 0.5) expect(saturation(p + 0.5)).toBeGreaterThan(saturation(p));
  });
  it.each(SHIFTED)(
    'shifts with acid and cold: %d mmHg at %d degrees and pH %d gives %d %%',
    (po2, celsius, pH, percent) => {
      expect(100 * saturation(po2 * curveShift(celsius, pH, 40))).toBeCloseTo(percent, 0);
    },
  );
});

describe('content', () => {
  it.each(CONTENT)('Hb %d, PO2 %d -> %d mL/dL', (hb, po2, want) => {
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
  it.each(ALVEOLAR)('FiO2 %d, PCO2 %d -> %d mmHg', (fio2, pco2, want) => {
    expect(Math.abs(alveolarPo2(fio2, pco2) - want)).toBeLessThan(0.6);
  });
});

describe('acid-base', () => {
  it.each(ACID_BASE)('HCO3 %d, PCO2 %d -> pH %d', (hco3, pco2, want) => {
    expect(Math.abs(bloodPh(hco3, pco2) - want)).toBeLessThan(0.006);
  });
});
