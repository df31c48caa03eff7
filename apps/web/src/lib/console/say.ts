/** What there is to say in a run, with what the log has as said. */
import { changedCount, sayLines, type SayLine } from './findings.ts';
import { resultRows } from './results.ts';
import type { ConsoleSession } from './session.svelte.ts';

/** The five lines as they stand. */
export function linesNow(session: ConsoleSession): readonly SayLine[] {
  const { view } = session;
  if (!view) return [];
  return sayLines(view, {
    nowMs: session.nowMs,
    told: session.told,
    wholeLook: (seq, letter) => {
      const event = session.log.find((line) => line.event.seq === seq)?.event;
      if (event?.kind !== 'assessment' && event?.kind !== 'intervention') return false;
      return session.intervention(event.intervention)?.reveals?.letters?.includes(letter) ?? false;
    },
  });
}

/** Letters to say, and results back but not read out. */
export function toSayCount(session: ConsoleSession): number {
  const back = resultRows(session.view?.results, session.log).filter((row) => row.status === 'back').length;
  return changedCount(linesNow(session)) + back;
}
