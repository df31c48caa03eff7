/** What faculty judged otherwise than the clock. Both values stay, and the reason with them. */
import type { RunExport } from '@breathline/engine';
import { weightedScore } from './credit.ts';
import { withdrawnSeqs } from './prepare-log.ts';
import type { ResultWord, TargetResult } from './types.ts';

/** Words a line may be judged by; anything else in a log is left out. What each is worth: null = does not count. */
const WORTH: Readonly<Partial<Record<ResultWord, number | null>>> = {
  met: 1,
  'order-kept': 1,
  missed: 0,
  'order-broken': 0,
  'contraindicated-given': 0,
  'given-wrong-dose': 0,
  'not-due': null,
  'not-recorded': null,
};

/** The words faculty may choose from. */
export const ADJUSTABLE_RESULTS = Object.keys(WORTH) as readonly ResultWord[];

/** Lays the last standing adjustment of each line beside its result. A reason is needed: without one it does nothing. */
export function withAdjustments(results: readonly TargetResult[], run: RunExport): readonly TargetResult[] {
  const withdrawn = withdrawnSeqs(run.events);
  const last = new Map<string, { result: ResultWord; reason: string; seq: number }>();
  for (const event of run.events) {
    if (event.kind !== 'line-adjusted' || event.take !== run.scoredTake || withdrawn.has(event.seq)) continue;
    const { target, reason, seq } = event;
    const result = event.result as ResultWord;
    if (reason.trim() !== '' && Object.hasOwn(WORTH, result)) last.set(target, { result, reason, seq });
  }
  return results.map((one) => {
    const found = last.get(one.target.id);
    if (found === undefined || found.result === one.result) return one;
    const credit = one.unverifiedSource ? null : (WORTH[found.result] ?? null);
    return { ...one, adjusted: { ...found, credit } };
  });
}

/** The weighted sum with the adjusted lines' own worth in place of the clock's. */
export function adjustedScore(results: readonly TargetResult[]): ReturnType<typeof weightedScore> {
  return weightedScore(results.map((one) => (one.adjusted ? { ...one, credit: one.adjusted.credit } : one)));
}
