/** Runs in groups of five or more: what is smaller is joined with others, months with their neighbours. */
import { SMALLEST_CELL } from './cells.ts';
import type { GroupBy } from './report.ts';
import type { RunSummary } from './summary.ts';

/** Where a team is asked for, people who have not agreed stand together under this. */
export const IN_GROUPS_ONLY = 'people shown in groups only';
export const NOT_GIVEN = 'not given';
/** More names than these make no label. */
const MOST_NAMED = 3;

export interface RunGroup {
  readonly label: string;
  /** The groups that were too small to stand apart; empty for one that does. */
  readonly joined: readonly string[];
  readonly runs: readonly RunSummary[];
}

/** The group of a run; those without one stand under "not given". */
export function groupKey(run: RunSummary, by: Exclude<GroupBy, 'none'>, notAlone: ReadonlySet<string>): string {
  switch (by) {
    case 'ward':
      return run.ward ?? NOT_GIVEN;
    case 'team':
      return run.team !== null && notAlone.has(run.team) ? IN_GROUPS_ONLY : (run.team ?? NOT_GIVEN);
    case 'scenario':
      return run.scenarioId;
    case 'month':
      return run.at.slice(0, 7);
  }
}

/** Are all of these runs of one and the same person who has not agreed? */
export function ofOnePerson(runs: readonly RunSummary[], notAlone: ReadonlySet<string>): boolean {
  const team = runs[0]?.team ?? null;
  return team !== null && notAlone.has(team) && runs.every((run) => run.team === team);
}

/** Every run in one group; none that is too small or one person's, unless all of them together are. */
export function groupsOf(
  runs: readonly RunSummary[],
  by: GroupBy,
  notAlone: ReadonlySet<string>,
  nameOf: (key: string) => string = (key) => key,
): readonly RunGroup[] {
  if (by === 'none') return [];
  const lists = new Map<string, RunSummary[]>();
  for (const run of runs) {
    const key = groupKey(run, by, notAlone);
    const list = lists.get(key);
    if (list) list.push(run);
    else lists.set(key, [run]);
  }
  const sorted = [...lists].sort(([a], [b]) => (a < b ? -1 : 1)).map(([key, list]) => ({ keys: [key], runs: list }));
  const tooSmall = (list: readonly RunSummary[]): boolean => list.length < SMALLEST_CELL || ofOnePerson(list, notAlone);
  const together = by === 'month' ? neighbours(sorted, tooSmall) : pooled(sorted, tooSmall);
  return together.map(({ keys, runs: list }) => {
    const names = keys.map(nameOf);
    const label =
      by === 'month' && names.length > 1
        ? `${names[0]} to ${names.at(-1)}`
        : names.length > MOST_NAMED
          ? `${names.length} small groups together`
          : names.join(' + ');
    return { label, joined: names.length > 1 ? names : [], runs: list };
  });
}

interface Keyed {
  readonly keys: readonly string[];
  readonly runs: readonly RunSummary[];
}
type TooSmall = (runs: readonly RunSummary[]) => boolean;

const join = (a: Keyed, b: Keyed): Keyed => ({ keys: [...a.keys, ...b.keys], runs: [...a.runs, ...b.runs] });

/** Months grow into the next until they are large enough; what is left at the end goes to the one before. */
function neighbours(sorted: readonly Keyed[], tooSmall: TooSmall): readonly Keyed[] {
  const out: Keyed[] = [];
  for (const one of sorted) {
    const last = out.at(-1);
    if (last && tooSmall(last.runs)) out[out.length - 1] = join(last, one);
    else out.push(one);
  }
  const [last, before] = [out.at(-1), out.at(-2)];
  return last && before && tooSmall(last.runs) ? [...out.slice(0, -2), join(before, last)] : out;
}

/** Small groups stand together at the end; if that is too small still, with the smallest of the others. */
function pooled(sorted: readonly Keyed[], tooSmall: TooSmall): readonly Keyed[] {
  const large = sorted.filter(({ runs }) => !tooSmall(runs));
  const rest = sorted.filter(({ runs }) => tooSmall(runs));
  if (rest.length === 0) return large;
  let pool = rest.reduce(join);
  while (tooSmall(pool.runs) && large.length > 0) {
    const least = large.reduce((so, one) => (one.runs.length < so.runs.length ? one : so));
    large.splice(large.indexOf(least), 1);
    pool = join(pool, least);
  }
  return [...large, pool];
}
