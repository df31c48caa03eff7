/**
 * The programme page: the report made fit to be shown. Small counts are taken out, not only left undrawn (`cells.ts`);
 * long series are cut to what a chart can hold, and say so. Times are shown one by one from five sessions on, as a chart over
 * time and a curve can be drawn in no other way: by month, and without ward or team.
 */
import type { Agreement } from './agreement.ts';
import { readChart, RULE_SETS, type Chart, type RuleSetFacts } from './charts.ts';
import { DOSE_FAULTS, type DoseFaultWords } from '../first-adrenaline.ts';
import { FEWER, SMALLEST_CELL, protect, shownNumber, type Hidden, type ShownShare } from './cells.ts';
import { choiceOf, leavesOutFew, ofScenario, shareOf, type Choice } from './shares.ts';
import { observerAgreement, type BehaviourRating, type ObserverAgreement } from './observers.ts';
import { isTimed, programmeReport, type GroupReport, type ProgrammeReport, type ReportOptions } from './report.ts';
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

type Whole = 'runs' | 'timed' | 'groups' | 'sessions' | 'objectives' | 'doses';

export interface ShownGroup extends Omit<GroupReport, 'runs' | 'withinTwoMinutes'> {
  /** Null for one to four. */
  readonly runs: number | null;
  readonly withinTwoMinutes?: ShownEstimate;
}

/** A share worked out from a curve, not counted; null where no run was watched that long, or where it is hidden. */
export interface ShownEstimate {
  readonly share: number | null;
  readonly interval: readonly [number, number] | null;
  readonly hidden: Hidden | null;
}

/** First doses that were not adequate, of the runs timed. */
export interface ShownFaults extends ShownShare {
  /** Each kind there was; numbers for none of them where one has to be hidden. */
  readonly kinds: readonly { readonly says: DoseFaultWords; readonly count: number | null }[];
}

export interface ProgrammePage extends Omit<ProgrammeReport, Whole> {
  /** Null for one to four; so are the next two. */
  readonly runs: number | null;
  readonly timed: number | null;
  /** Runs in which an adequate dose was given. */
  readonly givenInAll: ShownShare;
  readonly groups: readonly ShownGroup[];
  /** Of the latest sessions, oldest first, by month; no run is named. */
  readonly sessions: readonly { readonly at: string; readonly ms: number }[];
  readonly chart: Chart;
  readonly rules: RuleSetFacts;
  /** Too few runs for their times, or all of one person who has not agreed: nothing of them is shown. */
  readonly suppressed: boolean;
  readonly objectives: readonly {
    readonly objective: string;
    readonly scenarioId: string;
    /** The scenario's own words; the id's where nobody has them any more. */
    readonly says: string;
    readonly seen: ShownShare;
  }[];
  /** Runs with a critical dose error. */
  readonly doses: ShownShare;
  /** Runs in which the first adrenaline was not adequate. */
  readonly firstFaults: ShownFaults;
  /** Adequate doses whose volume and strength nobody saw. */
  readonly unseenDoses: ShownShare;
  readonly agreement: ObserverAgreement;
  /** What can be chosen: of all runs that count. */
  readonly choices: {
    readonly wards: readonly string[];
    /** Pseudonyms that may be looked at alone: teams, and people who agreed. */
    readonly teams: readonly string[];
    readonly scenarios: readonly { readonly id: string; readonly title: string }[];
    readonly conditions: readonly string[];
  };
}

export interface PageOptions extends ReportOptions {
  /** An objective as its scenario says it. */
  readonly objectiveSays?: (scenarioId: string, objective: string) => string | undefined;
  /** Ended runs that are not in the sums yet. */
  readonly waiting?: number;
}

/** "help-early" as read: ids are made of words. */
const idWords = (id: string): string => {
  const words = id.replaceAll('-', ' ');
  return `${words.charAt(0).toUpperCase()}${words.slice(1)}`;
};

/** Everything the page shows, from stored summaries alone. */
export function programmePage(all: readonly StoredSummary[], options: PageOptions): ProgrammePage {
  const titleOf = options.titleOf ?? idWords;
  const summaries = all.map(({ summary }) => summary);
  const report = programmeReport(summaries, { ...options, titleOf });
  const given = report.sessions.length;
  // One to four times are as telling as one to four runs; none at all is a flat curve.
  const few = report.timed < SMALLEST_CELL || (given > 0 && given < SMALLEST_CELL);
  const small = few || report.onePerson;
  const ruleSet = options.ruleSet ?? 'run-chart';
  const empty: SurvivalCurve = { n: 0, done: 0, steps: [], censored: [], medianMs: null };
  // A day tells who drilled then: the order of the sessions is what a chart needs.
  const latest = report.sessions.slice(-LATEST_SESSIONS).map(({ at, ms }) => ({ at: at.slice(0, 7), ms }));
  const shown = small ? [] : latest;
  const warnings = [...report.warnings];
  if (few && report.timed > 0) {
    warnings.push(
      report.timed < SMALLEST_CELL
        ? `Fewer than ${SMALLEST_CELL} runs: nothing of them is shown, so that no one team stands out.`
        : `Adequate adrenaline was given in ${FEWER} of these runs: no time is shown, so that no one team stands out.`,
    );
  }
  if ((options.waiting ?? 0) > 0)
    warnings.push(`${options.waiting} more ended runs are still being summed up and are not counted here yet.`);
  if (shown.length < given && !small) warnings.push(`The chart shows the latest ${shown.length} sessions.`);
  const choice = choiceOf(summaries, options);
  if (!small && leavesOutFew(choice))
    warnings.push(
      `What this choice leaves out is ${FEWER} runs: these times beside those of all would tell theirs. Show one or the other.`,
    );
  const counted = new Set(choice.runs.map(({ runId }) => runId));
  return {
    ...report,
    runs: shownNumber(report.runs),
    timed: shownNumber(report.timed),
    givenInAll: shareOf(choice, (run) => (isTimed(run) ? run.adrenalineMs !== null : null)),
    warnings,
    suppressed: small,
    overall: small ? empty : thin(report.overall),
    medianGiven: small ? null : report.medianGiven,
    groups: small ? [] : shownGroups(report.groups),
    comparison: small ? null : report.comparison,
    sessions: shown,
    chart: readChart(
      shown.map(({ ms }) => ms),
      ruleSet,
    ),
    rules: RULE_SETS[ruleSet],
    objectives: shownObjectives(report, choice, options),
    doses: shareOf(choice, ({ wrongDoses }) => wrongDoses > 0),
    firstFaults: shownFaults(choice),
    unseenDoses: shareOf(choice, (run) => (isTimed(run) && run.adrenalineMs !== null ? run.doseUnseen : null)),
    agreement: shownAgreement(all.filter(({ summary }) => counted.has(summary.runId)).map(({ ratings }) => ratings)),
    choices: {
      wards: distinct(summaries.map(({ ward }) => ward)),
      teams: distinct(summaries.map(({ team }) => team)).filter((team) => options.notAlone?.has(team) !== true),
      scenarios: distinct(summaries.map(({ scenarioId }) => scenarioId)).map((id) => ({ id, title: titleOf(id) })),
      conditions: distinct(summaries.map(({ condition }) => condition)),
    },
  };
}

/** Groups with their counts protected as one table: its sum can be read off the curve of all. */
function shownGroups(groups: readonly GroupReport[]): readonly ShownGroup[] {
  const open = groups.filter(({ withinTwoMinutes }) => withinTwoMinutes !== undefined);
  const hidden = protect(open.map(({ withinTwoMinutes }) => withinTwoMinutes!)).rows;
  return groups.map(({ withinTwoMinutes, curve, ...group }) => ({
    ...group,
    runs: shownNumber(group.runs),
    ...(curve ? { curve: thin(curve, Math.max(LEAST_STEPS, ALL_STEPS / groups.length)) } : {}),
    ...(withinTwoMinutes
      ? {
          withinTwoMinutes: shownEstimate(
            withinTwoMinutes,
            hidden[open.findIndex(({ group: label }) => label === group.group)] ?? null,
          ),
        }
      : {}),
  }));
}

const shownEstimate = (
  { estimate }: NonNullable<GroupReport['withinTwoMinutes']>,
  hidden: Hidden | null,
): ShownEstimate => {
  const shown = hidden === null ? estimate : null;
  return { share: shown?.share ?? null, interval: shown?.interval ?? null, hidden };
};

/** The kinds add up to the whole: with one of them hidden the others would give it away, so none has a number. */
function shownFaults(choice: Choice): ShownFaults {
  const kinds = DOSE_FAULTS.filter((says) => choice.runs.some((run) => isTimed(run) && run.firstFault === says)).map(
    (says) => ({ says, shown: shareOf(choice, (run) => (isTimed(run) ? run.firstFault === says : null)) }),
  );
  const open = kinds.every(({ shown }) => shown.hidden === null);
  return {
    ...shareOf(choice, (run) => (isTimed(run) ? run.firstFault !== null : null)),
    kinds: kinds.map(({ says, shown }) => ({ says, count: open ? shown.count : null })),
  };
}

function shownObjectives(report: ProgrammeReport, choice: Choice, options: PageOptions): ProgrammePage['objectives'] {
  const byScenario = new Map<string, Choice>();
  return report.objectives.map(({ objective: key }) => {
    const [scenarioId = '', objective = ''] = key.split('/');
    const own = byScenario.get(scenarioId) ?? ofScenario(choice, scenarioId);
    byScenario.set(scenarioId, own);
    return {
      objective,
      scenarioId,
      says: options.objectiveSays?.(scenarioId, objective) ?? idWords(objective),
      seen: shareOf({ ...own, onePerson: choice.onePerson }, ({ objectives }) => {
        const result = objectives[objective];
        return result === undefined || result === 'not-known' ? null : result === 'seen';
      }),
    };
  });
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
  const room = Math.min(most, MOST_STEPS);
  const steps = every(curve.steps, room).map((step) => ({
    ...step,
    notYet: fourPlaces(step.notYet),
    standardError: fourPlaces(step.standardError),
    interval: [fourPlaces(step.interval[0]), fourPlaces(step.interval[1])] as const,
  }));
  const censored = every(curve.censored, room).map(({ timeMs, notYet }) => ({ timeMs, notYet: fourPlaces(notYet) }));
  return { ...curve, steps, censored };
}

/** A hundredth of a per cent: finer than any eye, and a third of the bytes. */
const fourPlaces = (share: number): number => Math.round(share * 10_000) / 10_000;

function every<T>(all: readonly T[], room: number): readonly T[] {
  if (all.length <= room) return all;
  const step = Math.ceil(all.length / room);
  return all.filter((_, at) => at % step === step - 1 || at === all.length - 1);
}
