/**
 * Ways to lead a debrief, as published in general terms. Reactions, analysis, summary: Rudolph et al., Anesthesiol Clin
 * 2007;25:361–76. Advocacy and inquiry: the same authors. Blended: Eppich and Cheng, Simul Healthc 2015;10:106–15, from
 * memory. Plus/delta and the shares of time: common practice, no source.
 */
import type { Scorecard } from '@breathline/debrief';
import { clockText, durationText } from '@breathline/debrief';

export interface Phase {
  readonly id: 'reactions' | 'analysis' | 'summary';
  readonly title: string;
  /** Share of the whole time; our choice. */
  readonly share: number;
}

export const PHASES: readonly Phase[] = [
  {
    id: 'reactions',
    title: 'Reactions',
    share: 0.15,
  },
  {
    id: 'analysis',
    title: 'Analysis',
    share: 0.7,
  },
  {
    id: 'summary',
    title: 'Summary',
    share: 0.15,
  },
];

export const STRUCTURES = [
  { id: 'three-phases', title: 'Three phases: reactions, analysis, summary' },
  { id: 'advocacy-inquiry', title: 'Three phases, with advocacy and inquiry' },
  { id: 'plus-delta', title: 'Plus and delta' },
  { id: 'blended', title: 'Blended: the method that fits each gap' },
] as const;
export type StructureId = (typeof STRUCTURES)[number]['id'];

/** How the analysis is led, in the order it is asked. */
export const ANALYSIS: Readonly<Record<StructureId, readonly string[]>> = {
  'three-phases': [
    'Choose two or three gaps that matter.',
    'For each: what was seen, what was thought, what next time?',
  ],
  'advocacy-inquiry': [
    'Choose two or three gaps that matter.',
    'For each: say what you saw, and what you made of it.',
    'Then ask, and mean it: what was on your mind?',
  ],
  'plus-delta': [
    'What went well? Write it down.',
    'What would we change? Write that down.',
    'Say why, for one of each.',
  ],
  blended: [
    'Short of time, or all agree: plus and delta.',
    'A gap in what was known or practised: show it, and let them do it once.',
    'A gap in thinking, or nobody knows why: what you saw, what you made of it, then ask.',
  ],
};

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

export function keepStructure(id: StructureId): void {
  try {
    localStorage.setItem(KEPT, id);
  } catch {
    // It is chosen again next time.
  }
}

/** Minutes of each phase for a debrief of `minutes`. */
export const minutesOf = (phase: Phase, minutes: number): number => Math.max(1, Math.round(phase.share * minutes));

export interface Stem {
  readonly target: string;
  readonly text: string;
}

/** Words to begin with for each gap: what was seen, why it matters, an open question. For faculty to change, never shown by itself. */
export function stemsOf(card: Scorecard): readonly Stem[] {
  return card.results.flatMap((one): Stem[] => {
    const { id, says } = one.target;
    const what = says.charAt(0).toLowerCase() + says.slice(1);
    const due = one.takenMs === null || one.latenessMs === null ? null : durationText(one.takenMs - one.latenessMs);
    const ask = 'What was on your mind then?';
    if (one.result === 'late' && one.takenMs !== null && one.actualMs !== null) {
      const target = due === null ? '' : ` because the target was ${due}`;
      return [
        {
          target: id,
          text: `I saw “${what}” at ${clockText(one.actualMs)}, after ${durationText(one.takenMs)}. I was concerned${target}. ${ask}`,
        },
      ];
    }
    if (one.result === 'missed') {
      return [
        { target: id, text: `I did not see “${what}”. I was concerned because the guideline asks for it. ${ask}` },
      ];
    }
    if (one.result === 'given-wrong-dose' && one.dose) {
      return [{ target: id, text: `I saw this dose: ${one.dose.text} How did you arrive at it?` }];
    }
    if (one.result === 'contraindicated-given' || one.result === 'order-broken') {
      return [{ target: id, text: `I saw this: ${one.because ?? what} ${ask}` }];
    }
    return [];
  });
}
