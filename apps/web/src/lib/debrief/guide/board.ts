/** What has been written down and judged in the debrief so far, from the log. Pure. */
import { inRunOrder, withdrawnEvents, type DebriefColumn, type RunExport } from '@breathline/engine';

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

/** One debrief for all takes of a run: what was said of one stands beside the others. */
export function boardOf(run: RunExport): Board {
  const notes: Record<DebriefColumn, Note[]> = { reaction: [], moment: [], plus: [], delta: [], 'take-home': [] };
  const objectives: Record<string, 'met' | 'partly' | 'not-met'> = {};
  let phase: string | null = null;
  let opened = false;
  const gone = withdrawnEvents(run.events);
  for (const event of inRunOrder(run.events).filter(({ seq }) => !gone.has(seq))) {
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
