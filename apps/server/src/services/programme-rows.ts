/** The programme page as rows of a table: exactly what is shown, small cells as words. Times in seconds. */
import {
  CSV_CAUTION,
  RATING_MODEL,
  type Agreement,
  type Cell,
  type ProgrammePage,
  type SurvivalCurve,
} from '@breathline/debrief';

const HIDDEN = 'fewer than 5, not shown';
const NOT_AGREED = 'of one person who has not agreed, not shown';

export const programmeRows = (page: ProgrammePage): Cell[][] => {
  const rows: Cell[][] = [];
  const row = (
    part: string,
    name: Cell,
    value: Cell,
    interval: readonly [number, number] | null = null,
    of: Cell = null,
  ) => rows.push([part, name, value, interval?.[0] ?? null, interval?.[1] ?? null, of, CSV_CAUTION]);
  row('runs', 'counted', page.runs);
  row('runs', 'timed', page.timed);
  for (const warning of page.warnings) row('warning', warning, null);
  for (const { ward, at, daysAgo } of page.lastDrill)
    row('days since last drill', `${ward}, ${at.slice(0, 10)}`, daysAgo);
  for (const { at, ms } of page.sessions) row('time to first adrenaline, seconds', at.slice(0, 10), ms / 1000);
  row('chart', `${page.rules.title}: ${page.rules.source}`, null);
  if (page.sessions.length > 0) row('chart', `${page.rules.centre}, seconds`, page.chart.centre / 1000);
  if (page.chart.limits) {
    row('chart', 'lower limit, seconds', page.chart.limits.lower / 1000);
    row('chart', 'upper limit, seconds', page.chart.limits.upper / 1000);
  }
  for (const { rule } of page.chart.signals) row('chart signal', rule, null);
  if (page.medianGiven) {
    const { estimate, interval, n } = page.medianGiven;
    row('median of those given, seconds', 'all', estimate / 1000, [interval[0] / 1000, interval[1] / 1000], n);
  }
  const curve = (name: string, { steps, n }: SurvivalCurve) => {
    for (const step of steps)
      row(`share without adrenaline: ${name}`, step.timeMs / 1000, step.notYet, step.interval, n);
  };
  curve('all', page.overall);
  for (const group of page.groups) {
    if (group.suppressed || !group.withinTwoMinutes)
      row('group', group.group, group.hidden === 'one-person' ? NOT_AGREED : HIDDEN);
    else {
      const { count, of, interval } = group.withinTwoMinutes;
      row('within 2 minutes', group.group, count / of, interval, of);
      if (group.curve) curve(group.group, group.curve);
    }
  }
  for (const { objective, seen, known, interval, suppressed } of page.objectives) {
    row('objective seen', objective, suppressed || seen === null ? HIDDEN : seen / known, interval, known);
  }
  const { wrong, of, interval, suppressed } = page.doses;
  row('runs with a critical dose error', 'all', suppressed || wrong === null ? HIDDEN : wrong / of, interval, of);
  const agreement = (name: string, one: Agreement) =>
    row(
      `agreement: ${one.statistic}`,
      name,
      one.ok ? one.value : one.because,
      one.ok ? one.interval : null,
      one.subjects,
    );
  agreement('behaviours rated by two', page.agreement.two);
  agreement('behaviours rated by two, in order', page.agreement.inOrder);
  agreement('behaviours rated by more', page.agreement.more);
  agreement(`ratings of 1 to 5 by two: ${RATING_MODEL}`, page.agreement.ratings);
  return rows;
};
