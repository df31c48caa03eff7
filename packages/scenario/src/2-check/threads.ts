/** The threads of a scenario as written, whichever of the two forms was used. */
import type { Path } from '../1-read/tree.ts';
import type { ScenarioDoc } from './schema/scenario-schema.ts';
import type { StateDoc } from './schema/state-schema.ts';

export interface ThreadDoc {
  readonly id: string;
  readonly title: string;
  readonly start: string;
  readonly states: Readonly<Record<string, StateDoc>>;
  readonly startPath: Path;
  readonly statesPath: Path;
}

/** The thread id used when a scenario has plain `states`. */
export const MAIN_THREAD = 'main';

export function threadsOf(doc: ScenarioDoc): ThreadDoc[] {
  if (doc.threads) {
    return Object.entries(doc.threads).map(([id, thread]) => ({
      id,
      title: thread.title,
      start: thread.start,
      states: thread.states as Readonly<Record<string, StateDoc>>,
      startPath: ['threads', id, 'start'],
      statesPath: ['threads', id, 'states'],
    }));
  }
  if (!doc.states || !doc.start) return [];
  return [
    {
      id: MAIN_THREAD,
      title: doc.title,
      start: doc.start,
      states: doc.states as Readonly<Record<string, StateDoc>>,
      startPath: ['start'],
      statesPath: ['states'],
    },
  ];
}

/** The thread a bare state name means: the one given, the own one, or the only one that has such a state. */
export function resolveThread(
  threads: readonly ThreadDoc[],
  state: string,
  given?: string,
  own?: string,
): string | null {
  if (given !== undefined) return given;
  if (threads.length === 1) return threads[0]!.id;
  const owner = threads.find((thread) => thread.id === own);
  if (owner && Object.hasOwn(owner.states, state)) return owner.id;
  const having = threads.filter((thread) => Object.hasOwn(thread.states, state));
  return having.length === 1 ? having[0]!.id : null;
}
