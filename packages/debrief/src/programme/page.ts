/**
 * The programme page: the report made fit to be shown. Small cells are taken out, not only left undrawn; long series are
 * cut to what a chart can hold, and say so.
 */
import type { Agreement } from './agreement.ts';
import { readChart, RULE_SETS, type Chart, type RuleSetFacts } from './charts.ts';
import { observerAgreement, type BehaviourRating, type ObserverAgreement } from './observers.ts';
import { SMALLEST_CELL, inFilter, programmeReport, type ProgrammeReport, type ReportOptions } from './report.ts';
import type { RunSummary } from './summary.ts';
import type { SurvivalCurve } from './survival.ts';

/** A summary with what observers ticked. */
export interface StoredSummary {
  readonly summary: RunSummary;
  readonly ratings: readonly BehaviourRating[];
}

/** Sessions on one chart: more can not be told apart, and rules for runs are made for a few dozen. Our choice. */
export const LATEST_SESSIONS = 60;
const MOST_STEPS = 240;
/** Of all groups' curves together, and of each however many there are. */
const ALL_STEPS = 1_440;
const LEAST_STEPS = 40;

export interface ProgrammePage extends Omit<ProgrammeReport, 'sessions' | 'objectives' | 'doses'> {
  /** Of the latest sessions, oldest first; no run is named. */
  readonly sessions: readonly { readonly at: string; readonly ms: number }[];
  readonly sessionsInAll: number;
  readonly chart: Chart;
  readonly rules: RuleSetFacts;
  /** Fewer than five timed runs, or all of one person who has not agreed: nothing of them is shown. */
  readonly suppressed: boolean;
  readonly objectives: readonly {
    readonly objective: string;
    readonly known: number;
    readonly suppressed: boolean;
    readonly seen: number | null;
    readonly interval: readonly [number, number] | null;
  }[];
  readonly doses: {
    readonly of: number;
    readonly suppressed: boolean;
    readonly wrong: number | null;
    readonly interval: readonly [number, number] | null;
  };
  readonly agreement: ObserverAgreement;
  /** What can be chosen: of all runs that count. */
  readonly choices: {
    readonly wards: readonly string[];
    /** Pseudonyms that may be looked at alone: teams, and people who agreed. */
    readonly teams: readonly string[];
    readonly scenarios: readonly string[];
    readonly conditions: readonly string[];
  };
}

/** Everything the page shows, from stored summaries alone. */
export function programmePage(all: readonly StoredSummary[], options: ReportOptions): ProgrammePage {
  const summaries = all.map(({ summary }) => summary);
  const report = programmeReport(summaries, options);
  const few = report.timed < SMALLEST_CELL;
  const small = few || report.onePerson;
  const latest = report.sessions.slice(-LATEST_SESSIONS).map(({ at, ms }) => ({ at, ms }));
  const ruleSet = options.ruleSet ?? 'run-chart';
  const empty: SurvivalCurve = { n: report.overall.n, done: 0, steps: [], medianMs: null };
  const shown = small ? [] : latest;
  const warnings = [...report.warnings];
  if (few && report.timed > 0) {
    warnings.push(`Fewer than ${SMALLEST_CELL} runs: nothing of them is shown, so that no one team stands out.`);
  }
  if (shown.length < report.sessions.length && !small) {
    warnings.push(`The chart shows the latest ${shown.length} of ${report.sessions.length} sessions.`);
  }
  const counted = new Set(summaries.filter((run) => inFilter(run, options)).map(({ runId }) => runId));
  return {
    ...report,
    warnings,
    suppressed: small,
    overall: small ? empty : thin(report.overall),
    medianGiven: small ? null : report.medianGiven,
    groups: report.groups.map((group) =>
      group.curve
        ? { ...group, curve: thin(group.curve, Math.max(LEAST_STEPS, ALL_STEPS / report.groups.length)) }
        : group,
    ),
    comparison: small ? null : report.comparison,
    sessions: shown,
    sessionsInAll: report.sessions.length,
    chart: readChart(
      shown.map(({ ms }) => ms),
      ruleSet,
    ),
    rules: RULE_SETS[ruleSet],
    objectives: report.objectives.map(({ objective, seen, known, interval }) =>
      known < SMALLEST_CELL || report.onePerson
        ? { objective, known, suppressed: true, seen: null, interval: null }
        : { objective, known, suppressed: false, seen, interval },
    ),
    doses:
      report.doses.of < SMALLEST_CELL || report.onePerson
        ? { of: report.doses.of, suppressed: true, wrong: null, interval: null }
        : { ...report.doses, suppressed: false },
    agreement: shownAgreement(all.filter(({ summary }) => counted.has(summary.runId)).map(({ ratings }) => ratings)),
    choices: {
      wards: distinct(summaries.map(({ ward }) => ward)),
      teams: distinct(summaries.map(({ team }) => team)).filter((team) => options.notAlone?.has(team) !== true),
      scenarios: distinct(summaries.map(({ scenarioId }) => scenarioId)),
      conditions: distinct(summaries.map(({ condition }) => condition)),
    },
  };
}

/** A handful of runs could be told apart by what was ticked of them. */
function shownAgreement(runs: readonly StoredSummary['ratings'][]): ObserverAgreement {
  const found = observerAgreement(runs);
  const rated = runs.filter((run) => run.some(({ bySeat }) => Object.keys(bySeat).length >= 2)).length;
  if (rated === 0 || rated >= SMALLEST_CELL) return found;
  const hide = ({ statistic, raters }: Agreement): Agreement => ({
    ok: false,
    statistic,
    because: `fewer than ${SMALLEST_CELL} runs were watched by two or more`,
    subjects: 0,
    raters,
  });
  return {
    two: hide(found.two),
    inOrder: hide(found.inOrder),
    more: hide(found.more),
    ratings: hide(found.ratings),
  };
}

function distinct(values: readonly (string | null)[]): readonly string[] {
  return [...new Set(values.filter((value): value is string => value !== null && value !== ''))].sort();
}

/** Every so many steps of a long curve, the last always: the eye can not tell, and the page stays light. */
function thin(curve: SurvivalCurve, most = MOST_STEPS): SurvivalCurve {
  const { steps } = curve;
  const room = Math.min(most, MOST_STEPS);
  if (steps.length <= room) return curve;
  const every = Math.ceil(steps.length / room);
  return { ...curve, steps: steps.filter((_, at) => at % every === every - 1 || at === steps.length - 1) };
}
