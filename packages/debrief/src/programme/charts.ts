/**
 * Run charts and control charts of one measure over sessions. Sources differ on the rules, so each rule set is named,
 * chosen by the reader and printed on the chart.
 */
import { binomialUpTo, mean, median } from './numbers.ts';

export type RuleSet = 'run-chart' | 'control-chart' | 'xmr-four-rules' | 'runs-only';

export interface RuleSetFacts {
  readonly title: string;
  readonly centre: 'median' | 'mean';
  readonly source: string;
  readonly rules: readonly string[];
}

export const RULE_SETS: Readonly<Record<RuleSet, RuleSetFacts>> = {
  'run-chart': {
    title: 'Run chart',
    centre: 'median',
    source: 'Perla, Provost & Murray, BMJ Qual Saf 2011;20:46-51',
    rules: [
      'shift: 6 or more in a row on one side of the median',
      'trend: 5 or more all up or all down',
      'too few or too many runs for the number of points',
    ],
  },
  'control-chart': {
    title: 'Control chart',
    centre: 'mean',
    source:
      'Five rules for control charts in health care, as a course of the National Association for Healthcare Quality lists them',
    rules: [
      'a point outside the limits',
      'shift: 8 or more in a row on one side of the mean',
      'trend: 6 or more all up or all down',
      '2 of 3 in the outer third, same side',
      '15 in a row in the inner third',
    ],
  },
  'xmr-four-rules': {
    title: 'XmR chart, four rules',
    centre: 'mean',
    source: 'Making Data Count style rules as coded in an open community package (seen in its documentation)',
    rules: [
      'a point outside the limits',
      'shift: 7 or more in a row on one side of the mean',
      'trend: 7 or more all up or all down',
      '2 of 3 near a limit, same side',
    ],
  },
  'runs-only': {
    title: 'Runs analysis',
    centre: 'median',
    source: 'Anhøj & Olesen, PLoS ONE 2014;9:e113825 (limits as an open text on quality charts computes them)',
    rules: ['longest run longer than chance allows', 'fewer crossings of the median than chance allows'],
  },
};

export interface Signal {
  readonly rule: string;
  /** Points of the series (0-based) that make the signal. */
  readonly points: readonly number[];
}

export interface Chart {
  readonly ruleSet: RuleSet;
  readonly centre: number;
  /** Control limits; null on charts without, or where the points are too few to have any. */
  readonly limits: { readonly lower: number; readonly upper: number; readonly provisional: boolean } | null;
  readonly usefulPoints: number;
  readonly longestRun: number;
  readonly runs: number;
  readonly longestTrend: number;
  readonly signals: readonly Signal[];
  readonly warnings: readonly string[];
}

/** Mean moving range to natural limits: 3 divided by d2 of two, 1.128 (NIST/SEMATECH e-Handbook 6.3.2.2). */
export const XMR_FACTOR = 3 / 1.128;
/** No limits below so many points; dashed and "provisional" below the second. Our choice. */
export const FEWEST_FOR_LIMITS = 10;
export const FEWEST_FOR_FIRM_LIMITS = 12;

export interface Xmr {
  readonly mean: number;
  readonly meanMovingRange: number;
  readonly upper: number;
  readonly lower: number;
}

/** Natural process limits of single values from their mean moving range. */
export function xmr(values: readonly number[]): Xmr {
  const middle = mean(values);
  const ranges = values.slice(1).map((value, i) => Math.abs(value - values[i]!));
  const meanMovingRange = ranges.length === 0 ? 0 : mean(ranges);
  const reach = XMR_FACTOR * meanMovingRange;
  return { mean: middle, meanMovingRange, upper: middle + reach, lower: middle - reach };
}

/** Fewest and most runs that chance allows, by useful points (Perla and others 2011; after Swed & Eisenhart 1943). */
const RUNS_ALLOWED: Readonly<Record<number, readonly [number, number]>> = {
  10: [3, 9],
  11: [3, 10],
  12: [3, 11],
  13: [4, 11],
  14: [4, 12],
  15: [5, 12],
  16: [5, 13],
  17: [5, 13],
  18: [6, 14],
  19: [6, 15],
  20: [6, 16],
  21: [7, 16],
  22: [7, 17],
  23: [7, 17],
  24: [8, 18],
  25: [8, 18],
};

/** Longest run and fewest crossings that chance allows (Anhøj & Olesen 2014). */
export function anhojLimits(usefulPoints: number): { readonly longestRun: number; readonly fewestCrossings: number } {
  const longestRun = Math.round(Math.log2(usefulPoints) + 3);
  let fewest = 0;
  while (binomialUpTo(fewest, usefulPoints - 1, 0.5) < 0.05) fewest++;
  return { longestRun, fewestCrossings: fewest };
}

/** Reads a series (oldest first) by a named rule set. */
export function readChart(values: readonly number[], ruleSet: RuleSet): Chart {
  const { centre: kind } = RULE_SETS[ruleSet];
  const centre = values.length === 0 ? NaN : kind === 'median' ? median(values) : mean(values);
  const sides = values.map((value) => Math.sign(value - centre));
  const runs = runsOf(sides);
  const usefulPoints = sides.filter((side) => side !== 0).length;
  const trends = trendsOf(values);
  const longestRun = Math.max(0, ...runs.map((run) => run.length));
  const longestTrend = Math.max(0, ...trends.map((trend) => trend.length));
  const signals: Signal[] = [];
  const warnings: string[] = [];
  const shift = (least: number): void => {
    for (const run of runs) if (run.length >= least) signals.push({ rule: `shift of ${run.length}`, points: run });
  };
  const trend = (least: number): void => {
    for (const one of trends) if (one.length >= least) signals.push({ rule: `trend of ${one.length}`, points: one });
  };
  let limits: Chart['limits'] = null;
  if (kind === 'mean') {
    if (values.length < FEWEST_FOR_LIMITS) {
      warnings.push(`${values.length} points: no limits are drawn below ${FEWEST_FOR_LIMITS}.`);
    } else {
      const found = xmr(values);
      const provisional = values.length < FEWEST_FOR_FIRM_LIMITS;
      limits = { lower: found.lower, upper: found.upper, provisional };
      if (provisional) warnings.push(`${values.length} points: the limits are provisional.`);
      values.forEach((value, i) => {
        if (value > found.upper || value < found.lower) signals.push({ rule: 'outside the limits', points: [i] });
      });
      twoOfThree(values, centre, found.upper - centre, signals);
    }
  }
  if (ruleSet === 'run-chart') {
    shift(6);
    trend(5);
    const allowed = RUNS_ALLOWED[usefulPoints];
    if (usefulPoints < 10) warnings.push(`${usefulPoints} useful points: too few to count runs.`);
    else if (allowed === undefined)
      warnings.push(
        `${usefulPoints} useful points: past the table of allowed runs (25), so runs are not counted; the runs analysis has limits for any number.`,
      );
    else if (runs.length < allowed[0])
      signals.push({ rule: `too few runs (${runs.length} of ${allowed[0]})`, points: [] });
    else if (runs.length > allowed[1])
      signals.push({ rule: `too many runs (${runs.length} of ${allowed[1]})`, points: [] });
  } else if (ruleSet === 'control-chart') {
    shift(8);
    trend(6);
    if (limits !== null) innerThird(values, centre, limits.upper - centre, signals);
  } else if (ruleSet === 'xmr-four-rules') {
    shift(7);
    trend(7);
  } else if (usefulPoints >= 10) {
    const allowed = anhojLimits(usefulPoints);
    const crossings = runs.length - 1;
    if (longestRun > allowed.longestRun) {
      signals.push({ rule: `longest run ${longestRun}, chance allows ${allowed.longestRun}`, points: [] });
    }
    if (crossings < allowed.fewestCrossings) {
      signals.push({ rule: `${crossings} crossings, chance gives at least ${allowed.fewestCrossings}`, points: [] });
    }
  } else warnings.push(`${usefulPoints} useful points: too few for a runs analysis.`);
  return { ruleSet, centre, limits, usefulPoints, longestRun, runs: runs.length, longestTrend, signals, warnings };
}

/** Points on one side of the centre in a row; points on it are skipped and break nothing. */
function runsOf(sides: readonly number[]): number[][] {
  const runs: number[][] = [];
  let side = 0;
  sides.forEach((now, i) => {
    if (now === 0) return;
    if (now === side) runs[runs.length - 1]!.push(i);
    else runs.push([i]);
    side = now;
  });
  return runs;
}

/** Stretches that only rise or only fall, at least two points each; equal neighbours count once. */
function trendsOf(values: readonly number[]): number[][] {
  const trends: number[][] = [];
  let current: number[] = values.length > 0 ? [0] : [];
  let direction = 0;
  for (let i = 1; i < values.length; i++) {
    const step = Math.sign(values[i]! - values[i - 1]!);
    if (step === 0) continue;
    if (step !== direction && direction !== 0) {
      trends.push(current);
      current = [current[current.length - 1]!];
    }
    direction = step;
    current.push(i);
  }
  if (current.length > 1) trends.push(current);
  return trends;
}

function twoOfThree(values: readonly number[], centre: number, reach: number, signals: Signal[]): void {
  const zone = (2 / 3) * reach;
  for (let i = 0; i + 2 < values.length; i++) {
    for (const side of [1, -1]) {
      const points = [i, i + 1, i + 2].filter((at) => side * (values[at]! - centre) > zone);
      const within = points.every((at) => Math.abs(values[at]! - centre) <= reach);
      if (points.length >= 2 && within) signals.push({ rule: '2 of 3 near a limit', points });
    }
  }
}

function innerThird(values: readonly number[], centre: number, reach: number, signals: Signal[]): void {
  let run: number[] = [];
  values.forEach((value, i) => {
    run = Math.abs(value - centre) < reach / 3 ? [...run, i] : [];
    if (run.length === 15) signals.push({ rule: '15 in the inner third', points: run });
  });
}
