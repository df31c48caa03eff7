/** Words for faculty to begin with, for each gap of the card. Advocacy and inquiry: Rudolph et al., Anesthesiol Clin 2007;25:361–76. Pure. */
import type { Scorecard } from '@breathline/debrief';
import { clockText, durationText } from '@breathline/debrief';

export interface Stem {
  readonly target: string;
  readonly text: string;
  /** The moment it is about, ms; null where there is none. */
  readonly atMs: number | null;
}

/** Words to begin with for each gap: what was seen, why it matters, an open question. For faculty to change, never shown by itself. */
export function stemsOf(card: Scorecard): readonly Stem[] {
  return card.results.flatMap((one): Stem[] => {
    const { id, says } = one.target;
    const what = says.charAt(0).toLowerCase() + says.slice(1);
    const due = one.takenMs === null || one.latenessMs === null ? null : durationText(one.takenMs - one.latenessMs);
    const ask = 'What was on your mind then?';
    const atMs = one.actualMs ?? one.dueMs;
    if (one.result === 'late' && one.takenMs !== null && one.actualMs !== null) {
      const target = due === null ? '' : ` because the target was ${due}`;
      return [
        {
          target: id,
          text: `I saw “${what}” at ${clockText(one.actualMs)}, after ${durationText(one.takenMs)}. I was concerned${target}. ${ask}`,
          atMs,
        },
      ];
    }
    if (one.result === 'missed') {
      return [
        {
          target: id,
          text: `I did not see “${what}”. I was concerned because the guideline asks for it. ${ask}`,
          atMs,
        },
      ];
    }
    if (one.result === 'given-wrong-dose' && one.dose) {
      return [{ target: id, text: `I saw this dose: ${one.dose.text} How did you arrive at it?`, atMs }];
    }
    if (one.result === 'contraindicated-given' || one.result === 'order-broken') {
      return [{ target: id, text: `I saw this: ${one.because ?? what} ${ask}`, atMs }];
    }
    return [];
  });
}
