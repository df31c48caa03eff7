/** The programme page's numbers from stored summaries; invented runs, figures worked by hand. */
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import {
  IN_GROUPS_ONLY,
  agoText,
  dayNumber,
  programmePage,
  programmeReport,
  runSummary,
  scoreRun,
  type ReportOptions,
  type RunSummary,
} from '../src/index.ts';
import { adrenaline, build, give, s, type Line } from './build-run.ts';

const one = (part: Partial<RunSummary> = {}): RunSummary => ({
  runId: 'r',
  scenarioId: 'invented-picnic',
  packId: 'test-pack',
  condition: 'anaphylaxis',
  at: '2026-03-01T10:00:00.000Z',
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
const many = (n: number, part: (i: number) => Partial<RunSummary>): RunSummary[] =>
  Array.from({ length: n }, (_, i) => one({ runId: `r${i}`, ...part(i) }));
const NOW = '2026-10-05T12:00:00.000Z';

describe('a run in a few numbers', () => {
  it('times from could-have-seen; without a dose the run is censored at its end', () => {
    // Wheeze from 60 s in the built run.
    const given = build({ lines: [adrenaline(s(150))] });
    expect(runSummary(given, scoreRun(given), { ward: 'Ward A' })).toMatchObject({
      adrenalineMs: s(90),
      watchedMs: s(1140),
      adrenalineAsked: true,
      ward: 'Ward A',
      team: null,
    });
    const none = build({ lines: [] });
    expect(runSummary(none, scoreRun(none))).toMatchObject({ adrenalineMs: null, watchedMs: s(1140) });
  });

  describe('waits for a dose that is adequate', () => {
    const summed = (lines: readonly Line[]) => {
      const run = build({ lines });
      return runSummary(run, scoreRun(run));
    };
    const tenfold = { amount: 3000, volumeMl: 3 };

    it.each([
      ['ten times the dose', adrenaline(s(90), tenfold), 'wrong dose'],
      ['a tenth of it', adrenaline(s(90), { amount: 30, volumeMl: 0.03 }), 'wrong dose'],
      ['half as much again, a lesser error', adrenaline(s(90), { amount: 450, volumeMl: 0.45 }), 'wrong dose'],
      [
        'under the skin, its amount unseen',
        adrenaline(s(90), { route: 'subcutaneous', doseSeen: false }),
        'wrong route',
      ],
      ['into a vein', give(s(90), 'adrenaline-iv', { amount: 300, route: 'iv' }), 'not as the pack asks'],
    ])('%s stops no clock; the next, right one does', (_, wrong, fault) => {
      expect(summed([wrong, adrenaline(s(300))])).toMatchObject({ adrenalineMs: s(240), firstFault: fault });
      // Alone it leaves the run without one, watched to its end.
      expect(summed([wrong])).toMatchObject({ adrenalineMs: null, firstFault: fault, watchedMs: s(1140) });
    });

    it('a dose a little off counts, and so does one whose amount nobody saw, which is said', () => {
      expect(summed([adrenaline(s(90), { amount: 345, volumeMl: 0.345 })])).toMatchObject({
        adrenalineMs: s(30),
        firstFault: null,
        doseUnseen: false,
      });
      expect(summed([adrenaline(s(90), { doseSeen: false })])).toMatchObject({
        adrenalineMs: s(30),
        firstFault: null,
        doseUnseen: true,
      });
    });
  });

  it('holds nothing that a name could hide in', () => {
    const run = build({ lines: [{ kind: 'note', text: 'Pat Example was slow', at: s(100) }, adrenaline(s(150))] });
    expect(JSON.stringify(runSummary(run, scoreRun(run)))).not.toContain('Pat');
  });
});

describe('the page', () => {
  it('counts who never gave it as not yet, not as missing', () => {
    const report = programmeReport(
      many(10, (i) => ({ adrenalineMs: i < 4 ? (i + 1) * 60_000 : null })),
      { now: NOW },
    );
    expect(report).toMatchObject({ runs: 10, timed: 10 });
    expect(report.overall).toMatchObject({ n: 10, done: 4, medianMs: null });
    expect(report.overall.steps.at(-1)!.notYet).toBeCloseTo(0.6, 12);
    expect(report.warnings[0]).toContain('a handful');
  });

  it('joins a group under five with another and says so; alone it is not shown', () => {
    const runs = many(9, (i) => ({ ward: i < 5 ? 'Ward A' : 'Ward B' }));
    const report = programmeReport(runs, { now: NOW, groupBy: 'ward' });
    expect(report.groups).toMatchObject([
      { group: 'Ward B + Ward A', joined: ['Ward B', 'Ward A'], runs: 9, suppressed: false },
    ]);
    expect(report.warnings.join(' ')).toContain('2 groups stand together');
    expect(report.comparison).toBeNull();
    const few = programmeReport(runs.slice(5), { now: NOW, groupBy: 'ward' });
    expect(few.groups).toEqual([{ group: 'Ward B', joined: [], runs: 4, suppressed: true, hidden: 'few' }]);
  });

  it('marks runs that ended first at the share reached by then', () => {
    const report = programmeReport(
      many(6, (i) => (i < 3 ? { adrenalineMs: 60_000 * (i + 1) } : { adrenalineMs: null, watchedMs: 150_000 })),
      { now: NOW },
    );
    expect(report.overall.censored).toEqual([{ timeMs: 150_000, notYet: expect.closeTo(4 / 6, 10) as number }]);
  });

  it('counts the faulty first doses and names their kinds; with one kind small none has a number', () => {
    const stored = (kinds: readonly RunSummary['firstFault'][]) =>
      programmePage(
        kinds.map((firstFault, i) => ({ summary: one({ runId: `r${i}`, firstFault }), ratings: [] })),
        { now: NOW },
      ).firstFaults;
    const of = (n: number, kind: RunSummary['firstFault']) => Array.from({ length: n }, () => kind);
    expect(stored([...of(10, null), ...of(6, 'wrong dose'), ...of(5, 'wrong route')])).toMatchObject({
      count: 11,
      of: 21,
      kinds: [
        { says: 'wrong dose', count: 6 },
        { says: 'wrong route', count: 5 },
      ],
    });
    expect(stored([...of(10, null), ...of(6, 'wrong dose'), ...of(3, 'wrong route')])).toMatchObject({
      count: 9,
      kinds: [
        { says: 'wrong dose', count: null },
        { says: 'wrong route', count: null },
      ],
    });
  });

  it('within two minutes: runs that ended first count for as long as they were watched', () => {
    // 4 acted at 60 s of 10; 2 runs ended at 90 s; then 1 of the 4 left acted at 100 s: 1 − 6/10 × 3/4 = 0.55.
    const runs = many(10, (i) =>
      i < 4
        ? { adrenalineMs: s(60) }
        : i < 6
          ? { adrenalineMs: null, watchedMs: s(90) }
          : { adrenalineMs: i === 6 ? s(100) : s(300) },
    );
    const { groups } = programmeReport(runs, { now: NOW, groupBy: 'ward' });
    expect(groups[0]!.withinTwoMinutes!.estimate!.share).toBeCloseTo(0.55, 12);
    const short = programmeReport(
      many(6, () => ({ adrenalineMs: null, watchedMs: s(90) })),
      { now: NOW, groupBy: 'ward' },
    );
    expect(short.groups[0]!.withinTwoMinutes).toEqual({ count: 0, of: 6, estimate: null });
  });

  it('says how many ended runs are not in the sums yet', () => {
    const page = (waiting: number) => programmePage([{ summary: one(), ratings: [] }], { now: NOW, waiting }).warnings;
    expect(page(7).join(' ')).toContain('7 more ended runs are still being summed up');
    expect(page(0).join(' ')).not.toContain('summed up');
  });

  it('leaves out unscored drills, other conditions and other times', () => {
    const runs = [one(), one({ scored: false }), one({ condition: 'asthma' }), one({ at: '2025-01-01T00:00:00Z' })];
    const report = programmeReport(runs, { now: NOW, filter: { condition: 'anaphylaxis', from: '2026-01-01' } });
    expect(report.runs).toBe(1);
  });

  it('leaves out what is dated after today, and says what was found', () => {
    const runs = [
      ...many(6, () => ({ ward: 'Ward A', at: '2026-09-05T10:00:00.000Z' })),
      one({ runId: 'x', ward: 'Ward A', at: '2031-05-02T10:00:00.000Z' }),
      one({ runId: 'y', ward: 'Ward B', at: '2026-10-06T00:00:00.000Z' }),
    ];
    const report = programmeReport(runs, { now: NOW });
    expect(report.runs).toBe(6);
    expect(report.lastDrill.map(({ text }) => text)).toEqual(['Ward A: last drill 30 days ago']);
    expect(report.warnings[1]).toMatch(/^Runs dated after today \(October 2026, May 2031\) are not counted/);
    // On the day itself, and later, it counts.
    const later = programmeReport(runs, { now: '2026-10-06T00:00:00.000Z' });
    expect(later.runs).toBe(7);
    expect(later.lastDrill[1]!.text).toBe('Ward B: last drill today');
  });

  it('says when a ward last drilled, whatever is filtered', () => {
    const report = programmeReport(
      [one({ at: '2026-03-01T10:00:00Z' }), one({ ward: 'Ward B', at: '2026-10-04T00:00:00Z' })],
      {
        now: NOW,
        filter: { ward: 'Ward B' },
      },
    );
    expect(report.lastDrill.map(({ text }) => text)).toEqual([
      'Ward A: last drill 7 months ago',
      'Ward B: last drill yesterday',
    ]);
  });

  it('objectives: seen of known, with an interval; unknown ones do not count against', () => {
    const report = programmeReport(
      many(10, (i) => ({ objectives: { early: i < 9 ? 'seen' : 'not-seen', late: 'not-known' } })),
      { now: NOW },
    );
    expect(report.objectives[0]).toMatchObject({ objective: 'invented-picnic/early', seen: 9, known: 10 });
    // Wilson 9 of 10: 0.5958 to 0.9821 (Newcombe 1998).
    expect(report.objectives[0]!.interval![0]).toBeCloseTo(0.5958, 4);
    expect(report.objectives[1]).toMatchObject({ seen: 0, known: 0, interval: null });
  });

  describe('one person alone, only with their consent', () => {
    const runs = many(16, (i) => ({
      team: i < 6 ? 'heron' : i < 12 ? 'kestrel' : null,
      ward: i < 6 ? 'Ward A' : 'Ward B',
    }));
    const page = (more: Partial<ReportOptions>) =>
      programmePage(
        runs.map((summary) => ({ summary, ratings: [] })),
        { now: NOW, ...more },
      );
    const heron = new Set(['heron']);

    it('by team they stand among others, and alone in no group; who agreed may be asked for', () => {
      const both = page({ groupBy: 'team', notAlone: new Set(['heron', 'kestrel']) });
      // Four without a team are too few to stand apart, and so go with the rest.
      expect(both.groups).toMatchObject([{ joined: ['not given', IN_GROUPS_ONLY], runs: 16, suppressed: false }]);
      expect(both.choices.teams).toEqual([]);
      const one = page({ groupBy: 'team', notAlone: heron });
      expect(one.groups.map(({ joined, runs: n }) => [joined, n])).toEqual([
        [[], 6],
        [['not given', IN_GROUPS_ONLY], 10],
      ]);
      expect(one.choices.teams).toEqual(['kestrel']);
      expect(JSON.stringify(one)).not.toContain('heron');
      expect(page({ notAlone: heron, filter: { team: 'kestrel' } })).toMatchObject({ timed: 6, suppressed: false });
    });

    it('neither their pseudonym nor a ward where only they drilled brings them out', () => {
      const byName = page({ notAlone: heron, filter: { team: 'heron' } });
      expect(byName).toMatchObject({ runs: 0, sessions: [], suppressed: true });
      const byWard = page({ notAlone: heron, filter: { ward: 'Ward A' } });
      expect(byWard).toMatchObject({
        runs: 6,
        onePerson: true,
        suppressed: true,
        sessions: [],
        medianGiven: null,
        doses: { count: null, hidden: 'one-person' },
      });
      expect(byWard.warnings.join(' ')).toContain('has not agreed');
      // The same ward once they agreed.
      expect(page({ filter: { ward: 'Ward A' } })).toMatchObject({ onePerson: false, suppressed: false });
    });
  });

  it('does not depend on the order of the stored rows, and gives the same interval twice', () => {
    fc.assert(
      fc.property(fc.array(fc.integer({ min: 0, max: 600_000 }), { minLength: 1, maxLength: 30 }), (times) => {
        const runs = times.map((adrenalineMs, i) =>
          one({ runId: `r${i}`, adrenalineMs, at: `2026-03-${String(1 + (i % 28)).padStart(2, '0')}T00:00:00Z` }),
        );
        const options = { now: NOW, groupBy: 'month' } as const;
        expect(programmeReport([...runs].reverse(), options)).toEqual(programmeReport(runs, options));
      }),
      { numRuns: 20 },
    );
  });
});

it('days by the civil calendar: known dates, leap days and centuries', () => {
  // 1970-01-01 is day 0; 2000-03-01 is day 11017; 2024-02-29 is day 19782 (Unix time / 86,400).
  expect(['1970-01-01', '2000-03-01', '2024-02-29', '1969-12-31'].map(dayNumber)).toEqual([0, 11_017, 19_782, -1]);
  expect([0, 1, 30, 61, 218, 800].map(agoText)).toEqual([
    'today',
    'yesterday',
    '30 days ago',
    '2 months ago',
    '7 months ago',
    '2 years ago',
  ]);
});
