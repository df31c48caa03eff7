/**
 * Counts fit to be shown. A count of one to four, or of all but one to four, is not shown, nor the share worked out from
 * it; and where a shown count beside it would give it away by subtraction, that one is kept back too. Groups are joined
 * before anything is left out. After: Washington State Department of Health, Agency Standards for Reporting Data with Small
 * Numbers, 2018 (aggregate first; leave out small non-zero counts and the rates made of them; leave out others so that
 * none can be recalculated by subtraction). That standard's line is ten; ours is five, our choice for drills.
 */
import { wilson } from './intervals.ts';

/** Below this many a count is not shown, nor a group shown apart. */
export const SMALLEST_CELL = 5;

/** Why a count is not shown: one to four; all but one to four; it would give another away; too few or one person's runs. */
export type Hidden = 'few' | 'all-but-few' | 'kept-back' | 'small-group' | 'one-person';

/** So many of so many, or why not. */
export interface ShownShare {
  readonly of: number | null;
  readonly count: number | null;
  readonly interval: readonly [number, number] | null;
  readonly hidden: Hidden | null;
}

export interface CountOf {
  readonly count: number;
  readonly of: number;
}

/** One to four. */
export const isFew = (count: number): boolean => count > 0 && count < SMALLEST_CELL;

/** What of a count alone keeps it from being shown; zero and all are shown. */
export function hiddenAlone({ count, of }: CountOf): Hidden | null {
  if (of < SMALLEST_CELL) return of === 0 ? null : 'small-group';
  if (isFew(count)) return 'few';
  return isFew(of - count) ? 'all-but-few' : null;
}

/** A whole number of one of these ranges, ends included. */
type Ranges = readonly (readonly [number, number])[];

/** What a reader who knows the rule must still think possible of a hidden count. */
function possible({ of }: CountOf, hidden: Hidden): Ranges {
  if (hidden === 'few') return [[1, Math.min(SMALLEST_CELL - 1, of)]];
  if (hidden === 'all-but-few') return [[Math.max(SMALLEST_CELL, of - SMALLEST_CELL + 1), of - 1]];
  if (hidden !== 'kept-back') return [[0, of]];
  const middle: Ranges = of - SMALLEST_CELL >= SMALLEST_CELL ? [[SMALLEST_CELL, of - SMALLEST_CELL]] : [];
  return joined([[0, 0], ...middle, [of, of]]);
}

function joined(ranges: Ranges): Ranges {
  const out: [number, number][] = [];
  for (const [low, high] of [...ranges].sort(([a], [b]) => a - b)) {
    const last = out.at(-1);
    if (last && low <= last[1] + 1) last[1] = Math.max(last[1], high);
    else out.push([low, high]);
  }
  return out;
}

const sums = (a: Ranges, b: Ranges): Ranges =>
  joined(a.flatMap(([low, high]) => b.map(([from, to]) => [low + from, high + to] as const)));

/** How many values of a hidden count fit with what the others leave of their sum. */
function waysLeft(own: Ranges, others: Ranges, sum: Ranges): number {
  let ways = 0;
  for (const [low, high] of own) {
    for (let value = low; value <= high && ways < 2; value++) {
      if (others.some(([from, to]) => sum.some(([least, most]) => from + value <= most && to + value >= least))) ways++;
    }
  }
  return ways;
}

/**
 * Which counts of a table whose rows add up to a known total are hidden, and whether the total must be as well. A row is
 * kept back, the smallest first, for as long as some hidden count has one value left that it could have.
 */
export function protect(rows: readonly CountOf[]): {
  readonly rows: readonly (Hidden | null)[];
  readonly total: Hidden | null;
} {
  const whole = rows.reduce((so, { count, of }) => ({ count: so.count + count, of: so.of + of }), { count: 0, of: 0 });
  const hidden = rows.map(hiddenAlone);
  let total = hiddenAlone(whole);
  const pinned = (): boolean => {
    const open = rows.flatMap((row, i) => {
      const why = hidden[i];
      return why ? [{ row, why, values: possible(row, why) }] : [];
    });
    const shown = rows.reduce((so, { count }, i) => (hidden[i] ? so : so + count), 0);
    const all: Ranges = total === null ? [[whole.count, whole.count]] : possible(whole, total);
    const left = all.map(([low, high]) => [low - shown, high - shown] as const);
    return open.some(({ why, values }, at) => {
      if (why === 'kept-back') return false;
      const others = open.reduce<Ranges>((so, one, i) => (i === at ? so : sums(so, one.values)), [[0, 0]]);
      return waysLeft(values, others, left) < 2;
    });
  };
  while (pinned()) {
    const next = rows
      .map(({ of }, i) => ({ of, i }))
      .filter(({ i }) => hidden[i] === null && rows[i]!.of > 0)
      .sort((a, b) => a.of - b.of || a.i - b.i)[0];
    if (next) hidden[next.i] = 'kept-back';
    else if (total === null) total = 'kept-back';
    else break;
  }
  return { rows: hidden, total };
}

/** The count as it may be shown. */
export function shownShare({ count, of }: CountOf, hidden: Hidden | null): ShownShare {
  if (hidden === null) return { of, count, interval: wilson(count, of), hidden };
  return { of: isFew(of) ? null : of, count: null, interval: null, hidden };
}

/** A number of runs; null for one to four. */
export const shownNumber = (n: number): number | null => (isFew(n) ? null : n);

export const FEWER = `fewer than ${SMALLEST_CELL}`;

const HIDDEN_WORDS: Readonly<Record<Hidden, string>> = {
  few: FEWER,
  'all-but-few': `all but ${FEWER}`,
  'kept-back': `not shown: a count under ${SMALLEST_CELL} could be worked out from it`,
  'small-group': `${FEWER} runs, not shown`,
  'one-person': 'of one person who has not agreed, not shown',
};

/** "fewer than 5", "all but fewer than 5", or why there is no number. */
export const hiddenWords = (hidden: Hidden): string => HIDDEN_WORDS[hidden];
