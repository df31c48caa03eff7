/** Small counts on the programme page: none is shown, and none comes out by subtraction. */
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { hiddenWords, programmePage, protect, type CountOf, type Hidden, type RunSummary } from '../src/index.ts';

const NOW = '2026-10-05T12:00:00.000Z';
const run = (i: number, part: Partial<RunSummary> = {}): RunSummary => ({
  runId: `r${i}`,
  scenarioId: 'invented-picnic',
  packId: 'p',
  condition: 'anaphylaxis',
  at: `2026-0${1 + (i % 9)}-11T10:00:00.000Z`,
  ward: 'Ward A',
  team: null,
  take: 1,
  adrenalineMs: 100_000,
  adrenalineAsked: true,
  watchedMs: 600_000,
  below90PercentMs: 0,
  belowPressureLimitMs: 0,
  results: {},
  objectives: {},
  wrongDoses: 0,
  firstFault: null,
  doseUnseen: false,
  scored: true,
  ...part,
});
/** Runs of wards: so many, of which so many with a critical dose error. */
const wards = (sizes: Readonly<Record<string, readonly [number, number]>>) => {
  let at = 0;
  return Object.entries(sizes).flatMap(([ward, [of, wrong]]) =>
    Array.from({ length: of }, (_, i) => run(at++, { ward, wrongDoses: i < wrong ? 1 : 0 })),
  );
};
const page = (runs: readonly RunSummary[], more: object = {}) =>
  programmePage(
    runs.map((summary) => ({ summary, ratings: [] })),
    { now: NOW, ...more },
  );

/** Every count a row may have for a reader who knows the rule, written out one by one. */
function valuesOf({ of }: CountOf, hidden: Hidden | null, count: number): number[] {
  if (hidden === null) return [count];
  const all = Array.from({ length: of + 1 }, (_, i) => i);
  const alone = (x: number): Hidden | null =>
    of < 5 ? 'small-group' : x >= 1 && x <= 4 ? 'few' : of - x >= 1 && of - x <= 4 ? 'all-but-few' : null;
  return all.filter((x) => alone(x) === (hidden === 'kept-back' ? null : hidden));
}

const tables = fc.array(
  fc
    .integer({ min: 1, max: 14 })
    .chain((of) => fc.record({ of: fc.constant(of), count: fc.integer({ min: 0, max: of }) })),
  { minLength: 1, maxLength: 4 },
);

describe('a table of counts', () => {
  it('shows no count of one to four, nor of all but one to four', () => {
    expect(protect([{ count: 1, of: 5 }]).total).toBe('few');
    expect(protect([{ count: 30, of: 33 }]).total).toBe('all-but-few');
    expect(protect([{ count: 0, of: 12 }]).total).toBeNull();
    expect(protect([{ count: 12, of: 12 }]).total).toBeNull();
    expect(hiddenWords('few')).toBe('fewer than 5');
  });

  it('keeps back the smallest row beside a hidden one, or it would come out by subtraction', () => {
    const { rows } = protect([
      { count: 8, of: 20 },
      { count: 1, of: 15 },
      { count: 6, of: 12 },
    ]);
    expect(rows).toEqual([null, 'few', 'kept-back']);
    // Two hidden rows of one each, in a sum of two that is itself hidden: nothing more is needed.
    expect(protect([{ count: 1, of: 9 }, { count: 1, of: 9 }]).rows).toEqual(['few', 'few']); // prettier-ignore
    // Five rows of one: a sum of five says that each is one, so the sum goes too.
    expect(protect(Array.from({ length: 5 }, () => ({ count: 1, of: 9 }))).total).toBe('kept-back');
  });

  it('leaves a reader at least two values for every hidden count: all tables tried out (property)', () => {
    fc.assert(
      fc.property(tables, (rows) => {
        const { rows: hidden, total } = protect(rows);
        const sum = rows.reduce((so, { count }) => so + count, 0);
        const whole = { of: rows.reduce((so, { of }) => so + of, 0), count: sum };
        const sums = new Set(valuesOf(whole, total, sum));
        const choices = rows.map((row, i) => valuesOf(row, hidden[i]!, row.count));
        const seen = rows.map(() => new Set<number>());
        const walk = (at: number, so: number, picked: readonly number[]): void => {
          if (at === rows.length) {
            if (sums.has(so)) picked.forEach((value, i) => seen[i]!.add(value));
            return;
          }
          for (const value of choices[at]!) walk(at + 1, so + value, [...picked, value]);
        };
        walk(0, 0, []);
        // A lone row is its own sum; where everything is hidden there is nothing more to hide.
        const everything = hidden.every((why) => why !== null) && total !== null;
        rows.forEach(({ count }, i) => {
          const why = hidden[i];
          if (why === null) expect(count === 0 || count >= 5).toBe(true);
          else if (why !== 'kept-back' && !everything) expect(seen[i]!.size).toBeGreaterThan(1);
        });
      }),
      { numRuns: 400 },
    );
  });
});

describe('the page', () => {
  it('dose errors of one in five are not in what is sent', () => {
    const { doses } = page(wards({ 'Ward A': [5, 1] }));
    expect(doses).toEqual({ of: 5, count: null, interval: null, hidden: 'few' });
  });

  it('a ward’s figure goes where all wards less this one would give a small one away', () => {
    const two = wards({ 'Ward A': [17, 6], 'Ward B': [17, 1] });
    expect(page(two).doses).toMatchObject({ count: 7, of: 34, hidden: null });
    expect(page(two, { filter: { ward: 'Ward B' } }).doses).toMatchObject({ count: null, hidden: 'few' });
    expect(page(two, { filter: { ward: 'Ward A' } }).doses).toMatchObject({ count: null, hidden: 'kept-back' });
    // With nothing small beside it, it stays.
    const safe = wards({ 'Ward A': [17, 6], 'Ward B': [17, 0] });
    expect(page(safe, { filter: { ward: 'Ward A' } }).doses).toMatchObject({ count: 6, hidden: null });
  });

  it('so does an objective’s, by scenario; its words are the scenario’s own where somebody has them', () => {
    const seen = wards({ 'Ward A': [12, 0], 'Ward B': [12, 0] }).map((one, i) => ({
      ...one,
      objectives: { 'help-early': i < 7 || (i >= 12 && i < 14) ? ('seen' as const) : ('not-seen' as const) },
    }));
    const asked = page(seen, {
      objectiveSays: (scenario: string, id: string) => `${scenario}/${id} in its own words`,
      filter: { ward: 'Ward A' },
    });
    expect(asked.objectives).toMatchObject([
      {
        objective: 'help-early',
        scenarioId: 'invented-picnic',
        says: 'invented-picnic/help-early in its own words',
        seen: { count: null, hidden: 'kept-back' },
      },
    ]);
    expect(page(seen).objectives[0]).toMatchObject({ says: 'Help early', seen: { count: 9, of: 24 } });
  });

  it('a choice that leaves out one to four runs says that its times beside those of all would tell theirs', () => {
    const told = (sizes: Parameters<typeof wards>[0], filter: object): boolean =>
      page(wards(sizes), { filter }).warnings.some((words) => words.startsWith('What this choice leaves out is fewer'));
    const ward = { ward: 'Ward A' };
    expect(told({ 'Ward A': [12, 0], 'Ward B': [3, 0] }, ward)).toBe(true);
    expect(told({ 'Ward A': [12, 0], 'Ward B': [5, 0] }, ward)).toBe(false);
    expect(told({ 'Ward A': [12, 0] }, ward)).toBe(false);
    expect(told({ 'Ward A': [12, 0], 'Ward B': [3, 0] }, {})).toBe(false);
    // Months before the window are left out too: one run in nine is of January.
    expect(told({ 'Ward A': [12, 0] }, { from: '2026-02-01' })).toBe(true);
    // Nothing is shown of a few, so nothing can be taken from all.
    expect(told({ 'Ward A': [4, 0], 'Ward B': [3, 0] }, ward)).toBe(false);
  });

  it('small groups stand together with others, months with their neighbours; no small number of runs is sent', () => {
    const runs = wards({ 'Ward A': [9, 0], 'Ward B': [8, 0], Theatre: [2, 0] });
    const { groups } = page(runs, { groupBy: 'ward' });
    expect(groups.map(({ group, runs: n }) => [group, n])).toEqual([
      ['Ward A', 9],
      ['Theatre + Ward B', 10],
    ]);
    const months = page(runs, { groupBy: 'month' }).groups;
    expect(months.map(({ group }) => group)[0]).toBe('2026-01 to 2026-02');
    for (const { runs: n } of months) expect(n).toBeGreaterThanOrEqual(5);
    expect(months.reduce((so, { runs: n }) => so + n!, 0)).toBe(19);
    expect(page(runs, { filter: { ward: 'Theatre' } })).toMatchObject({ runs: null, timed: null, suppressed: true });
  });

  it('times go by month; one to four times of many runs are not shown', () => {
    const runs = wards({ 'Ward A': [12, 0] });
    expect(page(runs).sessions[0]).toEqual({ at: '2026-01', ms: 100_000 });
    const rare = runs.map((one, i) => (i < 2 ? one : { ...one, adrenalineMs: null }));
    expect(page(rare)).toMatchObject({ sessions: [], suppressed: true, givenInAll: { hidden: 'few' } });
    // Who never gave it is as few: 10 of 12 says as much as 2.
    const most = runs.map((one, i) => (i < 10 ? one : { ...one, adrenalineMs: null }));
    expect(page(most).givenInAll).toMatchObject({ count: null, hidden: 'all-but-few' });
  });

  it('within two minutes: the rows of a table protect each other', () => {
    const at = (ward: string, fast: number, of: number, from: number) =>
      Array.from({ length: of }, (_, i) => run(from + i, { ward, adrenalineMs: i < fast ? 90_000 : 200_000 }));
    const { groups } = page([...at('A', 8, 20, 0), ...at('B', 2, 14, 20), ...at('C', 6, 12, 34)], { groupBy: 'ward' });
    expect(groups.map(({ group, withinTwoMinutes }) => [group, withinTwoMinutes?.hidden])).toEqual([
      ['A', null],
      ['B', 'few'],
      ['C', 'kept-back'],
    ]);
  });
});
