/**
 * Rows computed by an independent implementation (another language) for croup, asthma and an opioid, with every mechanism
 * added since switched off; and single published figures: airway resistance in an infant, shunt against oxygen.
 */
import { describe, expect, it } from 'vitest';
import { buildWithParameters } from '../../packages/patient/src/core/parameters.ts';
import { SLOTS as X } from '../../packages/patient/src/core/layout.ts';
import { oedemaFraction } from '@breathline/patient';
import type { PatientInput } from '@breathline/patient';
import { course, drive } from '../../packages/patient/test/helpers.ts';

interface Sizes {
  age: number;
  wt: number;
  hr0: number;
  rr0: number;
  map0: number;
  hb: number;
  ebv: number;
  frc: number;
  vo2: number;
}

function plain(z: Sizes) {
  const vo2 = z.vo2 * z.wt;
  const vco2 = 0.85 * vo2;
  const co0 = vo2 / 10 / 4.2;
  const va0 = (0.863 * vco2) / 40;
  return buildWithParameters(
    {
      ageYears: z.age,
      weightKg: z.wt,
      sex: 'male',
      baseline: { systolicMmHg: z.map0 + 30, diastolicMmHg: z.map0 - 15 },
    },
    {
      ...{ hr0: z.hr0, rr0: z.rr0, map0: z.map0, hb: z.hb, vo2, vco2, co0, va0 },
      bv0: (z.ebv * z.wt) / 1000,
      frc: (z.frc * z.wt) / 1000,
      frcAwake: 1,
      sv0: (co0 / z.hr0) * 1000,
      svr0: (z.map0 - 4) / co0,
      ve0: va0 / 0.7,
      vt0: va0 / 0.7 / z.rr0,
      shunt0: 0.03,
      shuntPerB: 0.22,
      salbutamolHalf: 0.25,
      hrMediator: 0.15,
      hrTop: 1.9,
      ...{ bohr: 0, narcosis: 0, acidDrive: 0, floppy: 0, lowVqPerB: 0, restraint: 0, vagal: 0 },
      ...{ opposition: 0, releaseOpposition: 0, stabilising: 0 },
    },
  );
}

const ONE: Sizes = { age: 1, wt: 10, hr0: 123, rr0: 35, map0: 62, hb: 12, ebv: 80, frc: 18, vo2: 7 };
const SEVEN: Sizes = { age: 7, wt: 23, hr0: 91, rr0: 21, map0: 73, hb: 12.5, ebv: 75, frc: 25, vo2: 6 };
const GROWN: Sizes = { age: 30, wt: 70, hr0: 70, rr0: 15, map0: 90, hb: 15, ebv: 70, frc: 32, vo2: 3.6 };

describe('croup at one year, swelling to 0.9, 1.0 and 1.1 over 20 min', () => {
  it('0.9: heart rate up by about an eighth, saturation 97, no arrest', () => {
    const c = course(plain(ONE), [[0, drive('upper-airway-oedema', 0.9, 20)]], 90);
    expect(c.arrestMin).toBe(Infinity);
    expect(c.at(60).spo2Percent).toBeGreaterThan(96);
    expect(c.at(60).heartRatePerMin / ONE.hr0).toBeGreaterThan(1.05);
    expect(c.at(60).heartRatePerMin / ONE.hr0).toBeLessThan(1.25);
  });
  it.each([
    [1.0, 63.9],
    [1.1, 37.8],
  ])('%d: arrest near %d min (within 15 %)', (to, minute) => {
    const c = course(plain(ONE), [[0, drive('upper-airway-oedema', to, 20)]], 90);
    expect(Math.abs(c.arrestMin - minute) / minute, `${c.arrestMin}`).toBeLessThan(0.15);
    // Saturation stays at 95 or more for as long as four fifths of resting ventilation is kept up.
    for (let t = 0; t < c.arrestMin; t += 0.5)
      if (c.at(t).ventilationRatio >= 0.8) expect(c.at(t).spo2Percent).toBeGreaterThan(94.5);
  });
});

describe('asthma at seven years, salbutamol and oxygen from 15 min', () => {
  it('30: B 0.64, PaCO2 38.6, ventilation 1.43; 60: B 0.52, 1.34, no fatigue', () => {
    const inputs: [number, PatientInput][] = [
      [0, drive('bronchospasm', 1, 20)],
      [15, { kind: 'oxygen', device: 'venturi-mask', fio2Fraction: 0.6 }],
      [15, { kind: 'dose', effect: 'salbutamol', route: 'neb', amount: 5 }],
      [16, { kind: 'dose', effect: 'salbutamol', route: 'neb', amount: 5 }],
      [17, { kind: 'dose', effect: 'salbutamol', route: 'neb', amount: 5 }],
    ];
    const c = course(plain(SEVEN), inputs, 60);
    // The independent run let salbutamol reach its ceiling; three doses come near it here.
    expect(Math.abs(c.at(30).bronchospasmFraction - 0.64)).toBeLessThan(0.08);
    expect(Math.abs(c.at(30).paco2MmHg - 38.6)).toBeLessThan(1);
    expect(Math.abs(c.at(30).ventilationRatio - 1.43)).toBeLessThan(0.1);
    expect(Math.abs(c.at(60).bronchospasmFraction - 0.52)).toBeLessThan(0.08);
    expect(Math.abs(c.at(60).ventilationRatio - 1.34)).toBeLessThan(0.1);
    expect(c.state[X.FATIGUE]!).toBeLessThan(0.02);
  });
});

describe('opioid in an adult, depression 0.95', () => {
  const on = drive('opioid', 0.95);
  it('air: 79.7 % at 1 min, 51.5 at 3, arrest 4.4; naloxone at 2 restores ventilation within 3 min', () => {
    const c = course(plain(GROWN), [[0, on]], 6);
    expect(Math.abs(c.at(1).spo2Percent - 79.7)).toBeLessThan(5);
    expect(Math.abs(c.at(3).spo2Percent - 51.5)).toBeLessThan(6);
    expect(Math.abs(c.arrestMin - 4.4)).toBeLessThan(0.8);
    const n = course(
      plain(GROWN),
      [
        [0, on],
        [2, { kind: 'dose', effect: 'naloxone', route: 'iv', amount: 400 }],
      ],
      70,
    );
    expect(n.at(5).ventilationRatio).toBeGreaterThan(0.6);
    expect(n.at(6).spo2Percent).toBeGreaterThan(94);
    expect(n.at(60).ventilationRatio).toBeLessThan(n.at(8).ventilationRatio - 0.1);
  });
  it('oxygen 0.6: saturation 98.9-99.9 (within 1.4 points) throughout; PaCO2 46.9, 58, 68, 77 at 1, 5, 10, 20 min', () => {
    const o2: PatientInput = { kind: 'oxygen', device: 'venturi-mask', fio2Fraction: 0.6 };
    const c = course(
      plain(GROWN),
      [
        [0, o2],
        [5, on],
        // The independent run lets it fade with exp(-t/180 min).
        [5.01, drive('opioid', 0.95 * 0.895, 20)],
      ],
      26,
    );
    for (let t = 5; t <= 25; t++) expect(c.at(t).spo2Percent, `${t - 5} min`).toBeGreaterThan(97.5);
    for (const [t, want, slack] of [
      [1, 46.9, 3],
      [5, 58, 4],
      [10, 68, 4],
      [20, 77, 5],
    ] as const)
      expect(Math.abs(c.at(t + 5).paco2MmHg - want), `${t} min`).toBeLessThan(slack);
  });
});

describe('airway resistance', () => {
  // Poiseuille: 1 mm of oedema in an infant's airway of 2 mm radius leaves 1 mm: resistance x 16; in an adult's of 5 mm,
  // x 2.4 (table in fpnotebook.com/Lung/Sx/Strdr.htm; arithmetic).
  it('one millimetre: 16-fold in an infant, 2.4-fold in an adult', () => {
    for (const [age, weight, radius, want] of [
      [0.75, 8.5, 2, 16],
      [40, 75, 5, 2.44],
    ] as const) {
      const c = course(
        { ageYears: age, weightKg: weight, sex: 'female' },
        [[0, drive('upper-airway-oedema', oedemaFraction(1, radius))]],
        30,
      );
      expect(Math.abs(c.state[X.R_UPPER]! / want - 1)).toBeLessThan(0.01);
    }
  });
});

describe('shunt, oxygen and the arterio-venous difference', () => {
  // Berggren SM. Acta Physiol Scand 1942;4 S11. The claim holds at a difference of 4 to 6 mL/dL only, so that is checked
  // too; the output is held down a little, since a heart that races in hypoxia narrows the difference.
  it.each([
    [0.235, 94, 101],
    [0.49, 0, 90],
  ])('shunt about %d', (shunt, least, most) => {
    const c = course(
      { ageYears: 30, weightKg: 70, sex: 'male', baseline: { haemoglobinGPerDl: 12 } },
      [
        [0, drive('shunt', shunt)],
        [0, drive('heart-weakness', 0.12)],
        [1, { kind: 'oxygen', device: 'bag-mask', fio2Fraction: 1 }],
      ],
      8,
    );
    const difference = c.state[X.CA_O2]! - c.state[X.CV_O2]!;
    expect(difference, `${difference} mL/dL`).toBeGreaterThan(4);
    expect(difference, `${difference} mL/dL`).toBeLessThan(6);
    expect(c.at(8).spo2Percent).toBeGreaterThanOrEqual(least);
    expect(c.at(8).spo2Percent).toBeLessThan(most);
  });
});
