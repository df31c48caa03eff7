/** What has been written down and judged in the debrief so far, from the log. Pure. */
import { inRunOrder, withdrawnEvents, type DebriefColumn, type RunExport } from '@breathline/engine';
import { opensAnalysis } from './structures.ts';

export interface Note {
  readonly seq: number;
  readonly text: string;
  readonly aboutMs: number | null;
}

/** A phase as it was opened, by the clock on the server's wall. */
export interface PhaseOpened {
  readonly phase: string;
  readonly structure: string | null;
  readonly minutes: number | null;
  readonly wallMs: number;
}

export interface Board {
  readonly notes: Readonly<Record<DebriefColumn, readonly Note[]>>;
  /** The group's answer for each objective, the last one given. */
  readonly objectives: Readonly<Record<string, 'met' | 'partly' | 'not-met'>>;
  /** The last phase opened; null before the first. */
  readonly phase: string | null;
  /** Every phase as it was opened, in order. */
  readonly phases: readonly PhaseOpened[];
  /** Faculty have opened the analysis: scores, states and targets may be seen. */
  readonly opened: boolean;
}

/** One debrief for all takes of a run: what was said of one stands beside the others. */
export function boardOf(run: RunExport): Board {
  const notes: Record<DebriefColumn, Note[]> = { reaction: [], moment: [], plus: [], delta: [], 'take-home': [] };
  const objectives: Record<string, 'met' | 'partly' | 'not-met'> = {};
  const phases: PhaseOpened[] = [];
  const gone = withdrawnEvents(run.events);
  for (const event of inRunOrder(run.events).filter(({ seq }) => !gone.has(seq))) {
    if (event.kind === 'debrief-note') {
      notes[event.column].push({ seq: event.seq, text: event.text, aboutMs: event.aboutMs ?? null });
    } else if (event.kind === 'objective-judged') objectives[event.objective] = event.answer;
    else if (event.kind === 'debrief-phase') {
      const { phase, structure = null, minutes = null } = event;
      phases.push({ phase, structure, minutes, wallMs: Date.parse(event.wallTime) });
    }
  }
  const opened = phases.some(({ phase, structure }) => opensAnalysis(phase, structure));
  return { notes, objectives, phase: phases.at(-1)?.phase ?? null, phases, opened };
}
