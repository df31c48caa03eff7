/** Hands on the patient, on each illness they are for, the ways they fail included. */
import { describe, expect, it } from 'vitest';
import type { PatientInput, PatientProfile, Posture } from '../src/index.ts';
import { SLOTS as X } from '../src/core/layout.ts';
import { course, drive } from './helpers.ts';
import type { Timed } from './helpers.ts';

const hands = (procedure: string, amount?: number, site?: string): PatientInput => ({
  kind: 'procedure',
  procedure,
  on: true,
  ...(amount === undefined ? {} : { amount }),
  ...(site === undefined ? {} : { site }),
});
const posture = (to: Posture): PatientInput => ({ kind: 'posture', posture: to });
const choking = (ageYears: number, weightKg: number, pattern?: string): PatientProfile => ({
  ageYears,
  weightKg,
  sex: 'male',
  illness: [{ disease: 'foreign-body', ...(pattern ? { pattern } : {}) }],
});
const tension = (side: 'left' | 'right'): PatientProfile => ({
  ageYears: 25,
  weightKg: 75,
  sex: 'male',
  illness: [{ disease: 'pneumothorax', pattern: `${side}-tension`, startedMinutesAgo: 8 }],
});

describe('choking', () => {
  const sets = (who: PatientProfile, kinds: readonly string[]) => {
    const plan: Timed[] = kinds.map((kind, i) => [1 + 0.2 * i, hands(kind, 5)]);
    return course(who, plan, 1 + 0.2 * kinds.length).state[X.OBJECT_OUT]!;
  };
  const backThenChest = ['back-blows', 'chest-thrusts'];
  const backThenBelly = ['back-blows', 'abdominal-thrusts'];
  it('a complete block clears after about three rounds: infant by back and chest, older by back and belly', () => {
    const times = (kinds: string[], n: number) => Array.from({ length: n }, () => kinds).flat();
    expect(sets(choking(0.7, 8.5), times(backThenChest, 2))).toBe(1);
    expect(sets(choking(5, 18), times(backThenBelly, 2))).toBe(1);
    expect(sets(choking(5, 18), ['back-blows'])).toBe(0);
    expect(sets(choking(0.7, 8.5), ['abdominal-thrusts', 'abdominal-thrusts', 'abdominal-thrusts'])).toBe(0);
  });
  it('one past the voice box does not answer blows; seen and taken out it is gone; blows in a child with nothing there do nothing', () => {
    const deep = course(
      choking(3, 14, 'right-bronchial'),
      [
        [1, hands('back-blows', 5)],
        [1.2, hands('chest-thrusts', 5)],
      ],
      2,
    );
    expect(deep.state[X.OBJECT_OUT]!).toBe(0);
    const seen = course(choking(3, 14), [[1, hands('object-removed')]], 2);
    expect(seen.state[X.OBJECT]!).toBe(0);
    expect(seen.at(2).spo2Percent).toBeGreaterThan(seen.at(1).spo2Percent);
    const croup: PatientProfile = {
      ageYears: 3,
      weightKg: 14,
      sex: 'male',
      illness: [{ disease: 'croup', startedMinutesAgo: 20 }],
    };
    const hit = course(croup, [[1, hands('back-blows', 5)]], 3);
    expect(hit.state[X.U]!).toBe(course(croup, [], 3).state[X.U]!);
  });
});

describe('a chest under tension', () => {
  it.each(['left', 'right'] as const)(
    '%s: a needle lets the pressure back in seconds, kinks, and a drain holds',
    (side) => {
      const none = course(tension(side), [], 8);
      const needle = course(tension(side), [[3, hands('needle-decompression', undefined, side)]], 20);
      expect(needle.at(4).systolicMmHg).toBeGreaterThan(none.at(4).systolicMmHg + 15);
      expect(needle.at(19).systolicMmHg).toBeLessThan(needle.at(8).systolicMmHg - 5);
      const drain = course(
        tension(side),
        [
          [3, hands('needle-decompression', undefined, side)],
          [6, hands('chest-drain', undefined, side)],
        ],
        20,
      );
      expect(drain.at(20).systolicMmHg).toBeGreaterThan(needle.at(20).systolicMmHg + 10);
      expect(drain.at(20).spo2Percent).toBeGreaterThan(95);
    },
  );
  it('a needle on the wrong side leaves the tension and hurts a sound lung', () => {
    const wrong = course(tension('right'), [[3, hands('needle-decompression', undefined, 'left')]], 5);
    const none = course(tension('right'), [], 5);
    expect(wrong.state[X.AIR_LEFT]!).toBeGreaterThan(0);
    expect(wrong.at(5).spo2Percent).toBeLessThan(none.at(5).spo2Percent + 0.2);
    expect(wrong.at(5).systolicMmHg).toBeLessThan(none.at(5).systolicMmHg + 3);
  });
  it('breaths pushed in make it worse, faster', () => {
    const early: PatientProfile = {
      ...tension('right'),
      illness: [{ disease: 'pneumothorax', pattern: 'right-tension', startedMinutesAgo: 4 }],
    };
    const bagged = course(
      early,
      [
        [1, { kind: 'oxygen', device: 'bag-mask', flowLPerMin: 15 }],
        [1, hands('breaths-given', 14)],
      ],
      6,
    );
    expect(bagged.state[X.AIR_RIGHT]!).toBeGreaterThan(course(early, [], 6).state[X.AIR_RIGHT]!);
  });
});

describe('posture', () => {
  it('legs up helps and standing harms wherever blood is short or loose; sitting up helps wet lungs', () => {
    const short: [string, PatientProfile, Timed[]][] = [
      [
        'bleeding',
        { ageYears: 30, weightKg: 70, sex: 'male' },
        [
          [0, drive('bleeding', 3)],
          [5, drive('bleeding', 0)],
        ],
      ],
      [
        'sting',
        { ageYears: 48, weightKg: 82, sex: 'male', illness: [{ disease: 'anaphylaxis', pattern: 'venom' }] },
        [[0, drive('mediators', 0.8, 1)]],
      ],
      [
        'sepsis',
        {
          ageYears: 66,
          weightKg: 72,
          sex: 'male',
          illness: [{ disease: 'pneumonia', pattern: 'septic', startedMinutesAgo: 30 }],
        },
        [],
      ],
    ];
    for (const [name, who, plan] of short) {
      const at = (to: Posture) => course(who, [...plan, [6, posture(to)]], 6.6).at(6.6).systolicMmHg;
      const flat = at('supine');
      expect(at('legs-raised'), name).toBeGreaterThan(flat + 0.5);
      expect(at('standing'), name).toBeLessThan(flat - 4);
    }
    const wet: PatientProfile = {
      ageYears: 72,
      weightKg: 75,
      sex: 'female',
      illness: [{ disease: 'pulmonary-oedema', startedMinutesAgo: 20 }],
    };
    const water = (to: Posture) => course(wet, [[0, posture(to)]], 12).state[X.WATER]!;
    expect(water('sitting')).toBeLessThan(water('supine') - 0.05);
    expect(water('legs-raised')).toBeGreaterThan(water('supine') + 0.02);
  });
});

describe('suction, rousing and an airway held open', () => {
  it('suction clears secretions that gather again', () => {
    const infant: PatientProfile = {
      ageYears: 0.4,
      weightKg: 7,
      sex: 'female',
      illness: [{ disease: 'bronchiolitis', startedMinutesAgo: 30 }],
    };
    const c = course(infant, [[2, hands('suction')]], 2.2);
    const later = course(infant, [[2, hands('suction')]], 20);
    expect(c.state[X.SECRETIONS]!).toBeLessThan(0.5 * course(infant, [], 2.2).state[X.SECRETIONS]!);
    expect(later.state[X.SECRETIONS]!).toBeGreaterThan(1.5 * c.state[X.SECRETIONS]!);
  });
  it('in an overdose an open airway lets more air through, and rousing helps for a minute', () => {
    const who: PatientProfile = {
      ageYears: 30,
      weightKg: 70,
      sex: 'female',
      illness: [{ disease: 'opioid-toxicity', startedMinutesAgo: 3 }],
    };
    const held = course(who, [[0.5, hands('airway-held-open')]], 2);
    expect(held.state[X.R_UPPER]!).toBeLessThan(course(who, [], 2).state[X.R_UPPER]!);
    const roused = course(who, [[0.5, hands('rouse')]], 3);
    const none = course(who, [], 3);
    expect(roused.at(1.2).respiratoryRatePerMin).toBeGreaterThan(none.at(1.2).respiratoryRatePerMin);
    expect(roused.state[X.ROUSED_MIN]!).toBe(0);
  });
});
