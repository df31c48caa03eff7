/** The programme's statistics against published worked examples. Each names its source. */
import { describe, expect, it } from 'vitest';
import {
  anhojLimits,
  bootstrap,
  bootstrapMedian,
  cohenKappa,
  fQuantile,
  fleissKappa,
  intraclass,
  logRank,
  mean,
  meanSquares,
  median,
  readChart,
  sampleSd,
  actedBy,
  survivalCurve,
  weightedKappa,
  wilson,
  xmr,
  type Agreement,
} from '@breathline/debrief';

const value = (answer: Agreement): number => (answer.ok ? answer.value : NaN);

describe('agreement', () => {
  it('Cohen: 50 proposals, two readers (textbook table, from memory): po 0.70, pe 0.50, kappa 0.40', () => {
    const kappa = cohenKappa([
      [20, 5],
      [10, 15],
    ]);
    expect(kappa).toMatchObject({ ok: true, subjects: 50, raters: 2 });
    expect(value(kappa)).toBeCloseTo(0.4, 10);
    if (kappa.ok) {
      expect(kappa.observed).toBeCloseTo(0.7, 10);
      expect(kappa.expected).toBeCloseTo(0.5, 10);
    }
  });

  it('Cohen: the two tables of equal observed agreement and unequal kappa (Feinstein & Cicchetti 1990 kind; figures worked by hand)', () => {
    // po = 0.60 in both; pe = 0.54 and 0.46.
    expect(
      value(
        cohenKappa([
          [45, 15],
          [25, 15],
        ]),
      ),
    ).toBeCloseTo(0.1304, 4);
    expect(
      value(
        cohenKappa([
          [25, 35],
          [5, 35],
        ]),
      ),
    ).toBeCloseTo(0.2593, 4);
  });

  it('quadratic weights: by hand, and equal to the plain kappa where there are two categories', () => {
    // 20 ratings, seen/partly/not. Slips: four of one step, one of two: 4 x 1 + 1 x 4 = 8. By chance, from rows 10, 6, 4 and columns 9, 6, 5:
    // (1 x (10*6 + 6*9 + 6*5 + 4*6) + 4 x (10*5 + 4*9)) / 20 = (168 + 344) / 20 = 25.6. So 1 - 8 / 25.6 = 0.6875.
    const table = [
      [8, 1, 1],
      [1, 4, 1],
      [0, 1, 3],
    ];
    expect(value(weightedKappa(table))).toBeCloseTo(1 - 8 / 25.6, 10);
    const two = [
      [20, 5],
      [10, 15],
    ];
    expect(value(weightedKappa(two))).toBeCloseTo(value(cohenKappa(two)), 12);
    expect(weightedKappa(two)).toMatchObject({ subjects: 50, raters: 2 });
    expect(weightedKappa([[5, 0], [0, 0]])).toMatchObject({ ok: false }); // prettier-ignore
  });

  it('quadratic weights: the two-way intraclass correlation of the same ticks, nearer with more of them (Fleiss & Cohen 1973)', () => {
    const apart = (times: number): number => {
      const table = [
        [8, 3, 1],
        [2, 4, 2],
        [0, 1, 3],
      ].map((row) => row.map((count) => count * times));
      const ratings = table.flatMap((row, i) => row.flatMap((count, j) => Array.from({ length: count }, () => [i, j])));
      return Math.abs(value(weightedKappa(table)) - value(intraclass(ratings, 'ICC(2,1)')));
    };
    expect(apart(1)).toBeLessThan(0.02);
    expect(apart(100)).toBeLessThan(0.0002);
    expect(apart(100)).toBeLessThan(apart(10));
    expect(apart(10)).toBeLessThan(apart(1));
  });

  it('Fleiss: ten subjects, fourteen raters, five categories (the example of the public encyclopaedia page): 0.210', () => {
    const counts = [
      '0 0 0 0 14',
      '0 2 6 4 2',
      '0 0 3 5 6',
      '0 3 9 2 0',
      '2 2 8 1 1',
      '7 7 0 0 0',
      '3 2 6 3 0',
      '2 5 3 2 2',
      '6 5 2 1 0',
      '0 2 2 3 7',
    ].map((row) => row.split(' ').map(Number));
    const kappa = fleissKappa(counts);
    expect(value(kappa)).toBeCloseTo(0.21, 3);
    if (kappa.ok) {
      expect(kappa.observed).toBeCloseTo(0.378, 4);
      expect(kappa.expected).toBeCloseTo(0.2128, 4);
      expect(kappa.interval![0]).toBeLessThan(kappa.value);
    }
  });

  const shroutFleiss = ['9 2 5 8', '6 1 3 2', '8 4 6 8', '7 1 2 6', '10 5 6 9', '6 2 4 7'].map((row) =>
    row.split(' ').map(Number),
  );

  it('intraclass: the six targets and four judges of Shrout & Fleiss 1979', () => {
    const squares = meanSquares(shroutFleiss);
    expect(squares.betweenTargets).toBeCloseTo(11.2417, 4);
    expect(squares.within).toBeCloseTo(6.2639, 4);
    expect(squares.betweenRaters).toBeCloseTo(32.4861, 4);
    expect(squares.error).toBeCloseTo(1.0194, 4);
    const published = {
      'ICC(1,1)': 0.17,
      'ICC(2,1)': 0.29,
      'ICC(3,1)': 0.71,
      'ICC(1,k)': 0.44,
      'ICC(2,k)': 0.62,
      'ICC(3,k)': 0.91,
    };
    for (const [form, figure] of Object.entries(published)) {
      expect(Math.abs(value(intraclass(shroutFleiss, form as 'ICC(1,1)')) - figure), form).toBeLessThan(0.006);
    }
  });

  it('intraclass intervals of the same data (as a widely used statistics package prints them; from memory)', () => {
    const printed = {
      'ICC(1,1)': [-0.133, 0.723],
      'ICC(2,1)': [0.019, 0.761],
      'ICC(3,1)': [0.342, 0.946],
      'ICC(1,k)': [-0.884, 0.912],
      'ICC(2,k)': [0.071, 0.927],
      'ICC(3,k)': [0.676, 0.986],
    } as const;
    for (const [form, [low, high]] of Object.entries(printed)) {
      const answer = intraclass(shroutFleiss, form as keyof typeof printed);
      expect(answer.ok).toBe(true);
      if (!answer.ok) continue;
      expect(answer.interval![0], `${form} low`).toBeCloseTo(low, 2);
      expect(answer.interval![1], `${form} high`).toBeCloseTo(high, 2);
    }
  });

  it('says why instead of printing 0 or 1 when nothing varies or nobody else rated', () => {
    expect(
      cohenKappa([
        [10, 0],
        [0, 0],
      ]),
    ).toMatchObject({ ok: false });
    expect(
      fleissKappa([
        [3, 0],
        [3, 0],
      ]),
    ).toMatchObject({ ok: false });
    expect(
      fleissKappa([
        [1, 0],
        [0, 1],
      ]),
    ).toMatchObject({ ok: false, because: 'at least two raters are needed' });
    expect(intraclass([[1], [2]], 'ICC(2,1)')).toMatchObject({ ok: false });
    expect(
      intraclass(
        [
          [2, 2],
          [2, 2],
        ],
        'ICC(2,1)',
      ),
    ).toMatchObject({ ok: false });
  });
});

describe('time to an act', () => {
  const treated = [
    ...[6, 6, 6, 7, 10, 13, 16, 22, 23].map((timeMs) => ({ timeMs, done: true })),
    ...[6, 9, 10, 11, 17, 19, 20, 25, 32, 32, 34, 35].map((timeMs) => ({ timeMs, done: false })),
  ];
  const placebo = [1, 1, 2, 2, 3, 4, 4, 5, 5, 8, 8, 8, 8, 11, 11, 12, 12, 15, 17, 22, 23].map((timeMs) => ({
    timeMs,
    done: true,
  }));

  it('Kaplan-Meier: 6-mercaptopurine arm of Freireich and others 1963, with Greenwood errors', () => {
    const { steps, medianMs } = survivalCurve(treated);
    expect(steps.map(({ timeMs }) => timeMs)).toEqual([6, 7, 10, 13, 16, 22, 23]);
    expect(steps.map(({ atRisk }) => atRisk)).toEqual([21, 17, 15, 12, 11, 7, 6]);
    const published = [0.8571, 0.8067, 0.7529, 0.6902, 0.6275, 0.5378, 0.4482];
    const errors = [0.0764, 0.0869, 0.0963, 0.1068, 0.1141, 0.1282, 0.1346];
    steps.forEach((step, i) => {
      expect(step.notYet).toBeCloseTo(published[i]!, 4);
      expect(step.standardError).toBeCloseTo(errors[i]!, 4);
      expect(step.interval[0]).toBeLessThan(step.notYet);
      expect(step.interval[1]).toBeGreaterThan(step.notYet);
    });
    expect(medianMs).toBe(23);
  });

  it('share who had acted by a time: one less the published estimate, interval after Rothman 1978', () => {
    // S(10) = 0.7529, standard error 0.0963 (Klein & Moeschberger, Survival Analysis, table 4.1). Rothman's effective number
    // is S(1 − S)/SE²; his limits as the R package km.ci (method "rothman") works them out from it.
    const [s, se, z] = [0.7529, 0.0963, 1.959964];
    const n = (s * (1 - s)) / (se * se);
    const half = z * Math.sqrt(se * se + (z * z) / (4 * n * n));
    const limit = (sign: number) => (n / (n + z * z)) * (s + (z * z) / (2 * n) + sign * half);
    const found = actedBy(treated, 10)!;
    expect(found.share).toBeCloseTo(1 - s, 4);
    expect(found.interval[0]).toBeCloseTo(1 - limit(1), 3);
    expect(found.interval[1]).toBeCloseTo(1 - limit(-1), 3);
    // Between steps the last one holds.
    expect(actedBy(treated, 12)).toEqual(found);
  });

  it('the same where nobody was cut short is the plain share with Wilson’s interval; at the ends it is no point', () => {
    const found = actedBy(placebo, 8)!;
    // 13 of 21 had relapsed by week 8 (0.381 were left).
    expect(found.share).toBeCloseTo(13 / 21, 10);
    expect(found.interval[0]).toBeCloseTo(wilson(13, 21)![0], 10);
    expect(found.interval[1]).toBeCloseTo(wilson(13, 21)![1], 10);
    expect(actedBy(placebo, 0.5)).toEqual({ share: 0, interval: wilson(0, 21) });
    expect(actedBy(placebo, 30)).toEqual({ share: 1, interval: wilson(21, 21) });
    // All 21 were watched for 5 weeks, nobody for 40.
    expect(actedBy(treated, 5)).toEqual({ share: 0, interval: wilson(0, 21) });
    expect(actedBy(treated, 40)).toBeNull();
  });

  it('placebo arm of the same trial, and the log-rank comparison: chi-square 16.79', () => {
    const curve = survivalCurve(placebo);
    expect(curve.steps.find(({ timeMs }) => timeMs === 8)!.notYet).toBeCloseTo(0.381, 4);
    expect(curve.medianMs).toBe(8);
    const test = logRank(treated, placebo)!;
    expect(test.observed[0]).toBe(9);
    expect(test.expected[0]).toBeCloseTo(19.25, 2);
    expect(test.chiSquare).toBeCloseTo(16.79, 2);
    // The 5 % point of chi-square with one degree of freedom is 3.841 (any table).
    expect(test.p).toBeLessThan(0.0001);
    expect(test.p).toBeGreaterThan(0.00001);
  });

  it('says "not reached" when fewer than half acted, and stays at 1 when all were cut short', () => {
    const some = survivalCurve([
      { timeMs: 100, done: true },
      ...[200, 300, 400].map((timeMs) => ({ timeMs, done: false })),
    ]);
    expect(some.medianMs).toBeNull();
    expect(survivalCurve([{ timeMs: 5, done: false }])).toMatchObject({ steps: [], medianMs: null, n: 1, done: 0 });
  });
});

describe('charts', () => {
  const shifted = '210 240 195 230 220 250 205 235 180 170 160 175 150 165 155 168'.split(' ').map(Number);
  const trending = '200 190 188 170 165 150 205 180 195 185'.split(' ').map(Number);

  it('XmR: the flow rates of NIST/SEMATECH e-Handbook 6.3.2.2', () => {
    const found = xmr([49.6, 47.6, 49.9, 51.3, 47.8, 51.2, 52.6, 52.4, 53.6, 52.1]);
    expect(found.mean).toBeCloseTo(50.81, 10);
    expect(found.meanMovingRange).toBeCloseTo(1.8778, 4);
    expect(found.upper).toBeCloseTo(55.8041, 4);
    expect(found.lower).toBeCloseTo(45.8159, 4);
  });

  it('run chart (Perla and others 2011): a shift and too few runs; invented series', () => {
    const chart = readChart(shifted, 'run-chart');
    expect(chart).toMatchObject({ centre: 187.5, usefulPoints: 16, longestRun: 8, runs: 2, longestTrend: 4 });
    expect(chart.signals.map(({ rule }) => rule)).toEqual(['shift of 8', 'shift of 8', 'too few runs (2 of 5)']);
  });

  it('run chart: a trend and nothing else; invented series', () => {
    const chart = readChart(trending, 'run-chart');
    expect(chart).toMatchObject({ centre: 186.5, longestTrend: 6, longestRun: 3, runs: 6 });
    expect(chart.signals.map(({ rule }) => rule)).toEqual(['trend of 6']);
  });

  it('runs analysis (Anhøj & Olesen 2014): limits by number of points, and the same shifted series', () => {
    const table = { 10: [6, 2], 12: [7, 3], 16: [7, 4], 20: [7, 6], 24: [8, 8], 30: [8, 10] };
    for (const [points, [run, crossings]] of Object.entries(table)) {
      expect(anhojLimits(Number(points))).toEqual({ longestRun: run, fewestCrossings: crossings });
    }
    const chart = readChart(shifted, 'runs-only');
    expect(chart.signals).toHaveLength(2);
    expect(readChart(trending, 'runs-only').signals).toHaveLength(0);
  });

  it('rule sets disagree, and each says which it is: a run of seven is a shift to two of the four', () => {
    // Seven above, then nothing long: median and mean both near 5.
    const seven = [9, 9.1, 8.9, 9.2, 9, 9.3, 8.8, 1, 1.2, 9.1, 0.8, 1.1, 9, 1, 0.9, 1.1, 8.9, 1];
    const shifts = (['run-chart', 'control-chart', 'xmr-four-rules'] as const).map((set) =>
      readChart(seven, set).signals.some(({ rule }) => rule.startsWith('shift')),
    );
    expect(shifts).toEqual([true, false, true]);
  });

  it('draws no limits from a handful, and says so', () => {
    const chart = readChart([5, 6, 7, 5, 6], 'xmr-four-rules');
    expect(chart.limits).toBeNull();
    expect(chart.warnings.join(' ')).toContain('no limits');
    expect(readChart([], 'run-chart').signals).toEqual([]);
  });
});

describe('intervals', () => {
  it('Wilson: worked values of Newcombe 1998 and the ends', () => {
    const published: readonly [number, number, number, number][] = [
      [81, 263, 0.2553, 0.3662],
      [23, 60, 0.2709, 0.5098],
      [9, 10, 0.5958, 0.9821],
      [0, 10, 0, 0.2775],
    ];
    for (const [count, of, low, high] of published) {
      const [a, b] = wilson(count, of)!;
      expect(a).toBeCloseTo(low, 4);
      expect(b).toBeCloseTo(high, 4);
    }
    expect(wilson(1, 0)).toBeNull();
  });

  it('bootstrap: the treated mice of Efron & Tibshirani 1993', () => {
    const mice = [94, 197, 16, 38, 99, 141, 23];
    expect(mean(mice)).toBeCloseTo(86.86, 2);
    expect(sampleSd(mice) / Math.sqrt(7)).toBeCloseTo(25.24, 2);
    const found = bootstrap(mice, mean, { seed: 20 })!;
    // Ideal standard error 23.36; exact percentile interval over all 7^7 resamples 43.43 to 134.43.
    expect(Math.abs(found.standardError - 23.36)).toBeLessThan(23.36 * 0.03);
    expect(Math.abs(found.interval[0] - 43.43)).toBeLessThan(2.5);
    expect(Math.abs(found.interval[1] - 134.43)).toBeLessThan(2.5);
    expect(found).toMatchObject({ few: true, resamples: 10_000, seed: 20 });
    // Standard error of the median, 37.83.
    expect(Math.abs(bootstrap(mice, median, { seed: 3 })!.standardError - 37.83)).toBeLessThan(37.83 * 0.03);
    expect(bootstrap(mice, mean, { seed: 20 })).toEqual(found);
    // The quick way of the median is the plain one, draw for draw; odd and even counts, and ties.
    for (const values of [mice, [...mice, 38, 38, 150], [7], [7, 9]]) {
      const ordered = [...values].sort((a, b) => a - b);
      expect(bootstrapMedian(values, { seed: 5, resamples: 500 })).toEqual(
        bootstrap(ordered, median, { seed: 5, resamples: 500 }),
      );
    }
  });

  it('F quantiles of the printed tables: F(0.95; 2, 10) = 4.1028, F(0.975; 5, 15) = 3.5764, F(0.975; 10, 1) = 968.63', () => {
    expect(fQuantile(0.95, 2, 10)).toBeCloseTo(4.1028, 4);
    expect(fQuantile(0.975, 5, 15)).toBeCloseTo(3.5764, 4);
    expect(fQuantile(0.975, 10, 1)).toBeCloseTo(968.627, 2);
  });
});
