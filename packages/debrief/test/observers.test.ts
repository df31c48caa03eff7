/** Observers' ratings: what of a log counts as one, and the number they are given; worked by hand. */
import { describe, expect, it } from 'vitest';
import { RATING_STEPS, ratingOf, type RunEvent, type RunExport } from '@breathline/engine';
import { behaviourRatings, observerAgreement, teamwork, teamworkCsv, teamworkText } from '../src/index.ts';
import { build } from './build-run.ts';

const LIST = [
  { id: 'loop', says: 'Orders are read back' },
  { id: 'plan', says: 'The plan is said aloud' },
];

/** A run in which these ticks were logged, in order. */
function watched(ticks: readonly { seat: string; behaviour: string; seen: string; rating?: number }[]): RunExport {
  const run = build({ lines: [] });
  const end = run.events.at(-1)!;
  const lines = ticks.map(({ seat, ...tick }, i) => ({
    ...end,
    why: undefined,
    kind: 'behaviour-ticked',
    ...tick,
    by: { role: 'observer', seat },
    seq: end.seq + i,
  }));
  const events = [...run.events.slice(0, -1), ...lines, { ...end, seq: end.seq + lines.length }];
  const scenario = { ...run.definition.scenario, behaviours: LIST };
  return { ...run, events: events as unknown as RunEvent[], definition: { ...run.definition, scenario } };
}

describe('a rating', () => {
  it('stands for one tick, its steps in order and each in its own words', () => {
    expect(RATING_STEPS.map(({ rating }) => rating)).toEqual([1, 2, 3, 4, 5]);
    expect(new Set(RATING_STEPS.map(({ says }) => says)).size).toBe(5);
    expect(ratingOf({ seen: 'seen', rating: 5 })).toBe(5);
    // A file from elsewhere may say two things at once: then the tick stands alone.
    expect(ratingOf({ seen: 'not-seen', rating: 5 })).toBeNull();
  });

  it('is each place’s last word: a later tick without one takes it back', () => {
    const run = watched([
      { seat: 'a', behaviour: 'loop', seen: 'partly', rating: 2 },
      { seat: 'a', behaviour: 'loop', seen: 'seen', rating: 4 },
      { seat: 'b', behaviour: 'loop', seen: 'partly', rating: 3 },
      { seat: 'b', behaviour: 'plan', seen: 'seen', rating: 5 },
      { seat: 'b', behaviour: 'plan', seen: 'not-seen' },
    ]);
    expect(behaviourRatings(run)).toEqual([
      { behaviour: 'loop', bySeat: { a: 'seen', b: 'partly' }, ratingBySeat: { a: 4, b: 3 } },
      { behaviour: 'plan', bySeat: { b: 'not-seen' } },
    ]);
    expect(teamwork(run).map(teamworkText)).toEqual([
      'seen 1, in part 1, not seen 0; rated 4 and 3 of 5',
      'seen 0, in part 0, not seen 1',
    ]);
    const rows = teamworkCsv(run).trim().split('\r\n').slice(1);
    expect(rows).toHaveLength(3);
    expect(rows[0]).toContain(
      'Observer 1,seen,4,"There most times, with a slip that somebody put right",SIMULATION – NOT FOR CLINICAL USE',
    );
    expect(rows[2]).toContain('Observer 2,not seen,,,SIMULATION');
  });
});

describe('agreement of ratings', () => {
  it('ICC(2,1) of six behaviours by two observers, worked by hand from the mean squares of Shrout & Fleiss 1979', () => {
    // Rows 1 2 / 2 2 / 3 3 / 4 5 / 5 5 / 3 4. Sum 39, grand mean 3.25; rows' means 1.5 2 3 4.5 5 3.5; columns' 3 and 3.5.
    // Between rows 2 x 9.375 = 18.75, /5 = 3.75; between columns 6 x 0.125 = 0.75; total 20.25, so error 0.75, /5 = 0.15.
    // (3.75 - 0.15) / (3.75 + 0.15 + 2 x (0.75 - 0.15) / 6) = 3.6 / 4.1 = 0.87805.
    const ratings = [[1, 2], [2, 2], [3, 3], [4, 5], [5, 5], [3, 4]] as const; // prettier-ignore
    const run = ratings.map(([a, b], i) => ({
      behaviour: `b${i}`,
      bySeat: { x: 'seen', y: 'seen' } as const,
      ratingBySeat: { x: a, y: b },
    }));
    const { ratings: found } = observerAgreement([run]);
    expect(found).toMatchObject({ ok: true, statistic: 'ICC(2,1)', subjects: 6, raters: 2 });
    if (!found.ok) return;
    expect(found.value).toBeCloseTo(3.6 / 4.1, 10);
    expect(found.interval![0]).toBeLessThan(found.value);
    expect(found.interval![1]).toBeGreaterThan(found.value);
  });

  it('one who rates a step higher throughout is not in agreement; a rating with no second beside it is left out', () => {
    const rows = (shift: number, alone: boolean) =>
      [1, 2, 3, 4, 2, 3].map((rating, i) => ({
        behaviour: `b${i}`,
        bySeat: { x: 'seen' } as const,
        ratingBySeat: { x: rating, ...(alone ? {} : { y: rating + shift }) } as Record<string, 1 | 2 | 3 | 4 | 5>,
      }));
    const value = (shift: number) => {
      const { ratings } = observerAgreement([rows(shift, false)]);
      return ratings.ok ? ratings.value : NaN;
    };
    expect(value(0)).toBeCloseTo(1, 10);
    expect(value(1)).toBeLessThan(0.75);
    expect(observerAgreement([rows(0, true)]).ratings).toMatchObject({ ok: false });
  });
});
