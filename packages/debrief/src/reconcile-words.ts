/** How a question about what nobody logged is answered: a deed is done, a word is said, a place is right or another. */
import type { Intervention, Library, Target } from '@breathline/scenario';

export interface ReconcileWords {
  readonly done: string;
  readonly notDone: string;
  readonly unsure: string;
  /** Whether a time helps: that of a place is in the log already. */
  readonly asksWhen: boolean;
}

/** The words of the three answers to one line of a pack. */
export function reconcileWords(target: Target, library: Pick<Library, 'interventions'>): ReconcileWords {
  if (target.space !== undefined)
    return { done: 'Right place', notDone: 'Elsewhere', unsure: 'Not seen', asksWhen: false };
  const all = (is: (id: string) => boolean): boolean => target.interventions.every(is);
  const known = (id: string): Intervention | undefined => library.interventions.find((one) => one.id === id);
  const [done, notDone] = all((id) => known(id)?.spoken === true)
    ? ['Said', 'Not said']
    : all((id) => known(id)?.kind === 'call')
      ? ['Called', 'Not called']
      : ['Done', 'Not done'];
  return { done, notDone, unsure: 'Not sure', asksWhen: true };
}
