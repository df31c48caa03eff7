/**
 * Ways to lead a debrief, as published in general terms; each has phases, questions and an order of its own.
 * Reactions, analysis, summary, and within it advocacy and inquiry (result, action, frame): Rudolph et al., Anesthesiol
 * Clin 2007;25:361–76. Blended: Eppich and Cheng, Simul Healthc 2015;10:106–15; its phase of description from memory.
 * Plus/delta: from memory. Pause, debrief, rewind, try again: Taras and Everett, Cureus 2017;9(4):e1180, after Hunt et al.,
 * Resuscitation 2014;85:945–51. The shares of time: common practice, no source.
 */
import type { DebriefColumn } from '@breathline/engine';

/** Where a phase is held: on a page without numbers, or on one of the analysis. */
export type PhasePage = 'welcome' | 'talk' | 'timeline' | 'discuss' | 'summary';

export interface Phase {
  /** As the log has it. */
  readonly id: string;
  readonly title: string;
  /** Share of the whole time. */
  readonly share: number;
  readonly page: PhasePage;
  /** Opening it opens the analysis: from here on scores, states and targets may be seen. */
  readonly opens: boolean;
  /** What is asked, in its order. */
  readonly asks: readonly string[];
  /** What the group says here is written down in these. */
  readonly columns: readonly DebriefColumn[];
}

export interface Structure {
  readonly id: string;
  readonly title: string;
  readonly phases: readonly Phase[];
}

const phase = (id: string, title: string, share: number, page: PhasePage, more: Partial<Phase> = {}): Phase => ({
  id,
  title,
  share,
  page,
  opens: page === 'timeline' || page === 'discuss',
  asks: [],
  columns: [],
  ...more,
});

const FEELING = ['How did that feel?', 'In a sentence each: what was going on with the patient?'];
const reactions = (share: number): Phase =>
  phase('reactions', 'Reactions', share, 'welcome', { asks: FEELING, columns: ['reaction'] });
const summary = (share: number, asks: readonly string[]): Phase =>
  phase('summary', 'Summary', share, 'summary', { asks, columns: ['take-home'] });
const NEXT_SHIFT = 'What will you do differently on your next shift? A sentence each; no names needed.';

export const STRUCTURES = [
  {
    id: 'three-phases',
    title: 'Three phases: reactions, analysis, summary',
    phases: [
      reactions(0.15),
      phase('analysis', 'Analysis', 0.7, 'timeline', {
        asks: [
          'Choose two or three gaps that matter.',
          'For each: what was seen, what was thought, what next time?',
          'What went well there, and why?',
        ],
        columns: ['plus', 'delta'],
      }),
      summary(0.15, [NEXT_SHIFT]),
    ],
  },
  {
    id: 'advocacy-inquiry',
    title: 'Advocacy and inquiry: result, action, frame',
    phases: [
      reactions(0.15),
      phase('result', 'Result', 0.2, 'timeline', {
        asks: ['Look together: what came of it for the patient?', 'Which two or three gaps matter?'],
        columns: ['delta'],
      }),
      phase('action', 'Action', 0.15, 'timeline', {
        asks: ['For each gap: say what you saw, and what you made of it.', 'Does everyone remember it so?'],
        columns: ['plus', 'delta'],
      }),
      phase('frame', 'Frame', 0.35, 'discuss', {
        asks: [
          'Then ask, and mean it: what was on your mind?',
          'What would you have needed to know or have?',
          'Who thought of it otherwise?',
        ],
        columns: ['plus', 'delta'],
      }),
      summary(0.15, ['What do we now see otherwise?', NEXT_SHIFT]),
    ],
  },
  {
    id: 'plus-delta',
    title: 'Plus and delta',
    phases: [
      reactions(0.1),
      phase('plus', 'Plus', 0.25, 'talk', { asks: ['What went well? Write it down.'], columns: ['plus'] }),
      phase('delta', 'Delta', 0.25, 'talk', { asks: ['What would we change? Write that down.'], columns: ['delta'] }),
      phase('analysis', 'Why', 0.25, 'discuss', {
        asks: ['Say why, for one of each.', 'Does the timeline show it so?'],
        columns: ['plus', 'delta'],
      }),
      summary(0.15, ['Which one change do we begin with?', NEXT_SHIFT]),
    ],
  },
  {
    id: 'blended',
    title: 'Blended: the method that fits each gap',
    phases: [
      reactions(0.15),
      phase('description', 'Description', 0.1, 'talk', {
        asks: ['Somebody sums the case up: who was ill, with what, and what was done?', 'Does everyone see it so?'],
        columns: ['moment'],
      }),
      phase('analysis', 'Analysis', 0.6, 'discuss', {
        asks: [
          'Short of time, or all agree: plus and delta.',
          'A gap in what was known or practised: show it, and let them do it once.',
          'A gap in thinking, or nobody knows why: what you saw, what you made of it, then ask.',
        ],
        columns: ['plus', 'delta'],
      }),
      summary(0.15, [NEXT_SHIFT]),
    ],
  },
  {
    id: 'rapid-cycle',
    title: 'Rapid cycle: correct, go again',
    phases: [
      reactions(0.1),
      phase('correction', 'Correct', 0.3, 'timeline', {
        asks: ['Where did it begin to go otherwise than planned?', 'What is the right step there? Show it, say why.'],
        columns: ['delta'],
      }),
      phase('again', 'Go again', 0.45, 'discuss', {
        asks: ['Go again from just before that moment.', 'Did it work? If not, correct once more and go again.'],
        columns: ['plus', 'delta'],
      }),
      summary(0.15, ['What can everyone now do without thinking?', NEXT_SHIFT]),
    ],
  },
] as const satisfies readonly Structure[];
export type StructureId = (typeof STRUCTURES)[number]['id'];

/** The ten-minute version: one phase, all on one page. */
export const TEN_MINUTES: Structure = {
  id: 'ten-minutes',
  title: 'Ten minutes',
  phases: [phase('ten-minutes', 'Ten minutes', 1, 'timeline', { columns: ['take-home'] })],
};
const THREE_PHASES: Structure = STRUCTURES[0];

/** A structure by its id; three phases for one that is not known. */
export const structureOf = (id: string | null): Structure => {
  if (id === TEN_MINUTES.id) return TEN_MINUTES;
  return STRUCTURES.find((one) => one.id === id) ?? THREE_PHASES;
};

/** Does opening this phase of this structure open the analysis? The ten-minute version does, wherever it stands. */
export const opensAnalysis = (phaseId: string, structureId: string | null): boolean =>
  phaseId === 'ten-minutes' || structureOf(structureId).phases.some(({ id, opens }) => opens && id === phaseId);

/** The first phase of a structure that opens the analysis. */
export const firstOpening = ({ phases }: Structure): Phase =>
  phases.find(({ opens }) => opens) ?? (THREE_PHASES.phases[1] as Phase);

const KEPT = 'breathline-debrief-structure';

/** The structure used last on this device. */
export function lastStructure(): StructureId {
  try {
    const kept = localStorage.getItem(KEPT);
    return STRUCTURES.find((one) => one.id === kept)?.id ?? 'three-phases';
  } catch {
    // A browser may refuse to keep anything.
    return 'three-phases';
  }
}

export function keepStructure(id: string): void {
  try {
    localStorage.setItem(KEPT, id);
  } catch {
    // It is chosen again next time.
  }
}

/** Minutes of each phase for a debrief of `minutes`. */
export const minutesOf = (phase: Phase, minutes: number): number => Math.max(1, Math.round(phase.share * minutes));
