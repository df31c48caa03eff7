/** Two lungs that differ: what one of them loses is felt in the blood, on the side it is lost. */
import { describe, expect, it } from 'vitest';
import { bloodGas, explain, readFindings } from '../src/index.ts';
import type { PatientInput, PatientProfile } from '../src/index.ts';
import { SLOTS as X } from '../src/core/layout.ts';
import { LEFT_FLOW } from '../src/diseases/lungs.ts';
import { course, drive, reservoirMask } from './helpers.ts';
import type { Timed } from './helpers.ts';

const toddler = (pattern: string): PatientProfile => ({
  ageYears: 2,
  weightKg: 12,
  sex: 'male',
  illness: [{ disease: 'foreign-body', pattern, startedMinutesAgo: 5 }],
});
const adult = (disease: string, pattern: string, ago = 30): PatientProfile => ({
  ageYears: 30,
  weightKg: 70,
  sex: 'male',
  illness: [{ disease, pattern, startedMinutesAgo: ago }],
});
const asleep: readonly Timed[] = [
  [0, drive('paralysis', 1)],
  [0, { kind: 'oxygen', device: 'tube', fio2Fraction: 1 }],
  [0, { kind: 'procedure', procedure: 'breaths-given', on: true, amount: 14 }],
];
const deep = (site?: string, on = true): PatientInput => ({
  kind: 'procedure',
  procedure: 'tube-too-deep',
  on,
  ...(site === undefined ? {} : { site }),
});
const said = (c: ReturnType<typeof course>, id: string) =>
  readFindings(c.model, c.state).find((f) => f.id === id)?.text ?? '';

describe('an object in one main bronchus', () => {
  it.each(['left', 'right'])('%s: shunt and poorly matched flow come from that lung, and are said of it', (side) => {
    const c = course(toddler(`${side}-bronchial`), [], 4);
    const s = c.state;
    const mine = side === 'left' ? [X.CLOSED_LEFT, X.NARROW_LEFT] : [X.CLOSED_RIGHT, X.NARROW_RIGHT];
    const other = side === 'left' ? [X.CLOSED_RIGHT, X.NARROW_RIGHT] : [X.CLOSED_LEFT, X.NARROW_LEFT];
    for (const slot of mine) expect(s[slot]!).toBeGreaterThan(0.2);
    for (const slot of other) expect(s[slot]!).toBe(0);
    // Shunt by hand: flow that still goes to that lung, times the part of it without gas.
    const flow = side === 'left' ? LEFT_FLOW + s[X.DIVERTED]! : 1 - LEFT_FLOW - s[X.DIVERTED]!;
    expect(s[X.SHUNT]! - c.model.p['shunt0']! - 0.08 * s[X.B]!).toBeCloseTo(flow * s[mine[0]!]!, 2);
    // Blood has turned away from it, and not all of it.
    const usual = side === 'left' ? LEFT_FLOW : 1 - LEFT_FLOW;
    expect(flow).toBeLessThan(usual - 0.03);
    expect(flow).toBeGreaterThan(0.5 * usual);
    expect(c.at(4).spo2Percent).toBeGreaterThan(88);
    expect(c.at(4).spo2Percent).toBeLessThan(95.5);
    expect(said(c, 'air-entry')).toContain(`on the ${side}`);
    expect(explain(c.model, c.state, 'spo2Percent').text).toMatch(new RegExp(`${side} lung`));
  });
  it('the bigger lung is missed more; oxygen makes up for lung with little air', () => {
    const left = course(toddler('left-bronchial'), [], 4).at(4).spo2Percent;
    const right = course(toddler('right-bronchial'), [], 4).at(4).spo2Percent;
    expect(right).toBeLessThan(left - 0.5);
    const oxygen = course(toddler('right-bronchial'), [[1, reservoirMask]], 4).at(4).spo2Percent;
    expect(oxygen).toBeGreaterThan(98);
  });
});

describe('a lung down', () => {
  it('tension: shunt of that side, less than had flowed there, and the left is missed less', () => {
    // Norris RM et al. Thorax 1968;23:427-33 (from memory): shunt grows with collapse beyond a quarter of the lung.
    const right = course(adult('pneumothorax', 'right-tension', 0), [], 13);
    const left = course(adult('pneumothorax', 'left-tension', 0), [], 13);
    expect(right.state[X.SHUNT]!).toBeGreaterThan(0.2);
    expect(right.state[X.SHUNT]!).toBeLessThan(0.5);
    expect(right.at(13).spo2Percent).toBeLessThan(left.at(13).spo2Percent - 1);
    expect(right.state[X.CLOSED_LEFT]!).toBe(0);
    const small = course(adult('pneumothorax', 'right-simple', 10), [], 2);
    expect(small.at(2).spo2Percent).toBeGreaterThan(94);
    expect(small.at(2).spo2Percent).toBeLessThan(97.2);
  });
  it('a drain opens it again', () => {
    const c = course(
      adult('pneumothorax', 'right-tension', 0),
      [[11, { kind: 'procedure', procedure: 'chest-drain', on: true, site: 'right' }]],
      18,
    );
    expect(c.state[X.CLOSED_RIGHT]!).toBe(0);
    expect(c.at(18).spo2Percent).toBeGreaterThan(96);
  });
});

describe('lobar pneumonia', () => {
  it('holds its blood flow, so its shunt is its share of the lung', () => {
    const c = course(adult('pneumonia', 'left-lobar'), [], 3);
    expect(c.state[X.DIVERTED]!).toBeCloseTo(0, 9);
    expect(c.state[X.CLOSED_LEFT]!).toBeCloseTo(0.44, 2);
  });
});

describe('a tube too deep', () => {
  const at = 4;
  const one = course({ ageYears: 30, weightKg: 70, sex: 'male' }, [...asleep, [at, deep()]], 12);
  it('shuts the left lung when nobody says which: shunt of one-lung ventilation, 20 to 35 %', () => {
    // 20-30 % on one lung with hypoxic constriction at work (Benumof 1987, from memory), PaO2 150-350 mmHg on pure oxygen.
    expect(one.state[X.SHUNT]!).toBeGreaterThan(0.2);
    expect(one.state[X.SHUNT]!).toBeLessThan(0.35);
    const gas = bloodGas(one.model, one.state, 'arterial');
    expect(gas.po2MmHg).toBeGreaterThan(120);
    expect(gas.po2MmHg).toBeLessThan(350);
    expect(one.at(3.9).pao2MmHg).toBeGreaterThan(550);
    expect(said(one, 'air-entry')).toMatch(/No air entry on the left/);
    expect(said(one, 'work-of-breathing')).toMatch(/breaths given/);
  });
  it('drawn back, the lung fills and the blood recovers; left goes left; nothing happens without a tube', () => {
    const who: PatientProfile = { ageYears: 30, weightKg: 70, sex: 'male' };
    const back = course(who, [...asleep, [at, deep()], [8, deep(undefined, false)]], 14);
    expect(back.at(14).pao2MmHg).toBeGreaterThan(550);
    expect(said(back, 'air-entry')).toMatch(/equal/);
    const left = course(who, [...asleep, [at, deep('left')]], 10);
    expect(said(left, 'air-entry')).toMatch(/No air entry on the right/);
    const none = course(who, [[1, deep()]], 6);
    expect(none.at(6).spo2Percent).toBeGreaterThan(97);
    expect(none.state[X.TUBE_SHUT]!).toBe(0);
  });
});
