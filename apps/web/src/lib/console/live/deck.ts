/**
 * What a panel of the live run needs of a console, and what stands in the run as far as the server has said. Panels take
 * a `DeckSession`, so that a test can hand them one of its own.
 */
import { LEARNERS_MAY_AT_START, SOUND_AT_START, type LiveView, type RunView } from '@breathline/engine';
import type { Scenario } from '@breathline/scenario';
import type { ConsoleSession } from '../session.svelte.ts';

export type DeckSession = Pick<
  ConsoleSession,
  | 'runId'
  | 'definition'
  | 'view'
  | 'phase'
  | 'nowMs'
  | 'data'
  | 'log'
  | 'frame'
  | 'online'
  | 'leads'
  | 'loggerPass'
  | 'tap'
>;

export interface DeckProps {
  readonly session: DeckSession;
  /** Nothing may be logged now (before the start, after the end, during a stop). */
  readonly disabled: boolean;
}

/** What stands before anything was done: the patient model runs by itself at true speed. */
export function nothingYet(scenario: Scenario | null, clockMs: number): LiveView {
  return {
    speed: 1,
    course: null,
    takes: [{ take: 1, fromTake: null, fromMs: 0, toMs: clockMs }],
    requests: [],
    errands: [],
    family: {
      distress: (scenario?.family ?? []).reduce<0 | 1 | 2 | 3>(
        (most, member) => ((member.distress ?? 0) > most ? (member.distress ?? 0) : most),
        0,
      ),
      told: [],
      worries: [],
      with: null,
    },
    seats: [],
    behaviours: [],
    sound: SOUND_AT_START,
    playing: [],
    alarm: { pausedUntilMs: null, limits: [] },
    learnersMay: LEARNERS_MAY_AT_START,
    exhibits: [],
    listening: false,
    happenings: [],
    systemProblems: [],
    handover: null,
    arrest: 'not-asked',
  };
}

/** What stands now. */
export function liveOf(session: Pick<DeckSession, 'view' | 'definition'>): LiveView {
  const view: RunView | null = session.view;
  return view?.live ?? nothingYet(session.definition.scenario, view?.clockMs ?? 0);
}
