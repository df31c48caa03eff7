/** A checked condition as the engine reads it. */
import type { Grade, SignId } from '@breathline/patient';
import { tidy } from '../words/quantity.ts';
import { VITALS } from '../words/vitals.ts';
import type { Comparison, Condition, Limit } from '../types.ts';
import { COMPARISONS, LIMIT_BY_AGE, type ConditionDoc } from '../2-check/schema/condition.ts';
import { fraction, ms, need } from './quantities.ts';

const many = (value: string | readonly string[]): readonly string[] => (typeof value === 'string' ? [value] : value);

/** `threadOf(state)` names the thread of a state where the author left it out. */
export function buildCondition(doc: ConditionDoc, threadOf: (state: string) => string): Condition {
  const again = (part: ConditionDoc): Condition => buildCondition(part, threadOf);
  if ('all' in doc) return { kind: 'all', of: doc.all.map(again) };
  if ('any' in doc) return { kind: 'any', of: doc.any.map(again) };
  if ('not' in doc) return { kind: 'not', of: again(doc.not) };
  if ('vital' in doc) return buildVitalCondition(doc);
  if ('sign' in doc) {
    const op = comparisonOf(doc);
    return { kind: 'sign', sign: doc.sign as SignId, op, grade: doc[op] as Grade, forMs: doc.for ? ms(doc.for) : 0 };
  }
  if ('given' in doc) {
    return {
      kind: 'given',
      interventions: many(doc.given),
      times: doc.times ?? 1,
      minDoseShare: doc['dose-share'] ? fraction(doc['dose-share']) : 0,
      ...(doc.within ? { withinMs: ms(doc.within) } : {}),
    };
  }
  if ('assessed' in doc) return { kind: 'assessed', interventions: many(doc.assessed) };
  if ('in-state-for' in doc) return { kind: 'in-state-for', ms: ms(doc['in-state-for']) };
  if ('run-clock' in doc) return { kind: 'run-clock', ms: ms(doc['run-clock']) };
  if ('state' in doc) return { kind: 'state', thread: doc.thread ?? threadOf(doc.state), state: doc.state };
  return { kind: 'faculty', label: doc.faculty };
}

function comparisonOf(doc: object): Comparison {
  return COMPARISONS.find((key) => Object.hasOwn(doc, key))!;
}

interface VitalDoc {
  readonly vital: string;
  readonly for?: string;
}

export function buildVitalCondition(doc: VitalDoc): Condition {
  const op = comparisonOf(doc);
  const written = (doc as unknown as Record<string, string | number>)[op]!;
  return {
    kind: 'vital',
    vital: VITALS.get(doc.vital)!.id,
    op,
    limit: buildLimit(doc.vital, written),
    forMs: doc.for ? ms(doc.for) : 0,
  };
}

function buildLimit(vital: string, written: string | number): Limit {
  const byAge = typeof written === 'string' ? LIMIT_BY_AGE.exec(written) : null;
  if (byAge) {
    const relative = byAge[2] as 'low-limit-for-age' | 'median-for-age' | 'high-limit-for-age';
    return byAge[1] === undefined ? { relative } : { relative, factor: Number(byAge[1]) };
  }
  return { value: vitalValue(vital, written) };
}

/** A written vital in the model's own unit. */
export function vitalValue(vital: string, written: string | number): number {
  const { scale } = VITALS.get(vital)!;
  return typeof written === 'number' ? written : tidy(need(written).value * scale);
}
