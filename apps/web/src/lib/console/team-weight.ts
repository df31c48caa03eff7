/** The weight the team works with, as far as anybody said it. Pure. */
import type { LogLine } from '@breathline/protocol';
import type { Intervention } from '@breathline/scenario';

/** Acts about a weight, whose number is worth a question: those of the formulary that are found by "kg". */
export function isWeighing(item: Intervention): boolean {
  return item.kind === 'team' && item.search.includes('kg');
}

/** The weight said last, kg; null when none was. A line taken back counts for nothing. */
export function teamWeightKg(log: readonly LogLine[]): number | null {
  for (const { event, withdrawnBy } of log.toReversed())
    if (withdrawnBy === null && event.kind === 'intervention' && typeof event.weightUsedKg === 'number')
      return event.weightUsedKg;
  return null;
}
