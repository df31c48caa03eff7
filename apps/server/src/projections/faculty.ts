/** What faculty see. Everything, except that a real-emergency stop takes the numbers off their screen too. */
import type { Derived, RunView } from '@breathline/engine';
import type { FacultyFrame, LogLine } from '@breathline/protocol';
import { isBlank, isRestarted } from './state.ts';
import { blankShown, blankWave } from './monitor.ts';

export interface FacultySource {
  readonly roleSeq: number;
  readonly seq: number;
  readonly view: RunView;
  readonly log: readonly LogLine[];
  readonly derived: readonly Derived[];
  readonly screens: { readonly monitors: number; readonly faculty: number };
  readonly joinCode: string;
}

/** Nought for each: the shape stays, nothing of the patient does. */
const blankVitals = (vitals: RunView['trueVitals']): RunView['trueVitals'] =>
  Object.fromEntries(Object.keys(vitals).map((vital) => [vital, 0])) as unknown as RunView['trueVitals'];

/**
 * `view.realEmergency` flags the stop; every number of the patient's goes, true ones too, so that nobody reads a simulated
 * number off any screen. (The log still comes: it is kept, and the console does not show it meanwhile.)
 */
const blanked = (view: RunView): RunView => ({
  ...view,
  trueVitals: blankVitals(view.trueVitals),
  threads: view.threads.map((thread) => ({ ...thread, says: null, next: [] })),
  overridden: [],
  faults: [],
  shown: blankShown(),
  wave: blankWave(),
  doses: [],
  findings: [],
  revealed: [],
  cuesDue: [],
  results: [],
  scores: [],
});

export const facultyFrame = ({ view, ...source }: FacultySource): FacultyFrame => ({
  t: 'faculty',
  roleSeq: source.roleSeq,
  seq: source.seq,
  restarted: isRestarted(view),
  view: isBlank(view) ? blanked(view) : view,
  log: source.log,
  derived: source.derived,
  screens: source.screens,
  joinCode: source.joinCode,
});
