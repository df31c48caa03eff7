/** Cardiac arrest as the end of any illness: rhythm by cause, what compressions keep going, what brings the heart back. */
import { describe, expect, it } from 'vitest';
import { RHYTHMS } from '../src/index.ts';
import type { PatientInput, PatientProfile, Route } from '../src/index.ts';
import { SLOTS as X } from '../src/core/layout.ts';
import { course, drive } from './helpers.ts';
import type { Course, Timed } from './helpers.ts';

const ADULT: PatientProfile = { ageYears: 30, weightKg: 70, sex: 'male' };
const CHOKING: PatientProfile = { ageYears: 2, weightKg: 12, sex: 'female', illness: [{ disease: 'foreign-body' }] };
const TENSION: PatientProfile = {
  ageYears: 25,
  weightKg: 75,
  sex: 'male',
  illness: [{ disease: 'pneumothorax', pattern: 'right-tension' }],
};
const dose = (effect: string, route: Route, amount: number): PatientInput => ({ kind: 'dose', effect, route, amount });
const hands = (procedure: string, amount?: number): PatientInput => ({
  kind: 'procedure',
  procedure,
  on: true,
  ...(amount === undefined ? {} : { amount }),
});
const bag: PatientInput = { kind: 'oxygen', device: 'bag-mask', flowLPerMin: 15 };
const care = (at: number): Timed[] => [
  [at, hands('cpr', 110)],
  [at, bag],
  [at, hands('breaths-given', 10)],
];
const rhythmAt = (c: Course, minute: number) => RHYTHMS.find((one) => one.code === c.at(minute).rhythm)!.id;

describe('rhythm follows the cause', () => {
  it('a child shut off from air slows first and ends in asystole', () => {
    // In children in hospital asystole or pulseless electrical activity in about five of six (Nadkarni VM et al. JAMA 2006;295:50-7, from memory).
    const c = course(CHOKING, [], 6);
    expect(c.at(c.arrestMin - 0.2).heartRatePerMin).toBeLessThan(0.7 * c.model.p['hr0']!);
    expect(rhythmAt(c, 6)).toBe('asystole');
  });
  it('a squeezed or emptied heart ends with complexes and no pulse, which fade', () => {
    const squeezed = course(TENSION, [], 25);
    const bled = course(ADULT, [[0, drive('bleeding', 6)]], 20);
    for (const c of [squeezed, bled]) {
      expect(c.arrestMin).toBeLessThan(19);
      expect(rhythmAt(c, c.arrestMin + 0.3)).toBe('pulseless-electrical-activity');
      expect(c.at(c.arrestMin + 0.3).pulseRatePerMin).toBe(0);
      expect(c.at(c.arrestMin + 0.3).heartRatePerMin).toBeGreaterThan(20);
    }
    expect(rhythmAt(course(ADULT, [[0, drive('bleeding', 6)]], bled.arrestMin + 12), bled.arrestMin + 12)).toBe(
      'asystole',
    );
  });
  it('adrenaline pushed into a vein: 20 micrograms nothing, 500 a fast ventricular rhythm, 2 mg fibrillation', () => {
    const most = (micrograms: number) => {
      let worst = 0;
      const c = course(ADULT, [[1, dose('adrenaline', 'iv', micrograms)]], 3);
      for (let t = 1; t < 3; t += 0.1) worst = Math.max(worst, c.at(t).rhythm);
      return worst;
    };
    expect(most(20)).toBeLessThan(3);
    expect(most(500)).toBe(4);
    expect(most(2000)).toBe(6);
  });
});

describe('compressions', () => {
  // Closed-chest compressions give about a quarter of normal output; mean pressure seldom above 40 mmHg (2005 guideline text,
  // second-hand); aim at an end-tidal CO2 above 10 mmHg (guidelines; Kolar M et al. Crit Care 2008;12:R115 for what rises and falls).
  const c = course(ADULT, [[0, drive('bleeding', 6)]], 20);
  const stop = c.arrestMin;
  // Blood back, so that what is looked at is the compressions.
  const refill: Timed[] = [
    [stop + 0.2, drive('bleeding', 0)],
    [stop + 0.2, { kind: 'dose', effect: 'crystalloid', route: 'iv', amount: 1500, overMs: 60_000 }],
  ];
  const under = (rate: number, breaths: number) => {
    const plan: Timed[] = [
      [0, drive('bleeding', 6)],
      ...refill,
      [stop + 0.3, bag],
      [stop + 0.3, hands('cpr', rate)],
      [stop + 0.3, hands('breaths-given', breaths)],
    ];
    return course(ADULT, plan, stop + 1.8);
  };
  it('a quarter of normal output at a good rate, less when slow or hurried', () => {
    const flow = (rate: number) => under(rate, 10).state[X.CO]! / c.model.p['co0']!;
    expect(flow(110)).toBeGreaterThan(0.2);
    expect(flow(110)).toBeLessThan(0.33);
    expect(flow(60)).toBeLessThan(0.8 * flow(110));
    expect(flow(150)).toBeLessThan(flow(110));
    const good = under(110, 10).at(stop + 1.8);
    expect(good.etco2MmHg).toBeGreaterThan(8);
    expect(good.etco2MmHg).toBeLessThan(25);
    expect(good.meanMmHg).toBeLessThan(50);
  });
  it('too many breaths lower the flow (Aufderheide TP et al. Circulation 2004;109:1960-5, from memory)', () => {
    expect(under(110, 40).state[X.CO]!).toBeLessThan(0.9 * under(110, 10).state[X.CO]!);
  });
});

describe('return of circulation', () => {
  const choked = course(CHOKING, [], 6).arrestMin;
  it('asks for the cause to go: breaths that reach the lungs, a chest let down', () => {
    const without = course(CHOKING, [...care(choked + 0.3)].slice(0, 1), choked + 3);
    expect(without.at(choked + 3).arrested).toBe(1);
    const cleared = course(CHOKING, [...care(choked + 0.3), [choked + 1, hands('object-removed')]], choked + 7);
    expect(cleared.at(choked + 7).arrested).toBe(0);

    const tense = course(TENSION, [], 25).arrestMin;
    const plan: Timed[] = [...care(tense + 0.3), [tense + 1, dose('adrenaline', 'iv', 1000)]];
    const held = course(TENSION, plan, tense + 9);
    const letDown = course(TENSION, [...plan, [tense + 1.5, hands('needle-decompression', 2)]], tense + 9);
    expect(held.at(tense + 9).arrested).toBe(1);
    expect(letDown.at(tense + 9).arrested).toBe(0);
  });
  it('end-tidal CO2 jumps when it comes', () => {
    const c = course(CHOKING, [...care(choked + 0.3), [choked + 1, hands('object-removed')]], choked + 7);
    let back = choked + 0.5;
    while (c.at(back).arrested > 0) back += 0.1;
    expect(c.at(back + 0.4).etco2MmHg).toBeGreaterThan(c.at(back - 0.2).etco2MmHg + 12);
    expect(c.at(back - 0.2).etco2MmHg).toBeLessThan(25);
  });
  it('later help costs: longer until it comes, slower to wake; each minute without flow counts more than one with', () => {
    const with_ = (delay: number) =>
      course(
        CHOKING,
        [
          ...care(choked + delay),
          [choked + delay, hands('object-removed')],
          [choked + delay + 1, dose('adrenaline', 'io', 120)],
        ],
        choked + delay + 16,
      );
    const soon = with_(0.3);
    const late = with_(5);
    const wait = (c: Course, from: number) => {
      let t = choked + from;
      while (c.at(t).arrested > 0 && t < choked + from + 16) t += 0.1;
      return t - choked - from;
    };
    expect(wait(late, 5)).toBeGreaterThan(wait(soon, 0.3) + 0.5);
    expect(soon.at(choked + 14).consciousnessFraction).toBeGreaterThan(0.7);
    expect(late.at(choked + 19).consciousnessFraction).toBeLessThan(soon.at(choked + 14).consciousnessFraction - 0.15);
  });
  it('fibrillation goes on until it is shocked; a shock does nothing for asystole', () => {
    const start: Timed[] = [[0, dose('adrenaline', 'iv', 2000)], ...care(0.5)];
    const unshocked = course(ADULT, start, 8);
    const shocked = course(ADULT, [...start, [3, hands('defibrillation', 4)]], 8);
    expect(unshocked.at(8).arrested).toBe(1);
    expect(rhythmAt(unshocked, 8)).toBe('ventricular-fibrillation');
    expect(shocked.at(8).arrested).toBe(0);
    const flat = course(CHOKING, [[choked + 0.5, hands('defibrillation', 4)]], choked + 3);
    expect(rhythmAt(flat, choked + 3)).toBe('asystole');
  });
  it('the same log gives the same end, to the last bit', () => {
    const plan: Timed[] = [...care(choked + 0.3), [choked + 1, hands('object-removed')]];
    expect([...course(CHOKING, plan, choked + 4).state]).toEqual([...course(CHOKING, plan, choked + 4).state]);
  });
});
