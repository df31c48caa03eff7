/** What has been written down and judged in the debrief so far, from the log. Pure. */
import { effectiveEvents, type DebriefColumn, type RunExport } from '@breathline/engine';

export interface Note {
  readonly seq: number;
  readonly text: string;
  readonly aboutMs: number | null;
}

export interface Board {
  readonly notes: Readonly<Record<DebriefColumn, readonly Note[]>>;
  /** The group's answer for each objective, the last one given. */
  readonly objectives: Readonly<Record<string, 'met' | 'partly' | 'not-met'>>;
  /** The last phase opened; null before the first. */
  readonly phase: string | null;
  /** Faculty have opened the analysis: scores, states and targets may be seen. */
  readonly opened: boolean;
}

/** Phases in which the numbers may be on the screen. */
const SHOWING: ReadonlySet<string> = new Set(['analysis', 'summary', 'ten-minutes']);

export function boardOf(run: RunExport): Board {
  const notes: Record<DebriefColumn, Note[]> = { reaction: [], moment: [], plus: [], delta: [], 'take-home': [] };
  const objectives: Record<string, 'met' | 'partly' | 'not-met'> = {};
  let phase: string | null = null;
  let opened = false;
  for (const event of effectiveEvents(run.events, run.scoredTake)) {
    if (event.kind === 'debrief-note') {
      notes[event.column].push({ seq: event.seq, text: event.text, aboutMs: event.aboutMs ?? null });
    } else if (event.kind === 'objective-judged') objectives[event.objective] = event.answer;
    else if (event.kind === 'debrief-phase') {
      phase = event.phase;
      opened ||= SHOWING.has(event.phase);
    }
  }
  return { notes, objectives, phase, opened };
}
