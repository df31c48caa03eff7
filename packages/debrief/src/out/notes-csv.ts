/** What the group wrote down in its debrief, as a table: one row a point, with the moment of the run it is about. */
import { withdrawnEvents, type RunExport } from '@breathline/engine';
import { clockText } from '../words.ts';
import { CSV_CAUTION, csv } from './csv.ts';

/** In the order of the run where a point is about a moment, the others after them as they were said. Holds typed words. */
export function notesCsv(run: RunExport): string {
  const gone = withdrawnEvents(run.events);
  const notes = run.events.flatMap((event) => (event.kind === 'debrief-note' && !gone.has(event.seq) ? [event] : []));
  const inOrder = notes.sort((a, b) => (a.aboutMs ?? Infinity) - (b.aboutMs ?? Infinity) || a.seq - b.seq);
  return csv(
    ['run', 'seq', 'about s', 'about', 'column', 'text', 'caution'],
    inOrder.map(({ seq, aboutMs, column, text }) => [
      run.runId,
      seq,
      aboutMs === undefined ? null : aboutMs / 1000,
      aboutMs === undefined ? '' : clockText(aboutMs),
      column,
      text,
      CSV_CAUTION,
    ]),
  );
}
