/** How much there is to say: letters that changed since they were last said, and results back but not read out. */
import { changedCount, sayLines } from './findings.ts';
import { resultRows } from './results.ts';
import type { ConsoleSession } from './session.svelte.ts';

export function toSayCount(session: ConsoleSession): number {
  if (!session.view) return 0;
  const back = resultRows(session.view.results, session.data.log).filter((row) => row.status === 'back').length;
  return changedCount(sayLines(session.view)) + back;
}
