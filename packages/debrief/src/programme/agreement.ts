/**
 * How far observers agree: Cohen's kappa for two, Fleiss' kappa for more, intraclass correlation for ratings.
 * An answer always carries its counts; where agreement can not be worked out the reason is given instead of 0 or 1.
 */
import { Z95, fQuantile, mean } from './numbers.ts';

export type Agreement =
  | {
      readonly ok: true;
      readonly statistic: string;
      readonly value: number;
      /** 95 % interval; null where no accepted method applies. */
      readonly interval: readonly [number, number] | null;
      readonly subjects: number;
      readonly raters: number;
      readonly observed?: number;
      readonly expected?: number;
    }
  | {
      readonly ok: false;
      readonly statistic: string;
      readonly because: string;
      readonly subjects: number;
      readonly raters: number;
    };

/**
 * Cohen's kappa of two raters from a square table of counts (rows: first rater). Interval by the large-sample standard
 * error of Fleiss, Cohen & Everitt 1969 (Psychol Bull 72:323-7).
 */
export function cohenKappa(table: readonly (readonly number[])[]): Agreement {
  const statistic = "Cohen's kappa";
  const n = table.reduce((sum, row) => sum + row.reduce((so, count) => so + count, 0), 0);
  const refuse = (because: string): Agreement => ({ ok: false, statistic, because, subjects: n, raters: 2 });
  if (table.length < 2 || table.some((row) => row.length !== table.length)) return refuse('the table is not square');
  if (n === 0) return refuse('nothing was rated by both');
  const rows = table.map((row) => row.reduce((so, count) => so + count, 0) / n);
  const columns = table.map((_, j) => table.reduce((so, row) => so + row[j]!, 0) / n);
  const observed = table.reduce((so, row, i) => so + row[i]! / n, 0);
  const expected = rows.reduce((so, row, i) => so + row * columns[i]!, 0);
  if (1 - expected < 1e-12) return refuse('kappa undefined: no variation, every rating is in one category');
  const value = (observed - expected) / (1 - expected);
  let a = 0;
  let b = 0;
  table.forEach((row, i) =>
    row.forEach((count, j) => {
      const share = count / n;
      if (i === j) a += share * (1 - (rows[i]! + columns[i]!) * (1 - value)) ** 2;
      else b += share * (columns[i]! + rows[j]!) ** 2;
    }),
  );
  b *= (1 - value) ** 2;
  const c = (value - expected * (1 - value)) ** 2;
  const se = Math.sqrt(Math.max(0, a + b - c) / n) / (1 - expected);
  return {
    ok: true,
    statistic,
    value,
    interval: [Math.max(-1, value - Z95 * se), Math.min(1, value + Z95 * se)],
    subjects: n,
    raters: 2,
    observed,
    expected,
  };
}

/**
 * Cohen's kappa with quadratic weights (Cohen 1968, Psychol Bull 70:213-20), for categories in order: a slip of two steps
 * weighs four times a slip of one. It is the intraclass correlation of ratings scored 1, 2, 3 … as the number of subjects
 * grows (Fleiss & Cohen 1973, Educ Psychol Meas 33:613-9). Interval from the jackknife over subjects.
 */
export function weightedKappa(table: readonly (readonly number[])[]): Agreement {
  const statistic = 'kappa with quadratic weights';
  const n = table.flat().reduce((so, count) => so + count, 0);
  const refuse = (because: string): Agreement => ({ ok: false, statistic, because, subjects: n, raters: 2 });
  if (table.length < 2 || table.some((row) => row.length !== table.length)) return refuse('the table is not square');
  if (n === 0) return refuse('nothing was rated by both');
  const value = weightedValue(table);
  if (value === null) return refuse('kappa undefined: no variation, every rating is in one category');
  // Subjects of one cell leave the same table behind, so that one of each stands for all.
  let [sum, squares] = [0, 0];
  for (const [i, row] of table.entries()) {
    for (const [j, count] of row.entries()) {
      if (count === 0) continue;
      const left = weightedValue(table.map((r, a) => r.map((c, b) => (a === i && b === j ? c - 1 : c))));
      if (left === null) return { ok: true, statistic, value, interval: null, subjects: n, raters: 2 };
      const pseudo = n * value - (n - 1) * left;
      sum += count * pseudo;
      squares += count * pseudo * pseudo;
    }
  }
  const se = n < 3 ? NaN : Math.sqrt(Math.max(0, squares / n - (sum / n) ** 2) / (n - 1));
  const interval = [Math.max(-1, value - Z95 * se), Math.min(1, value + Z95 * se)] as const;
  return { ok: true, statistic, value, interval: n < 3 ? null : interval, subjects: n, raters: 2 };
}

function weightedValue(table: readonly (readonly number[])[]): number | null {
  const n = table.flat().reduce((so, count) => so + count, 0);
  const rows = table.map((row) => row.reduce((so, count) => so + count, 0));
  const columns = table.map((_, j) => table.reduce((so, row) => so + row[j]!, 0));
  let [seen, chance] = [0, 0];
  table.forEach((row, i) =>
    row.forEach((count, j) => {
      seen += (i - j) ** 2 * count;
      chance += ((i - j) ** 2 * rows[i]! * columns[j]!) / n;
    }),
  );
  return chance < 1e-12 ? null : 1 - seen / chance;
}

/**
 * Fleiss' kappa (Fleiss 1971, Psychol Bull 76:378-82). `counts[subject][category]` = how many raters chose it; every
 * subject needs the same number of raters. Interval from the jackknife over subjects, which needs three or more.
 */
export function fleissKappa(counts: readonly (readonly number[])[]): Agreement {
  const statistic = "Fleiss' kappa";
  const raters = counts[0]?.reduce((so, count) => so + count, 0) ?? 0;
  const refuse = (because: string): Agreement => ({ ok: false, statistic, because, subjects: counts.length, raters });
  if (counts.length === 0) return refuse('nothing was rated');
  if (raters < 2) return refuse('at least two raters are needed');
  if (counts.some((row) => row.reduce((so, count) => so + count, 0) !== raters)) {
    return refuse('not every subject was rated by the same number of raters');
  }
  const whole = fleissValue(counts, raters);
  if (whole === null) return refuse('kappa undefined: no variation, every rating is in one category');
  return {
    ok: true,
    statistic,
    value: whole.value,
    interval: jackknife(counts, (left) => fleissValue(left, raters)?.value ?? null, whole.value),
    subjects: counts.length,
    raters,
    observed: whole.observed,
    expected: whole.expected,
  };
}

function fleissValue(counts: readonly (readonly number[])[], raters: number) {
  const subjects = counts.length;
  const categories = counts[0]!.map((_, j) => counts.reduce((so, row) => so + row[j]!, 0) / (subjects * raters));
  const expected = categories.reduce((so, share) => so + share * share, 0);
  if (1 - expected < 1e-12) return null;
  const observed = mean(
    counts.map((row) => (row.reduce((so, count) => so + count * count, 0) - raters) / (raters * (raters - 1))),
  );
  return { value: (observed - expected) / (1 - expected), observed, expected };
}

function jackknife<T>(
  all: readonly T[],
  statistic: (left: readonly T[]) => number | null,
  whole: number,
): readonly [number, number] | null {
  if (all.length < 3) return null;
  const pseudo: number[] = [];
  for (let i = 0; i < all.length; i++) {
    const value = statistic(all.filter((_, at) => at !== i));
    if (value === null) return null;
    pseudo.push(all.length * whole - (all.length - 1) * value);
  }
  const middle = mean(pseudo);
  const se = Math.sqrt(pseudo.reduce((so, p) => so + (p - middle) ** 2, 0) / (all.length * (all.length - 1)));
  return [Math.max(-1, whole - Z95 * se), Math.min(1, whole + Z95 * se)];
}

export type IccForm = 'ICC(1,1)' | 'ICC(2,1)' | 'ICC(3,1)' | 'ICC(1,k)' | 'ICC(2,k)' | 'ICC(3,k)';

/** The mean squares behind an intraclass correlation. */
export interface MeanSquares {
  readonly betweenTargets: number;
  readonly within: number;
  readonly betweenRaters: number;
  readonly error: number;
}

/** Two-way analysis of variance of `ratings[target][rater]`, complete. */
export function meanSquares(ratings: readonly (readonly number[])[]): MeanSquares {
  const n = ratings.length;
  const k = ratings[0]!.length;
  const grand = mean(ratings.flat());
  const byTarget = ratings.map(mean);
  const byRater = ratings[0]!.map((_, j) => mean(ratings.map((row) => row[j]!)));
  const total = ratings.flat().reduce((so, x) => so + (x - grand) ** 2, 0);
  const targets = k * byTarget.reduce((so, x) => so + (x - grand) ** 2, 0);
  const raters = n * byRater.reduce((so, x) => so + (x - grand) ** 2, 0);
  return {
    betweenTargets: targets / (n - 1),
    within: (total - targets) / (n * (k - 1)),
    betweenRaters: raters / (k - 1),
    error: (total - targets - raters) / ((n - 1) * (k - 1)),
  };
}

/**
 * Intraclass correlation (Shrout & Fleiss 1979, Psychol Bull 86:420-8) with its 95 % interval from the F distribution
 * (same paper; form (2,·) by the Satterthwaite degrees of freedom there). `ratings[target][rater]`, complete.
 */
export function intraclass(ratings: readonly (readonly number[])[], form: IccForm): Agreement {
  const n = ratings.length;
  const k = ratings[0]?.length ?? 0;
  const refuse = (because: string): Agreement => ({ ok: false, statistic: form, because, subjects: n, raters: k });
  if (k < 2) return refuse('at least two raters are needed');
  if (n < 2) return refuse('at least two subjects are needed');
  if (ratings.some((row) => row.length !== k)) return refuse('not every subject was rated by every rater');
  const ms = meanSquares(ratings);
  if (ms.betweenTargets < 1e-12 && ms.within < 1e-12) return refuse('no variation: every rating is the same');
  const { betweenTargets: b, within: w, betweenRaters: j, error: e } = ms;
  const single = (low: number): number => (low - 1) / (low + k - 1);
  const average = (low: number): number => 1 - 1 / low;
  const answer = (value: number, interval: readonly [number, number]): Agreement => ({
    ok: true,
    statistic: form,
    value,
    interval: Number.isFinite(interval[0] + interval[1]) ? interval : null,
    subjects: n,
    raters: k,
  });
  if (form === 'ICC(1,1)' || form === 'ICC(1,k)') {
    const f = b / w;
    const low = f / fQuantile(0.975, n - 1, n * (k - 1));
    const high = f * fQuantile(0.975, n * (k - 1), n - 1);
    return form === 'ICC(1,1)'
      ? answer((b - w) / (b + (k - 1) * w), [single(low), single(high)])
      : answer((b - w) / b, [average(low), average(high)]);
  }
  if (form === 'ICC(3,1)' || form === 'ICC(3,k)') {
    const f = b / e;
    const low = f / fQuantile(0.975, n - 1, (n - 1) * (k - 1));
    const high = f * fQuantile(0.975, (n - 1) * (k - 1), n - 1);
    return form === 'ICC(3,1)'
      ? answer((b - e) / (b + (k - 1) * e), [single(low), single(high)])
      : answer((b - e) / b, [average(low), average(high)]);
  }
  const value = (b - e) / (b + (k - 1) * e + (k * (j - e)) / n);
  const ratio = j / e;
  const top = (k - 1) * (n - 1) * (k * value * ratio + n * (1 + (k - 1) * value) - k * value) ** 2;
  const bottom = (n - 1) * k * k * value * value * ratio * ratio + (n * (1 + (k - 1) * value) - k * value) ** 2;
  const v = top / bottom;
  const upper = fQuantile(0.975, n - 1, v);
  const lower = fQuantile(0.975, v, n - 1);
  const spread = k * j + (k * n - k - n) * e;
  const low = (n * (b - upper * e)) / (upper * spread + n * b);
  const high = (n * (lower * b - e)) / (spread + n * lower * b);
  if (form === 'ICC(2,1)') return answer(value, [low, high]);
  const toAverage = (single1: number): number => (single1 * k) / (1 + single1 * (k - 1));
  return answer((b - e) / (b + (j - e) / n), [toAverage(low), toAverage(high)]);
}
