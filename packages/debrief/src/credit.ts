/**
 * The weighted timing score. Our own definition, kept to two lines so that anyone can redo it by hand:
 *
 *   credit(t) = 1 if t <= target; (limit - t) / (limit - target) if target < t < limit; 0 if t >= limit or not done
 *   score     = sum of weight x credit over sum of weight, over the lines that count
 */
import type { DoseCheck, TargetResult } from './types.ts';
import { plainNumber } from './words.ts';

/**
 * Credit for something done `takenMs` after its clock started. `null` means not done. Without a limit (or with one
 * that is not after the target) there is no fade: full credit up to the target, none after.
 */
export function creditForTime(takenMs: number | null, targetMs: number, limitMs?: number): number {
  if (takenMs === null) return 0;
  if (takenMs <= targetMs) return 1;
  if (limitMs === undefined || limitMs <= targetMs || takenMs >= limitMs) return 0;
  return (limitMs - takenMs) / (limitMs - targetMs);
}

/**
 * What share of the timing credit a dose keeps. A teaching choice of this project (common practice, no source): a
 * dose a little off keeps half, one well off keeps nothing; an unseen dose can't be judged at all (`null`).
 */
export function doseShare(verdict: DoseCheck['verdict']): number | null {
  if (verdict === 'right' || verdict === 'not-applicable') return 1;
  if (verdict === 'partial') return 0.5;
  return verdict === 'unverified' ? null : 0;
}

/** Adds up the lines that count. `fraction` is null when none does. The arithmetic is text a person can check. */
export function weightedScore(
  results: readonly Pick<TargetResult, 'target' | 'credit' | 'result' | 'unverifiedSource'>[],
): { readonly fraction: number | null; readonly arithmetic: string } {
  const counted = results.filter((one) => one.credit !== null && one.target.weight > 0);
  const left = results.filter((one) => one.credit === null && one.target.weight > 0);
  const unverified = left.filter((one) => one.unverifiedSource).length;
  const notes = [
    unverified > 0 && `${unverified} left out because no named clinician has checked their source`,
    left.length > unverified &&
      `${left.length - unverified} left out because they were not due, not recorded, unverified or cut short by the end of the run`,
  ].filter((note) => note !== false);
  const tail = notes.length > 0 ? ` (${notes.join('; ')})` : '';
  if (counted.length === 0) return { fraction: null, arithmetic: `No line counts, so there is no number${tail}.` };
  let points = 0;
  let weights = 0;
  for (const one of counted) {
    points += one.target.weight * (one.credit ?? 0);
    weights += one.target.weight;
  }
  const terms = counted.map((one) => `${plainNumber(one.target.weight)} × ${(one.credit ?? 0).toFixed(2)}`).join(' + ');
  const fraction = points / weights;
  return {
    fraction,
    arithmetic: `(${terms}) ÷ ${plainNumber(weights)} = ${plainNumber(points)} ÷ ${plainNumber(weights)} = ${Math.round(fraction * 100)} %${tail}.`,
  };
}
