/** What observers ticked and rated, one row for each observer's last word on each behaviour. */
import { RATING_STEPS, exportOfTake, type RunExport } from '@breathline/engine';
import { observerTicks } from '../review/teamwork.ts';
import { CSV_CAUTION, csv } from './csv.ts';

/** Observers stand by number; the anchor says in words what a rating means. */
export function teamworkCsv(whole: RunExport): string {
  const run = exportOfTake(whole);
  return csv(
    ['run', 'take', 'behaviour', 'says', 'observer', 'tick', 'rating 1 to 5', 'rating means', 'caution'],
    observerTicks(run).map(({ behaviour, says, observer, seen, rating }) => [
      run.runId,
      whole.scoredTake,
      behaviour,
      says,
      observer,
      seen.replace('-', ' '),
      rating,
      RATING_STEPS.find((step) => step.rating === rating)?.says,
      CSV_CAUTION,
    ]),
  );
}
