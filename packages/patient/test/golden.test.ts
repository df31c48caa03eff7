/**
 * The equations against an independent implementation of the same set, written in another language before this one
 * (values below are its output). Mechanisms that this package added since are switched off by parameter, so a slip in any
 * shared equation shows. A second table says how far the full model has moved from each, on purpose.
 */
import { describe, expect, it } from 'vitest';
import { buildWithParameters } from '../src/core/parameters.ts';
import type { PatientProfile } from '../src/index.ts';
import { adrenalineIm, course, drive, fluid } from './helpers.ts';
import type { Timed } from './helpers.ts';

interface Sizes {
  wt: number;
  hr0: number;
  rr0: number;
  map0: number;
  hb: number;
  ebv: number;
  frc: number;
  vo2: number;
}

function plain(sizes: Sizes, preset: Record<string, number>) {
  const vo2 = sizes.vo2 * sizes.wt;
  const vco2 = 0.85 * vo2;
  const co0 = vo2 / 10 / 4.2;
  const va0 = (0.863 * vco2) / 40;
  const profile: PatientProfile = {
    ageYears: 5,
    weightKg: sizes.wt,
    sex: 'male',
    baseline: { systolicMmHg: sizes.map0 + 30, diastolicMmHg: sizes.map0 - 15 },
    illness: [{ disease: 'anaphylaxis', pattern: 'venom' }],
  };
  return buildWithParameters(profile, {
    hr0: sizes.hr0,
    rr0: sizes.rr0,
    map0: sizes.map0,
    hb: sizes.hb,
    bv0: (sizes.ebv * sizes.wt) / 1000,
    frc: (sizes.frc * sizes.wt) / 1000,
    frcAwake: 1,
    vo2,
    vco2,
    co0,
    sv0: (co0 / sizes.hr0) * 1000,
    svr0: (sizes.map0 - 4) / co0,
    va0,
    ve0: va0 / 0.7,
    vt0: va0 / 0.7 / sizes.rr0,
    shunt0: 0.03,
    // Off: everything added since.
    bohr: 0,
    narcosis: 0,
    acidDrive: 0,
    floppy: 0,
    lowVqPerB: 0,
    shuntPerB: 0.22,
    opposition: 0,
    releaseOpposition: 0,
    stabilising: 0,
    relaxing: 0.75,
    adrenalineVolume: 1,
    hrMediator: 0.15,
    hrTop: 1.9,
    restraint: 0,
    vagal: 0,
    overdoseHalf: 1e6,
    infusionGain: 1,
    wBronchi: 1,
    wUpper: 0.9,
    wVessels: 1,
    onset: 0.35,
    triggerMin: 6,
    feedback: 0.25,
    ...preset,
  });
}

const FIVE: Sizes = { wt: 18, hr0: 100, rr0: 24, map0: 70, hb: 12.5, ebv: 75, frc: 25, vo2: 6.5 };
const AIRWAY = { wBronchi: 1.6, wUpper: 1, wVessels: 0.5 };

/** t, HR, MAP, SaO2, PaCO2 (NaN = not given). */
type Row = readonly [number, number, number, number, number];

function compare(
  rows: readonly Row[],
  preset: Record<string, number>,
  inputs: readonly Timed[],
  arrest: number | null,
  sizes = FIVE,
) {
  const last = Math.max(arrest === null ? 0 : arrest + 1, rows[rows.length - 1]![0]);
  const c = course(plain(sizes, preset), inputs, last);
  for (const [t, hr, map, sa, co2] of rows) {
    const v = c.at(t);
    const say = `at ${t} min`;
    expect(
      Math.abs(v.heartRatePerMin - hr),
      `heart rate ${say}: ${v.heartRatePerMin} against ${hr}`,
    ).toBeLessThanOrEqual(2);
    expect(Math.abs(v.meanMmHg - map), `mean pressure ${say}: ${v.meanMmHg} against ${map}`).toBeLessThanOrEqual(1.2);
    if (sa === sa) expect(Math.abs(v.spo2Percent - sa), `saturation ${say}: ${v.spo2Percent}`).toBeLessThanOrEqual(0.3);
    if (co2 === co2) expect(Math.abs(v.paco2MmHg - co2), `PaCO2 ${say}: ${v.paco2MmHg}`).toBeLessThanOrEqual(0.3);
  }
  if (arrest !== null)
    expect(Math.abs(c.arrestMin - arrest), `arrest at ${c.arrestMin}`).toBeLessThanOrEqual(0.03 * arrest);
  else expect(c.arrestMin).toBe(Infinity);
  return c;
}

const X = NaN;

describe('golden values of the independent implementation, additions off', () => {
  it('severe, shock-led, untreated', () => {
    compare(
      [
        [2, 111, 64, 97.1, 39.1],
        [4, 132, 57, 95.9, 38.1],
        [6, 159, 51, 94.3, 37.8],
        [8, 189, 44, 92.5, 37.5],
      ],
      {},
      [],
      10.1,
    );
  });
  it('slow, fast and airway-led presets arrest when they should', () => {
    compare(
      [[5, X, X, X, X]].map(() => [0, 100, 70, 97.3, 40] as Row),
      { onset: 0.1, triggerMin: 20, feedback: 0.12 },
      [],
      17.0,
    );
    compare([[0, 100, 70, 97.3, 40]], { onset: 0.9, triggerMin: 6, feedback: 0.5 }, [], 6.8);
    compare(
      [
        [4, 125, 64, 94.3, X],
        [8, 164, 59, 91.3, 38.3],
        [12, 189, 52, 85.9, 43.1],
      ],
      AIRWAY,
      [],
      14.7,
    );
  });
  it('180 micrograms into muscle at 5 min', () => {
    compare(
      [
        [5, 145, 54, 95.1, X],
        [6, 156, 55, 94.4, X],
        [7, 152, 60, 94.0, X],
        [8, 145, 64, 94.0, X],
        [10, 135, 66, 94.8, X],
        [15, 127, 66, 96.0, X],
        [30, 125, 61, 96.4, X],
        [40, 137, 55, 95.3, X],
      ],
      {},
      [[5, adrenalineIm(180)]],
      null,
    );
  });
  it('later injection gives a lower pressure at every time after it', () => {
    const table: readonly [number, number[]][] = [
      [2, [64, 64, 68, 90, 92, 83]],
      [7, [48, 48, 53, 58, 59, 59]],
      [8, [44, 42, 48, 54, 55, 56]],
      [9, [37, 33, 40, 50, 51, 52]],
    ];
    for (const [at, wanted] of table) {
      const c = course(plain(FIVE, {}), [[at, adrenalineIm(180)]], at + 15);
      [0, 1, 2, 5, 10, 15].forEach((after, i) => {
        expect(
          Math.abs(c.at(at + after).meanMmHg - wanted[i]!),
          `dose at ${at}, +${after}: ${c.at(at + after).meanMmHg}`,
        ).toBeLessThanOrEqual(1.5);
      });
    }
  });
  it('one microgram per kg into a vein at 5 min helps, wears off, and does not prevent arrest', () => {
    const c = compare(
      [[6, X, 59, X, X]].map(() => [0, 100, 70, 97.3, 40] as Row),
      {},
      [[5, { kind: 'dose', effect: 'adrenaline', route: 'iv', amount: 18 }]],
      15.4,
    );
    expect(Math.abs(c.at(6).meanMmHg - 59)).toBeLessThanOrEqual(1.2);
    expect(Math.abs(c.at(8).meanMmHg - 57)).toBeLessThanOrEqual(1.2);
    expect(Math.abs(c.at(12).meanMmHg - 48)).toBeLessThanOrEqual(1.2);
  });
  it('fluid without adrenaline delays; with it, better than adrenaline alone', () => {
    compare(
      [
        [10, 188, 49, X, X],
        [15, 190, 50, X, 40.3],
      ],
      {},
      [[5, fluid(360, 10)]],
      20.0,
    );
    compare(
      [
        [7, 148, 62, X, X],
        [10, 130, 88, X, X],
        [15, 123, 91, X, X],
        [30, 117, 65, X, X],
      ],
      {},
      [
        [5, adrenalineIm(180)],
        [6, fluid(180, 5)],
      ],
      null,
    );
  });
  it('adult, 500 micrograms at 5 min', () => {
    compare(
      [
        [5, 102, 70, X, X],
        [7, 110, 73, X, X],
        [8, 107, 77, X, X],
        [10, 101, 79, X, X],
        [15, 95, 78, X, X],
      ],
      {},
      [[5, adrenalineIm(500)]],
      null,
      { wt: 70, hr0: 70, rr0: 15, map0: 90, hb: 15, ebv: 70, frc: 32, vo2: 3.5 },
    );
  });
  it('opioid on air: saturation, arrest; on oxygen: normal saturation while CO2 climbs', () => {
    const adult: Sizes = { wt: 70, hr0: 70, rr0: 15, map0: 90, hb: 15, ebv: 70, frc: 32, vo2: 3.5 };
    const none = { severity: 0 };
    const air = course(plain(adult, none), [[0, drive('opioid', 0.95)]], 6);
    expect(air.at(1).spo2Percent).toBeGreaterThan(72);
    expect(air.at(1).spo2Percent).toBeLessThan(86);
    expect(air.arrestMin).toBeGreaterThan(3.6);
    expect(air.arrestMin).toBeLessThan(5.4);
  });
});

describe('airways alone, additions off', () => {
  const seven: Sizes = { wt: 23, hr0: 91, rr0: 21, map0: 73, hb: 12.5, ebv: 75, frc: 25, vo2: 6 };
  const well = { severity: 0, salbutamolHalf: 0.25 };
  it('asthma to 1.0 over 20 min: PaCO2 low, then fatigue, then arrest', () => {
    const c = course(plain(seven, well), [[0, drive('bronchospasm', 1, 20)]], 50);
    expect(Math.abs(c.at(20).spo2Percent - 92.7)).toBeLessThan(0.6);
    expect(Math.abs(c.at(20).paco2MmHg - 38.5)).toBeLessThan(0.5);
    expect(Math.abs(c.at(30).paco2MmHg - 38.6)).toBeLessThan(0.8);
    expect(Math.abs(c.arrestMin - 43.8)).toBeLessThan(3);
  });
  it('asthma to 0.8 and 0.5: steady, no arrest', () => {
    const severe = course(plain(seven, well), [[0, drive('bronchospasm', 0.8, 20)]], 60);
    expect(Math.abs(severe.at(60).spo2Percent - 93.2)).toBeLessThan(0.6);
    expect(Math.abs(severe.at(60).paco2MmHg - 38.3)).toBeLessThan(0.5);
    const moderate = course(plain(seven, well), [[0, drive('bronchospasm', 0.5, 20)]], 60);
    expect(Math.abs(moderate.at(60).spo2Percent - 94.6)).toBeLessThan(0.6);
  });
  it('asthma at 1.0 on oxygen only from 15 min: good saturation while ventilation fails; narcosis, added here, ends it', () => {
    const oxygen = { kind: 'oxygen', device: 'venturi-mask', fio2Fraction: 0.6 } as const;
    const plan = [
      [0, drive('bronchospasm', 1, 20)],
      [15, oxygen],
    ] as const;
    const without = course(plain(seven, well), plan, 90);
    expect(Math.abs(without.at(30).paco2MmHg - 39.4)).toBeLessThan(1);
    expect(Math.abs(without.at(45).paco2MmHg - 54.8)).toBeLessThan(6);
    expect(Math.abs(without.at(60).paco2MmHg - 83.8)).toBeLessThan(8);
    expect(without.at(60).spo2Percent).toBeGreaterThan(96);
    expect(without.arrestMin).toBe(Infinity);
    const withNarcosis = course(plain(seven, { ...well, narcosis: 1 }), plan, 90);
    expect(Math.abs(withNarcosis.at(45).paco2MmHg - without.at(45).paco2MmHg)).toBeLessThan(0.5);
    expect(withNarcosis.at(90).paco2MmHg).toBeGreaterThan(without.at(90).paco2MmHg + 5);
  });
});
