/**
 * A count over the runs of a choice, hidden where it is small or where the same count over another choice would give a
 * small one away: this ward against all wards, these months against all months.
 */
import {
  SMALLEST_CELL,
  hiddenAlone,
  isFew,
  protect,
  shownShare,
  type CountOf,
  type Hidden,
  type ShownShare,
} from './cells.ts';
import { groupKey, ofOnePerson } from './groups.ts';
import { inFilter, type ReportOptions } from './report.ts';
import type { RunSummary } from './summary.ts';

/** True or false for a run that is judged, null for one that is not. */
export type Judge = (run: RunSummary) => boolean | null;

type Filter = NonNullable<ReportOptions['filter']>;
interface Dimension {
  readonly without: (filter: Filter) => Filter;
  readonly active: (filter: Filter) => boolean;
  /** The row of a run in a table by this dimension. */
  readonly row: (run: RunSummary) => string;
}

const NOBODY: ReadonlySet<string> = new Set();

interface Table {
  readonly runs: readonly RunSummary[];
  /** The row of each run, by its place: names are compared once, not for every count. */
  readonly rowOf: readonly number[];
  readonly rows: number;
  /** The row that is the choice; null in a table that is the choice itself, cut into rows. */
  readonly chosen: number | null;
}

/** The choice itself, and each wider one that a reader could take it from. */
export interface Choice {
  readonly runs: readonly RunSummary[];
  readonly tables: readonly Table[];
  readonly onePerson: boolean;
}

function dimensions({ filter = {}, notAlone = NOBODY }: ReportOptions): readonly Dimension[] {
  const by = (key: 'ward' | 'team' | 'scenarioId' | 'condition', row: (run: RunSummary) => string): Dimension => ({
    without: ({ [key]: _dropped, ...rest }) => rest,
    active: ({ [key]: value }) => value !== undefined,
    row,
  });
  const { from = '', to = '9999' } = filter;
  return [
    by('ward', (run) => groupKey(run, 'ward', notAlone)),
    by('team', (run) => groupKey(run, 'team', notAlone)),
    by('scenarioId', (run) => run.scenarioId),
    by('condition', (run) => run.condition),
    {
      without: ({ from: _from, to: _to, ...rest }) => rest,
      active: (asked) => asked.from !== undefined || asked.to !== undefined,
      row: ({ at }) => (at < from ? 'before' : at.slice(0, 10) > to.slice(0, 10) ? 'after' : 'in'),
    },
  ];
}

/** Sorts the runs for `shareOf`, once for however many counts. */
export function choiceOf(all: readonly RunSummary[], options: ReportOptions): Choice {
  const { filter = {}, notAlone = NOBODY } = options;
  const runs = all.filter((run) => inFilter(run, options));
  const tables = dimensions(options).map(({ without, active, row }): Table => {
    const wider = active(filter);
    const of = wider ? all.filter((run) => inFilter(run, { ...options, filter: without(filter) })) : runs;
    const names = new Map<string, number>();
    const rowOf = of.map((run) => {
      const key = row(run);
      const known = names.get(key);
      if (known !== undefined) return known;
      names.set(key, names.size);
      return names.size - 1;
    });
    const first = wider && runs[0] ? names.get(row(runs[0])) : undefined;
    return { runs: of, rowOf, rows: names.size, chosen: wider ? (first ?? -1) : null };
  });
  return { runs, tables, onePerson: ofOnePerson(runs, notAlone) };
}

/** Is a wider choice larger by one to four runs? Counts are guarded against it; times, which are shown one by one, are not. */
export const leavesOutFew = ({ runs, tables }: Choice): boolean =>
  tables.some(({ chosen, runs: wider }) => chosen !== null && isFew(wider.length - runs.length));

/** The same over the runs of one scenario: an objective belongs to one. */
export const ofScenario = (choice: Choice, scenarioId: string): Choice => {
  const own = (runs: readonly RunSummary[]) => runs.filter((run) => run.scenarioId === scenarioId);
  return {
    ...choice,
    runs: own(choice.runs),
    tables: choice.tables.map((table) => ({
      ...table,
      runs: own(table.runs),
      rowOf: table.rowOf.filter((_, at) => table.runs[at]!.scenarioId === scenarioId),
    })),
  };
};

function count(runs: readonly RunSummary[], judge: Judge): CountOf {
  let [hits, of] = [0, 0];
  for (const run of runs) {
    const hit = judge(run);
    if (hit === null) continue;
    of++;
    if (hit) hits++;
  }
  return { count: hits, of };
}

/** How many of the choice's judged runs are hits, as far as it may be shown. */
export function shareOf({ runs, tables, onePerson }: Choice, judge: Judge): ShownShare {
  const whole = count(runs, judge);
  if (onePerson) return shownShare(whole, 'one-person');
  let hidden: Hidden | null = hiddenAlone(whole);
  for (const { runs: all, rowOf, rows, chosen } of tables) {
    if (hidden !== null) break;
    const found = Array.from({ length: rows }, () => ({ count: 0, of: 0 }));
    all.forEach((run, at) => {
      const hit = judge(run);
      if (hit === null) return;
      const cell = found[rowOf[at]!]!;
      cell.of++;
      if (hit) cell.count++;
    });
    // A row without a judged run is none.
    const places = found.flatMap(({ of }, at) => (of > 0 ? [at] : []));
    if (places.length < 2 || whole.of < SMALLEST_CELL) continue;
    const guarded = protect(places.map((at) => found[at]!));
    hidden = chosen === null ? guarded.total : (guarded.rows[places.indexOf(chosen)] ?? null);
  }
  return shownShare(whole, hidden);
}
