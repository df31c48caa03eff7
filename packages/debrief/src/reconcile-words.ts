/** How a question about what nobody logged is answered: a deed is done, a word is said, a place is right or another. */
import type { Library, Target } from '@breathline/scenario';

export interface ReconcileWords {
  readonly done: string;
  readonly notDone: string;
  readonly unsure: string;
  /** Whether a time helps: that of a place is in the log already. */
  readonly asksWhen: boolean;
}

const isSpoken = (id: string): boolean => id.startsWith('says-') || id.endsWith('-said');

/** The words of the three answers to one line of a pack. */
export function reconcileWords(target: Target, library: Pick<Library, 'interventions'>): ReconcileWords {
  if (target.space !== undefined)
    return { done: 'Right place', notDone: 'Elsewhere', unsure: 'Not seen', asksWhen: false };
  const all = (is: (id: string) => boolean): boolean => target.interventions.every(is);
  const isCall = (id: string): boolean => library.interventions.find((one) => one.id === id)?.kind === 'call';
  const [done, notDone] = all(isSpoken)
    ? ['Said', 'Not said']
    : all(isCall)
      ? ['Called', 'Not called']
      : ['Done', 'Not done'];
  return { done, notDone, unsure: 'Not sure', asksWhen: true };
}
