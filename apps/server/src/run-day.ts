/** The day a run was held, for names of files and for paper; a rehearsal has none, and says what it is instead. */
import { isRehearsal, type RunExport } from '@breathline/engine';

type Dated = Pick<RunExport, 'createdAt' | 'events'>;

/** "2026-11-25", or "rehearsal". */
export const runDay = ({ createdAt, events }: Dated): string =>
  isRehearsal(events) ? 'rehearsal' : createdAt.slice(0, 10);

/** "Run of 2026-11-25", or that no team played it. */
export const heldWords = (run: Dated, before: string): string =>
  isRehearsal(run.events) ? 'A rehearsal: the scenario played it, not a team' : `${before} ${runDay(run)}`;
