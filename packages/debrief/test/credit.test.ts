import { describe, expect, it } from 'vitest';
import fc from 'fast-check';
import { creditForTime, scoreRun } from '../src/index.ts';
import { build, give, pack, s, target, answer } from './build-run.ts';

/**
 * W1: a worked example of the weighted timing score, redone by hand (placeholder numbers, not clinical targets;
 * arithmetic, no outside source): 2 x 1.00 + 4 x 0.70 + 2 x 0.50 + 2 x 0 = 5.8 of 10 = 58 %.
 */
describe('weighted timing score, worked example W1', () => {
  const W1 = [
    { id: 'call-help', weight: 2, dueS: 60, limitS: 180, doneS: 45, credit: 1 },
    { id: 'adrenaline-im', weight: 4, dueS: 300, limitS: 600, doneS: 390, credit: 0.7 },
    { id: 'oxygen-nrb', weight: 2, dueS: 120, limitS: 300, doneS: 210, credit: 0.5 },
    { id: 'fluid-bolus', weight: 2, dueS: 600, limitS: 900, doneS: null, credit: 0 },
  ];

  it.each(W1)('credit of $id is $credit', ({ dueS, limitS, doneS, credit }) => {
    expect(creditForTime(doneS === null ? null : s(doneS), s(dueS), s(limitS))).toBeCloseTo(credit, 12);
  });

  it('adds up to 58 % through a whole run, with its arithmetic', () => {
    const run = build({
      pack: pack({
        targets: W1.map((one) =>
          target({ id: one.id, clock: 'arrival', weight: one.weight, dueMs: s(one.dueS), limitMs: s(one.limitS) }),
        ),
      }),
      lines: [
        ...W1.flatMap((one) => (one.doneS === null ? [] : [give(s(one.doneS), one.id)])),
        answer('fluid-bolus', 'not-done'),
      ],
    });
    const card = scoreRun(run);
    expect(card.score.fraction).toBeCloseTo(0.58, 12);
    expect(card.score.arithmetic).toBe('(2 × 1.00 + 4 × 0.70 + 2 × 0.50 + 2 × 0.00) ÷ 10 = 5.8 ÷ 10 = 58 %.');
    expect(card.results.map((one) => one.result)).toEqual(['met', 'late', 'late', 'missed']);
    expect(card.results[1]?.arithmetic).toContain('(600 − 390) ÷ (600 − 300) = 0.70');
  });
});

describe('credit', () => {
  const times = { target: fc.integer({ min: 0, max: 1e6 }), fade: fc.integer({ min: 0, max: 1e6 }) };

  it('never rises with time, and stays between 0 and 1', () => {
    fc.assert(
      fc.property(times.target, times.fade, fc.integer({ min: -1e6, max: 3e6 }), fc.nat(1e6), (due, fade, t, later) => {
        const before = creditForTime(t, due, due + fade);
        const after = creditForTime(t + later, due, due + fade);
        expect(after).toBeLessThanOrEqual(before);
        expect(after).toBeGreaterThanOrEqual(0);
        expect(before).toBeLessThanOrEqual(1);
      }),
    );
  });

  it('is all or nothing without a limit', () => {
    expect(creditForTime(s(60), s(60))).toBe(1);
    expect(creditForTime(s(60) + 1, s(60))).toBe(0);
  });
});
