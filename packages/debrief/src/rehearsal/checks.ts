/** Each expectation of a rehearsal: what was asked for, what came instead, and how to mend it. */
import {
  compare,
  profileOf,
  VITALS,
  vitalText,
  type RehearsalCheck,
  type RunDefinition,
  type RunExport,
} from '@breathline/engine';
import type { VitalId } from '@breathline/patient';
import type { Condition, Expectation } from '@breathline/scenario';
import { ageLimits, limitValue } from '../age-limits.ts';
import { conditionText } from '../review/condition-words.ts';
import { scoreRun } from '../score-run.ts';
import { clockText, durationText, interventionName } from '../words.ts';
import type { RehearsedCheck } from './types.ts';

type Settled = Omit<RehearsedCheck, 'place'>;
type StateExpectation = Extract<Expectation, { kind: 'state' }>;
type VitalCondition = Extract<Condition, { kind: 'vital' }>;

/** What a check was made of. */
export interface Played {
  readonly definition: RunDefinition;
  readonly exported: RunExport;
}

/** An expectation in words; one about a target is settled by scoring the rehearsal as a run. */
export function settle(check: RehearsalCheck, played: Played): Settled {
  const { expectation } = check;
  switch (expectation.kind) {
    case 'target':
      return settleTarget(check, expectation, played);
    case 'vital': {
      const { condition, atMs } = expectation;
      if (condition.kind !== 'vital') return plain(check);
      const vital = { id: condition.vital, atMs, value: check.value ?? null };
      return { ...settleVital(check, condition, atMs, played), vital };
    }
    case 'state':
      return settleState(check, expectation, played);
  }
}

const plain = ({ says, found, ok }: RehearsalCheck): Settled => ({ says, found, ok: ok === true });

function settleTarget(
  check: RehearsalCheck,
  expectation: Extract<Expectation, { kind: 'target' }>,
  { definition, exported }: Played,
): Settled {
  const { results } = scoreRun(exported);
  const result = results.find((each) => each.target.id === expectation.target);
  if (result === undefined) {
    return {
      says: check.says,
      ok: false,
      found: `the pack “${definition.packId}” has no target “${expectation.target}”`,
      mend: `Name a target of that pack (${results.map(({ target }) => target.id).join(', ')}), or rehearse with the pack it belongs to.`,
    };
  }
  const taken = result.actualMs === null ? '' : ` at ${clockText(result.actualMs)}`;
  const ok = result.result === expectation.result;
  const found = `${result.result}${taken}`;
  if (ok) return { says: check.says, found, ok };
  return {
    says: check.says,
    found,
    ok,
    mend: `Move what the team does in this rehearsal, or expect “is: ${result.result}”.`,
  };
}

function settleVital(check: RehearsalCheck, condition: VitalCondition, atMs: number, { definition }: Played): Settled {
  const nameOf = (id: string): string => interventionName(definition.library, id);
  const limit =
    'value' in condition.limit
      ? null
      : limitValue(condition.limit, condition.vital, ageLimits(profileOf(definition).ageYears));
  const number = limit === null ? '' : ` (${vitalText(condition.vital, limit)})`;
  const says = `at ${clockText(atMs)} ${conditionText(condition, nameOf)}${number}`;
  const value = check.value ?? null;
  if (value === null) return { says, found: check.found, ok: false, mend: 'Lengthen “for”, or look earlier.' };
  const bound = 'value' in condition.limit ? condition.limit.value : limit;
  const was = `it was ${apart(condition.vital, value, bound)}`;
  if (check.ok === true) return { says, found: was, ok: true };
  const thereNow = bound !== null && compare(condition.op, value, bound);
  return {
    says,
    ok: false,
    found: thereNow ? `${was}, but had not been so for ${durationText(condition.forMs)}` : was,
    mend: `Look at another time, ask for another limit${thereNow ? ' or a shorter “for”' : ''}, or change what the team does or what the illness does by then.`,
  };
}

/** A value in words, with more places where it would read as the very limit it misses. */
function apart(vital: VitalId, value: number, limit: number | null): string {
  const text = vitalText(vital, value);
  if (limit === null || value === limit || text !== vitalText(vital, limit)) return text;
  const { digits, unit } = VITALS[vital];
  return `${value.toFixed(digits + 2)} ${unit}`.trim();
}

function settleState(check: RehearsalCheck, expectation: StateExpectation, { exported }: Played): Settled {
  if (check.ok === true) return plain(check);
  const { thread, state, byMs, notBeforeMs, never } = expectation;
  const entered = exported.derived.flatMap((fact) =>
    fact.kind === 'state-entered' && fact.thread === thread ? [fact] : [],
  );
  const first = entered.find((fact) => fact.state === state);
  if (first !== undefined) {
    const from = first.from === null ? 'from the start' : `from “${first.from}”`;
    const reached = `${state} was reached at ${clockText(first.atMs)} ${from}`;
    const why = /[.!?]$/.test(first.because) ? first.because : `${first.because}.`;
    if (never === true) {
      return {
        ...plain(check),
        found: `${reached}: ${why}`,
        mend: 'Change the rule that led there, or what the team does in this rehearsal.',
      };
    }
    const late = byMs !== undefined && first.atMs > byMs;
    const off = durationText(late ? first.atMs - byMs : (notBeforeMs ?? 0) - first.atMs);
    return {
      ...plain(check),
      found: `${reached}, ${off} ${late ? 'too late' : 'too soon'}: ${why}`,
      mend: late
        ? 'Move “by”, let the team act sooner, or loosen the rule that leads there.'
        : 'Move “not-before”, or let the rule that leads there ask for more.',
    };
  }
  const lookMs = byMs ?? exported.track.at(-1)?.atMs ?? 0;
  const stood = entered.findLast(({ atMs }) => atMs <= lookMs);
  return {
    ...plain(check),
    found: stood
      ? `${check.found}: at ${clockText(lookMs)} it was still “${stood.state}”, since ${clockText(stood.atMs)}`
      : check.found,
    mend: stood
      ? `Let a rule lead on from “${stood.state}”, loosen the one that does, or change what the team does.`
      : 'Let a rule lead there, or change what the team does.',
  };
}
