/** The programme page as rows of a table: exactly what is shown, small cells as words. Times in seconds. */
import {
  ADEQUATE_SAYS,
  CSV_CAUTION,
  FEWER,
  RATING_MODEL,
  NOT_WATCHED,
  hiddenWords,
  type Agreement,
  type Cell,
  type ProgrammePage,
  type ShownEstimate,
  type ShownShare,
  type SurvivalCurve,
} from '@breathline/debrief';

export const programmeRows = (page: ProgrammePage): Cell[][] => {
  const rows: Cell[][] = [];
  const row = (
    part: string,
    name: Cell,
    value: Cell,
    interval: readonly [number, number] | null = null,
    of: Cell = null,
  ) => rows.push([part, name, value, interval?.[0] ?? null, interval?.[1] ?? null, of, CSV_CAUTION]);
  row('runs', 'counted', page.runs ?? FEWER);
  row('runs', 'timed', page.timed ?? FEWER);
  row('what adequate means', ADEQUATE_SAYS, null);
  for (const warning of page.warnings) row('warning', warning, null);
  for (const { ward, at, daysAgo } of page.lastDrill)
    row('days since last drill', `${ward}, ${at.slice(0, 10)}`, daysAgo);
  page.sessions.forEach(({ at, ms }, i) =>
    row('time to first adequate adrenaline, seconds', `session ${i + 1}, ${at}`, ms / 1000),
  );
  row('chart', `${page.rules.title}: ${page.rules.source}`, null);
  if (page.sessions.length > 0) row('chart', `${page.rules.centre}, seconds`, page.chart.centre / 1000);
  if (page.chart.limits) {
    row('chart', 'lower limit, seconds', page.chart.limits.lower / 1000);
    row('chart', 'upper limit, seconds', page.chart.limits.upper / 1000);
  }
  for (const warning of page.chart.warnings) row('chart warning', warning, null);
  for (const { rule, points } of page.chart.signals) {
    // Sessions as they stand above, oldest first: the first is 1. None where the whole chart makes the signal.
    row('chart signal', rule, points.length === 0 ? 'all sessions' : points.map((point) => point + 1).join(' '));
  }
  if (page.medianGiven) {
    const { estimate, interval, n } = page.medianGiven;
    row(
      'median of those given an adequate dose, seconds',
      'all',
      estimate / 1000,
      [interval[0] / 1000, interval[1] / 1000],
      n,
    );
  }
  const curve = (name: string, { steps, censored, n }: SurvivalCurve) => {
    for (const step of steps)
      row(`share without adequate adrenaline: ${name}`, step.timeMs / 1000, step.notYet, step.interval, n);
    for (const end of censored) row(`run ended first, seconds: ${name}`, end.timeMs / 1000, end.notYet, null, n);
  };
  const share = (part: string, name: string, { count, of, interval, hidden }: ShownShare) =>
    row(
      part,
      name,
      hidden !== null ? hiddenWords(hidden) : count === null || of === null || of === 0 ? null : count / of,
      interval,
      of,
    );
  const estimate = (part: string, name: string, { share: value, interval, hidden }: ShownEstimate) =>
    row(part, name, hidden !== null ? hiddenWords(hidden) : (value ?? NOT_WATCHED), interval);
  share('first adrenaline not adequate', 'all', page.firstFaults);
  for (const { says, count } of page.firstFaults.kinds)
    row('first adrenaline not adequate', says, count ?? 'number not shown', null, page.firstFaults.of);
  share('adequate dose, volume and strength not seen', 'all', page.unseenDoses);
  curve('all', page.overall);
  for (const { group, joined, runs, hidden, withinTwoMinutes, curve: own } of page.groups) {
    if (joined.length > 0) row('groups shown together', group, joined.join('; '));
    if (withinTwoMinutes) estimate('adequate dose within 2 minutes, Kaplan-Meier', group, withinTwoMinutes);
    else row('group', group, hiddenWords(hidden === 'one-person' ? 'one-person' : 'small-group'), null, runs);
    if (own) curve(group, own);
  }
  for (const { scenarioId, says, seen } of page.objectives) share('objective seen', `${scenarioId}: ${says}`, seen);
  share('runs with a critical dose error', 'all', page.doses);
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
