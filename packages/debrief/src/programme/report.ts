/**
 * Many runs at once: time to the first adequate adrenaline, its course over the sessions, objectives, how long since the last
 * drill. Groups, not people; groups under five are joined with others; a handful is called a handful. Numbers here are
 * whole; `programmePage` says which of them may be shown.
 */
import { bootstrapMedian, wilson, type Bootstrap } from './intervals.ts';
import { readChart, type Chart, type RuleSet } from './charts.ts';
import {
  actedBy,
  logRank,
  survivalCurve,
  type ActedBy,
  type LogRank,
  type SurvivalCurve,
  type TimeTo,
} from './survival.ts';
import { FEWER, SMALLEST_CELL } from './cells.ts';
import { groupsOf, ofOnePerson, type RunGroup } from './groups.ts';
import type { RunSummary } from './summary.ts';

const TWO_MINUTES_MS = 120_000;

/** Below this many a warning stands beside the numbers. */
export const FEW_RUNS = 12;

export type GroupBy = 'none' | 'ward' | 'team' | 'scenario' | 'month';

export interface ReportOptions {
  readonly groupBy?: GroupBy;
  readonly ruleSet?: RuleSet;
  /** ISO date and time that counts as now. */
  readonly now: string;
  readonly filter?: {
    readonly ward?: string;
    readonly team?: string;
    readonly scenarioId?: string;
    readonly condition?: string;
    /** ISO dates, inclusive. */
    readonly from?: string;
    readonly to?: string;
  };
  readonly seed?: number;
  /** What a scenario is called; its id where nobody says. */
  readonly titleOf?: (scenarioId: string) => string;
  /** Pseudonyms of single people who have not agreed to be looked at alone: their runs count among others' only. */
  readonly notAlone?: ReadonlySet<string>;
}

export interface GroupReport {
  readonly group: string;
  /** Groups too small to stand apart that are in this one. */
  readonly joined: readonly string[];
  readonly runs: number;
  /** Absent when the group is too small to be shown. */
  readonly curve?: SurvivalCurve;
  /** `count` and `of` say what may be shown; `estimate` is null where no run was watched for two minutes. */
  readonly withinTwoMinutes?: {
    readonly count: number;
    readonly of: number;
    readonly estimate: ActedBy | null;
  };
  readonly suppressed: boolean;
  /** Why it is not shown: too few runs, or all of one person who has not agreed. */
  readonly hidden?: 'few' | 'one-person';
}

export interface ProgrammeReport {
  readonly caution: string;
  readonly runs: number;
  /** Runs in which the pack asked for adrenaline and the signs could be seen. */
  readonly timed: number;
  /** All of these runs are of one person who has not agreed to be looked at alone. */
  readonly onePerson: boolean;
  readonly warnings: readonly string[];
  readonly overall: SurvivalCurve;
  /** Median of those who gave an adequate dose, with a bootstrap interval; null for none. */
  readonly medianGiven: Bootstrap | null;
  readonly groups: readonly GroupReport[];
  /** First against last group of two, where there are exactly two large enough. */
  readonly comparison: { readonly a: string; readonly b: string; readonly test: LogRank } | null;
  readonly sessions: readonly { readonly runId: string; readonly at: string; readonly ms: number }[];
  readonly chart: Chart;
  readonly objectives: readonly {
    readonly objective: string;
    readonly seen: number;
    readonly known: number;
    readonly interval: readonly [number, number] | null;
  }[];
  readonly lastDrill: readonly {
    readonly ward: string;
    readonly at: string;
    readonly daysAgo: number;
    readonly text: string;
  }[];
  readonly doses: { readonly wrong: number; readonly of: number; readonly interval: readonly [number, number] | null };
}

export const PROGRAMME_CAUTION =
  'Simulated practice, not patient care. Drills in groups say nothing about any one person.';

/** The whole page from stored summaries. Pure and quick: ten thousand summaries take well under a second. */
export function programmeReport(all: readonly RunSummary[], options: ReportOptions): ProgrammeReport {
  const { groupBy = 'none', ruleSet = 'run-chart', notAlone = NOBODY } = options;
  const chosen = all
    .filter((run) => inFilter(run, options))
    .sort((a, b) => (a.at < b.at ? -1 : a.at > b.at ? 1 : a.runId < b.runId ? -1 : 1));
  const timed = chosen.filter(isTimed);
  const given = timed.filter((run) => run.adrenalineMs !== null);
  const nameOf = groupBy === 'scenario' ? options.titleOf : undefined;
  const grouped = groupsOf(timed, groupBy, notAlone, nameOf);
  const groups = grouped.map((group) => groupReport(group, notAlone));
  const warnings: string[] = [];
  if (timed.length > 0 && timed.length < FEW_RUNS) {
    warnings.push(
      `${timed.length < SMALLEST_CELL ? `F${FEWER.slice(1)}` : timed.length} runs are a handful: a difference of this size comes and goes by chance.`,
    );
  }
  const onePerson = ofOnePerson(chosen, notAlone);
  const { team } = options.filter ?? {};
  if (onePerson || (team !== undefined && notAlone.has(team))) {
    warnings.push(
      'These runs are of one person who has not agreed to be looked at alone: nothing of them is shown apart.',
    );
  }
  const toCome = [
    ...new Set(all.filter((run) => run.scored && isToCome(run, options)).map(({ at }) => at.slice(0, 7))),
  ];
  if (toCome.length > 0) {
    warnings.push(
      `Runs dated after today (${toCome.sort().map(monthWords).join(', ')}) are not counted: a clock was wrong where they were played, or is wrong here. Runs shows their dates.`,
    );
  }
  const joined = groups.reduce((so, group) => so + group.joined.length, 0);
  if (joined > 0) warnings.push(`${joined} groups stand together, as one or more of them has ${FEWER} runs.`);
  const large = groups.filter(({ suppressed }) => !suppressed);
  const sessions = given.map((run) => ({ runId: run.runId, at: run.at, ms: run.adrenalineMs! }));
  return {
    caution: PROGRAMME_CAUTION,
    runs: chosen.length,
    timed: timed.length,
    onePerson,
    warnings,
    overall: survivalCurve(timed.map(timeTo)),
    medianGiven: bootstrapMedian(
      sessions.map(({ ms }) => ms),
      { seed: options.seed ?? 1, resamples: resamplesFor(sessions.length) },
    ),
    groups,
    comparison: large.length === 2 ? compare(grouped[0]!, grouped[1]!) : null,
    sessions,
    chart: readChart(
      sessions.map(({ ms }) => ms),
      ruleSet,
    ),
    objectives: objectiveCoverage(chosen),
    lastDrill: lastDrills(
      all.filter((run) => !isToCome(run, options)),
      options.now,
    ),
    doses: doseErrors(chosen),
  };
}

const NOBODY: ReadonlySet<string> = new Set();

const MONTHS = 'January February March April May June July August September October November December'.split(' ');

/** "May 2031" of "2031-05". */
const monthWords = (month: string): string => `${MONTHS[Number(month.slice(5)) - 1] ?? ''} ${month.slice(0, 4)}`.trim();

/** Is it dated after today? Where it stands among the others is then unknown, and how long ago it was. */
const isToCome = ({ at }: RunSummary, { now }: ReportOptions): boolean => at.slice(0, 10) > now.slice(0, 10);

/**
 * Does a run belong to what was asked for? Nobody who has not agreed can be asked for by pseudonym, and what is dated after
 * today belongs to nothing.
 */
export function inFilter(run: RunSummary, options: ReportOptions): boolean {
  const { filter = {}, notAlone = NOBODY } = options;
  return (
    run.scored &&
    !isToCome(run, options) &&
    (filter.ward === undefined || run.ward === filter.ward) &&
    (filter.team === undefined || (run.team === filter.team && !notAlone.has(filter.team))) &&
    (filter.scenarioId === undefined || run.scenarioId === filter.scenarioId) &&
    (filter.condition === undefined || run.condition === filter.condition) &&
    (filter.from === undefined || run.at >= filter.from) &&
    (filter.to === undefined || run.at.slice(0, 10) <= filter.to.slice(0, 10))
  );
}

/** Was adrenaline asked for, and could the signs be seen? */
export const isTimed = (run: RunSummary): boolean => run.adrenalineAsked && run.watchedMs !== null;

const timeTo = (run: RunSummary): TimeTo =>
  run.adrenalineMs === null ? { timeMs: run.watchedMs!, done: false } : { timeMs: run.adrenalineMs, done: true };

/** Fewer resamples for many runs, where the interval is steady anyway: the work stays near a million draws. */
const resamplesFor = (n: number): number => Math.max(200, Math.min(10_000, Math.round(400_000 / Math.max(1, n))));

function groupReport({ label: group, joined, runs }: RunGroup, notAlone: ReadonlySet<string>): GroupReport {
  const base = { group, joined, runs: runs.length };
  if (runs.length < SMALLEST_CELL) return { ...base, suppressed: true, hidden: 'few' };
  if (ofOnePerson(runs, notAlone)) return { ...base, suppressed: true, hidden: 'one-person' };
  const times = runs.map(timeTo);
  const count = times.filter(({ done, timeMs }) => done && timeMs <= TWO_MINUTES_MS).length;
  return {
    ...base,
    curve: survivalCurve(times),
    withinTwoMinutes: { count, of: runs.length, estimate: actedBy(times, TWO_MINUTES_MS) },
    suppressed: false,
  };
}

function compare(a: RunGroup, b: RunGroup): ProgrammeReport['comparison'] {
  const test = logRank(a.runs.map(timeTo), b.runs.map(timeTo));
  return test === null ? null : { a: a.label, b: b.label, test };
}

function objectiveCoverage(runs: readonly RunSummary[]): ProgrammeReport['objectives'] {
  const counts = new Map<string, { seen: number; known: number }>();
  for (const run of runs) {
    for (const [objective, result] of Object.entries(run.objectives)) {
      const key = `${run.scenarioId}/${objective}`;
      const count = counts.get(key) ?? { seen: 0, known: 0 };
      if (result === 'seen') count.seen++;
      if (result !== 'not-known') count.known++;
      counts.set(key, count);
    }
  }
  return [...counts]
    .sort(([a], [b]) => (a < b ? -1 : 1))
    .map(([objective, { seen, known }]) => ({ objective, seen, known, interval: wilson(seen, known) }));
}

/** Of every ward that ever drilled, whatever is filtered: that is the point of it. */
function lastDrills(runs: readonly RunSummary[], now: string): ProgrammeReport['lastDrill'] {
  const last = new Map<string, string>();
  for (const { ward, at } of runs) {
    if (ward !== null && at > (last.get(ward) ?? '')) last.set(ward, at);
  }
  return [...last]
    .map(([ward, at]) => {
      const daysAgo = dayNumber(now) - dayNumber(at);
      return { ward, at, daysAgo, text: `${ward}: last drill ${agoText(daysAgo)}` };
    })
    .sort((a, b) => b.daysAgo - a.daysAgo || (a.ward < b.ward ? -1 : 1));
}

/** "today", "12 days ago", "7 months ago". Months are of 30.4 days, rounded down. */
export function agoText(days: number): string {
  if (days === 0) return 'today';
  if (days === 1) return 'yesterday';
  if (days < 61) return `${days} days ago`;
  const months = Math.floor(days / 30.4375);
  return months < 24 ? `${months} months ago` : `${Math.floor(months / 12)} years ago`;
}

/** Days since 1970 of an ISO date, by the civil calendar (Howard Hinnant's days-from-civil); reads no clock. */
export function dayNumber(iso: string): number {
  const [y, m, d] = iso.slice(0, 10).split('-').map(Number) as [number, number, number];
  const year = m <= 2 ? y - 1 : y;
  const era = Math.floor(year / 400);
  const ofEra = year - era * 400;
  const ofYear = Math.floor((153 * (m + (m > 2 ? -3 : 9)) + 2) / 5) + d - 1;
  return era * 146_097 + ofEra * 365 + Math.floor(ofEra / 4) - Math.floor(ofEra / 100) + ofYear - 719_468;
}

function doseErrors(runs: readonly RunSummary[]): ProgrammeReport['doses'] {
  const wrong = runs.filter(({ wrongDoses }) => wrongDoses > 0).length;
  return { wrong, of: runs.length, interval: wilson(wrong, runs.length) };
}
