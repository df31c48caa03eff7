/** What faculty see. Everything, except that a real-emergency stop takes the numbers off their screen too. */
import type { Derived, LiveView, RunView } from '@breathline/engine';
import type { ClockAnchor, FacultyFrame, LogLine } from '@breathline/protocol';
import { isBlank, isRestarted } from './state.ts';
import { blankShown, blankWave } from './monitor.ts';

export interface FacultySource {
  readonly roleSeq: number;
  readonly seq: number;
  readonly view: RunView;
  readonly log: readonly LogLine[];
  readonly derived: readonly Derived[];
  readonly screens: FacultyFrame['screens'];
  readonly joinCode: string;
  readonly crewCode: string;
  /** How long the run has stood still since the server was last alive; null when it does not wait for that. */
  readonly awayMs: number | null;
  readonly anchor: ClockAnchor;
}

/** Nought for each: the shape stays, nothing of the patient does. */
const blankVitals = (vitals: RunView['trueVitals']): RunView['trueVitals'] =>
  Object.fromEntries(Object.keys(vitals).map((vital) => [vital, 0])) as unknown as RunView['trueVitals'];

/** What was going on around the patient: the shape stays, and the speed, which is the clock's. */
const blankLive = ({ speed, learnersMay, arrest }: LiveView): LiveView => ({
  speed,
  course: null,
  takes: [],
  requests: [],
  errands: [],
  family: { distress: 0, told: [], worries: [], with: null },
  seats: [],
  behaviours: [],
  sound: { volumePercent: 0, pulseTone: false, alarms: false },
  playing: [],
  alarm: { pausedUntilMs: null, limits: [] },
  learnersMay,
  exhibits: [],
  listening: false,
  happenings: [],
  systemProblems: [],
  handover: null,
  arrest,
});

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
  ...(view.live ? { live: blankLive(view.live) } : {}),
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
  crewCode: source.crewCode,
  ...(source.awayMs !== null ? { awayMs: source.awayMs } : {}),
  anchor: source.anchor,
});
