/**
 * Ways to lead a debrief, as published in general terms. Reactions, analysis, summary: Rudolph et al., Anesthesiol Clin
 * 2007;25:361–76. Advocacy and inquiry: the same authors. Plus/delta and the shares of time: common practice, no source.
 */
import type { Scorecard } from '@breathline/debrief';
import { clockText, durationText } from '@breathline/debrief';

export interface Phase {
  readonly id: 'reactions' | 'analysis' | 'summary';
  readonly title: string;
  /** Share of the whole time; our choice. */
  readonly share: number;
  readonly asks: readonly string[];
}

export const PHASES: readonly Phase[] = [
  {
    id: 'reactions',
    title: 'Reactions',
    share: 0.15,
    asks: ['How did that feel?', 'In a sentence each: what was going on with the patient?'],
  },
  {
    id: 'analysis',
    title: 'Analysis',
    share: 0.7,
    asks: ['Choose two or three gaps that matter. For each: what was seen, what was thought, what next time?'],
  },
  {
    id: 'summary',
    title: 'Summary',
    share: 0.15,
    asks: ['What will each of you take away?', 'What should change where you work?'],
  },
];

export const STRUCTURES = [
  { id: 'three-phases', title: 'Three phases: reactions, analysis, summary' },
  { id: 'advocacy-inquiry', title: 'Three phases, with advocacy and inquiry' },
  { id: 'plus-delta', title: 'Plus and delta' },
] as const;
export type StructureId = (typeof STRUCTURES)[number]['id'];

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
