/**
 * Time to an act with teams whose run ended first: Kaplan & Meier's estimate (J Am Stat Assoc 1958;53:457-81) with
 * Greenwood's standard error, and the log-rank comparison of two groups.
 */
import { wilson } from './intervals.ts';
import { Z95, chiSquare1Above } from './numbers.ts';

/** One team: time, and whether the act was done then (true) or the run ended first (false). */
export interface TimeTo {
  readonly timeMs: number;
  readonly done: boolean;
}

export interface SurvivalStep {
  readonly timeMs: number;
  /** Share who had not acted after this time. */
  readonly notYet: number;
  readonly standardError: number;
  /** 95 % interval on the log-minus-log scale (Kalbfleisch & Prentice), which stays within 0 to 1. */
  readonly interval: readonly [number, number];
  readonly atRisk: number;
  readonly acted: number;
}

export interface SurvivalCurve {
  readonly n: number;
  readonly done: number;
  readonly steps: readonly SurvivalStep[];
  /** Times at which a run ended before the act, oldest first, with the share who had not acted by then. */
  readonly censored: readonly { readonly timeMs: number; readonly notYet: number }[];
  /** First time by which at least half had acted; null = not reached. */
  readonly medianMs: number | null;
}

/** Those censored at a time are at risk at that time. Times are ms, but any one unit does. */
export function survivalCurve(times: readonly TimeTo[]): SurvivalCurve {
  const sorted = [...times].sort((a, b) => a.timeMs - b.timeMs);
  const steps: SurvivalStep[] = [];
  const censored: { timeMs: number; notYet: number }[] = [];
  let notYet = 1;
  let greenwood = 0;
  let at = 0;
  while (at < sorted.length) {
    const { timeMs } = sorted[at]!;
    const atRisk = sorted.length - at;
    let acted = 0;
    while (at < sorted.length && sorted[at]!.timeMs === timeMs) {
      if (sorted[at]!.done) acted++;
      at++;
    }
    const cut = atRisk - (sorted.length - at) - acted;
    if (acted === 0) {
      if (cut > 0) censored.push({ timeMs, notYet });
      continue;
    }
    notYet *= 1 - acted / atRisk;
    greenwood += acted === atRisk ? Infinity : acted / (atRisk * (atRisk - acted));
    const standardError = notYet === 0 ? 0 : notYet * Math.sqrt(greenwood);
    if (cut > 0) censored.push({ timeMs, notYet });
    steps.push({ timeMs, notYet, standardError, interval: logLogInterval(notYet, greenwood), atRisk, acted });
  }
  return {
    n: times.length,
    done: times.filter(({ done }) => done).length,
    steps,
    censored,
    medianMs: steps.find((step) => step.notYet <= 0.5 + 1e-12)?.timeMs ?? null,
  };
}

/** Where there is no such share. */
export const NOT_WATCHED = 'not known: every run ended sooner';

/** Share that had acted by a time, with its interval; null where no team was watched that long. */
export interface ActedBy {
  readonly share: number;
  readonly interval: readonly [number, number];
}

/**
 * Share who had acted by a time: one less Kaplan & Meier's estimate, so that a team whose run ended first counts for as
 * long as it was watched and not as one that failed. Interval: Rothman (J Chronic Dis 1978;31:557-60), which is Wilson's
 * for as many teams as would give Greenwood's variance if all were watched to the end; it is Wilson's own where none
 * was cut short. Where nobody had acted, those still watched then are counted; where everybody had, those who acted.
 */
export function actedBy(times: readonly TimeTo[], byMs: number): ActedBy | null {
  const { steps } = survivalCurve(times);
  const last = steps.findLast(({ timeMs }) => timeMs <= byMs);
  const watched = times.filter(({ timeMs }) => timeMs >= byMs).length;
  const notYet = last?.notYet ?? 1;
  if (times.length === 0 || (watched === 0 && notYet > 0)) return null;
  const share = 1 - notYet;
  const acted = times.filter(({ timeMs, done }) => done && timeMs <= byMs).length;
  const of =
    notYet >= 1 ? watched : notYet <= 0 ? acted : (notYet * share) / (last!.standardError * last!.standardError);
  return { share, interval: wilson(share * of, of)! };
}

function logLogInterval(s: number, greenwood: number): readonly [number, number] {
  if (s <= 0 || s >= 1) return [s, s];
  const theta = (Z95 * Math.sqrt(greenwood)) / Math.log(s);
  return [s ** Math.exp(-theta), s ** Math.exp(theta)];
}

export interface LogRank {
  readonly observed: readonly [number, number];
  readonly expected: readonly [number, number];
  readonly chiSquare: number;
  readonly p: number;
}

/** Log-rank test (Mantel 1966) of two groups; null when no time tells them apart. */
export function logRank(a: readonly TimeTo[], b: readonly TimeTo[]): LogRank | null {
  const inOrder = (group: readonly TimeTo[]) => [...group].sort((x, y) => x.timeMs - y.timeMs);
  const [one, two] = [inOrder(a), inOrder(b)];
  let [atOne, atTwo] = [0, 0];
  let observed = 0;
  let expected = 0;
  let variance = 0;
  while (atOne < one.length || atTwo < two.length) {
    const time = Math.min(one[atOne]?.timeMs ?? Infinity, two[atTwo]?.timeMs ?? Infinity);
    const riskA = one.length - atOne;
    const risk = riskA + two.length - atTwo;
    let actedA = 0;
    let acted = 0;
    for (; one[atOne]?.timeMs === time; atOne++) if (one[atOne]!.done) actedA++;
    for (; two[atTwo]?.timeMs === time; atTwo++) if (two[atTwo]!.done) acted++;
    acted += actedA;
    if (acted === 0) continue;
    observed += actedA;
    expected += (acted * riskA) / risk;
    const riskB = risk - riskA;
    if (risk > 1) variance += (acted * riskA * riskB * (risk - acted)) / (risk * risk * (risk - 1));
  }
  if (variance === 0) return null;
  const total = [...a, ...b].filter(({ done }) => done).length;
  const chiSquare = (observed - expected) ** 2 / variance;
  return {
    observed: [observed, total - observed],
    expected: [expected, total - expected],
    chiSquare,
    p: chiSquare1Above(chiSquare),
  };
}
