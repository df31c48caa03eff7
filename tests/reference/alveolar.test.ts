/**
 * The running patient against the equations it does not use: at rest under any steady inspired fraction and drive, lung,
 * arterial and venous gas must be what the alveolar gas equation, the CO2 equation, the shunt equation, the Fick principle
 * and Henderson-Hasselbalch give for the same uptake, output and ventilation.
 */
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import {
  applyInput,
  bloodGas,
  buildPatient,
  createState,
  createVitals,
  readVitals,
  stepPatient,
} from '@breathline/patient';
import type { PatientInput, PatientModel, PatientState } from '@breathline/patient';
import { SLOTS as X } from '../../packages/patient/src/core/layout.ts';
import { drive } from '../../packages/patient/test/helpers.ts';
import { personAt, runs } from './people.ts';

/** A patient after `minutes` under constant inputs. */
function steady(ageYears: number, inputs: readonly PatientInput[], minutes: number): [PatientModel, PatientState] {
  const model = buildPatient(personAt(ageYears));
  const s = createState(model);
  for (const input of inputs) applyInput(model, s, input);
  for (let i = 0; i < minutes * 600; i++) stepPatient(model, s, 100);
  return [model, s];
}
const air = (fraction: number): PatientInput => ({ kind: 'oxygen', device: 'venturi-mask', fio2Fraction: fraction });

/** Standard dissociation curve and Kelman's shift, written again here from the papers named in oxygen.test.ts. */
const saturationAt = (po2: number, pH: number, pco2: number) => {
  const p = po2 * 10 ** (0.4 * (pH - 7.4) + 0.06 * (Math.log10(40) - Math.log10(pco2)));
  return 1 / (23400 / (p ** 3 + 150 * p) + 1);
};

describe('a patient who breathes steadily', () => {
  it('CO2: PaCO2 = 0.863 x VCO2 / VA (textbook; VCO2 200 and VA 4.3 give 40.1)', () => {
    expect((0.863 * 200) / 4.3).toBeCloseTo(40.1, 1);
    fc.assert(
      fc.property(
        fc.double({ min: 0.5, max: 85, noNaN: true }),
        fc.double({ min: 0, max: 0.6, noNaN: true }),
        (age, opioid) => {
          const [model, s] = steady(age, [drive('opioid', opioid), air(0.4)], 60);
          const made = model.p['vco2']! * (s[X.VO2]! / model.p['vo2']!);
          const want = (0.863 * made) / s[X.VA]!;
          expect(Math.abs(s[X.PA_CO2]! / want - 1)).toBeLessThan(0.01);
        },
      ),
      runs(4),
    );
  });

  // Alveolar gas equation with the exchange ratio of this patient (0.85). The model breathes out as much as it breathes in,
  // so it follows the short form; the full form differs by the nitrogen correction, at most 7 mmHg of 713.
  it.each([
    [0.21, 0],
    [0.3, 0],
    [0.5, 0],
    [0.21, 0.35],
    [0.4, 0.5],
    [1, 0],
  ])('alveolar gas equation: inspired %d, opioid %d', (fraction, opioid) => {
    const [, s] = steady(30, [drive('opioid', opioid), air(fraction)], 60);
    const short = fraction * 713 - s[X.PA_CO2]! / 0.85;
    const full = fraction * 713 - s[X.PA_CO2]! * (fraction + (1 - fraction) / 0.85);
    expect(Math.abs(s[X.PA_O2]! - short)).toBeLessThan(1.5);
    expect(Math.abs(s[X.PA_O2]! - full)).toBeLessThan(8);
    if (opioid > 0) expect(s[X.PA_CO2]!).toBeGreaterThan(45);
  });

  it('shunt equation and Fick: arterial content, venous content and output fit one another, at any age and shunt', () => {
    fc.assert(
      fc.property(
        fc.double({ min: 0.5, max: 85, noNaN: true }),
        fc.double({ min: 0, max: 0.4, noNaN: true }),
        (age, shunt) => {
          const [model, s] = steady(age, [drive('shunt', shunt), air(0.5)], 30);
          fc.pre(s[X.ARREST] === 0);
          const hb = model.p['hb']!;
          const foetal = model.p['foetal']!;
          const v = readVitals(model, s, createVitals());
          const bound = (po2: number) => saturationAt(po2 * foetal, v.arterialPh, v.paco2MmHg);
          // Arterial saturation is the curve at the arterial PO2 (37 degrees).
          expect(Math.abs(v.spo2Percent / 100 - bound(v.pao2MmHg))).toBeLessThan(0.003);
          const capillary = 1.34 * hb * bound(s[X.PA_O2]!) + 0.0031 * s[X.PA_O2]!;
          const arterial = 1.34 * hb * bound(v.pao2MmHg) + 0.0031 * v.pao2MmHg;
          const gas = bloodGas(model, s, 'venous');
          const venous = 1.34 * hb * bound(gas.po2MmHg) + 0.0031 * gas.po2MmHg;
          // Berggren: Qs/Qt = (CcO2 - CaO2)/(CcO2 - CvO2).
          expect(Math.abs((capillary - arterial) / (capillary - venous) - s[X.SHUNT]!)).toBeLessThan(0.01);
          expect(Math.abs(s[X.SHUNT]! - model.p['shunt0']! - shunt)).toBeLessThan(0.001);
          // Fick: uptake = output x difference.
          expect(Math.abs((10 * s[X.CO]! * (arterial - venous)) / s[X.VO2]! - 1)).toBeLessThan(0.02);
        },
      ),
      runs(4),
    );
  });

  it('Henderson-Hasselbalch: pH falls 0.08 for each 10 mmHg of acute CO2 (textbook rule of thumb, from memory)', () => {
    const [model, s] = steady(30, [], 1);
    const before = readVitals(model, s, { ...createVitals() });
    const [slow, depressed] = steady(30, [drive('opioid', 0.5), air(0.4)], 60);
    const after = readVitals(slow, depressed, createVitals());
    const rise = after.paco2MmHg - before.paco2MmHg;
    expect(rise).toBeGreaterThan(8);
    expect(Math.abs((before.arterialPh - after.arterialPh) / (rise / 10) - 0.08)).toBeLessThan(0.015);
    expect(
      Math.abs(
        after.arterialPh -
          (6.1 + Math.log10(bloodGas(slow, depressed, 'arterial').bicarbonateMmolPerL / (0.0307 * after.paco2MmHg))),
      ),
    ).toBeLessThan(0.001);
  });

  it('venous blood: saturation about 75 %, PO2 about 40, PCO2 about 46 mmHg, pH 0.03 below arterial (textbook)', () => {
    const [model, s] = steady(30, [], 1);
    const venous = bloodGas(model, s, 'venous');
    expect(Math.abs(venous.saturationPercent - 75)).toBeLessThan(4);
    expect(Math.abs(venous.po2MmHg - 40)).toBeLessThan(3);
    expect(Math.abs(venous.pco2MmHg - 46)).toBeLessThan(1);
    const arterial = bloodGas(model, s, 'arterial');
    expect(arterial.pH - venous.pH).toBeGreaterThan(0.02);
    expect(arterial.pH - venous.pH).toBeLessThan(0.06);
    expect(Math.abs(arterial.baseExcessMmolPerL)).toBeLessThan(1);
  });

  it('opioid alone on air: PaCO2 80 with PAO2 near 54 darkens blood, and 0.40 hides it (alveolar gas equation worked by hand)', () => {
    const [onAir, a] = steady(30, [drive('opioid', 0.75)], 20);
    const [onMask, m] = steady(30, [drive('opioid', 0.75), air(0.4)], 20);
    const dark = readVitals(onAir, a, createVitals());
    const hidden = readVitals(onMask, m, createVitals());
    expect(hidden.paco2MmHg).toBeGreaterThan(55);
    expect(hidden.spo2Percent).toBeGreaterThan(95);
    expect(dark.spo2Percent).toBeLessThan(92);
  });
});
