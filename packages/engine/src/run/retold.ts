/** What screens that only follow the list of derived facts are told when an undo has changed the present. */
import { resultOf } from '../results/results.ts';
import type { Derived } from '../types.ts';
import type { RunCore } from './core.ts';
import { C, CUE, I, T } from './layout.ts';

/** What of the present a screen has been told: states, cues due, arrest. */
export interface Outline {
  readonly states: readonly number[];
  readonly cues: readonly number[];
  readonly arrested: number;
}

export function outlineOf({ plan, ints }: RunCore): Outline {
  return {
    states: plan.threads.map((thread) => ints[plan.threadBase + thread.index * T.size + T.state]!),
    cues: plan.cues.map((cue) => ints[plan.cueBase + cue.index * C.size + C.status]!),
    arrested: ints[I.arrested]!,
  };
}

/**
 * Says as derived facts how the present differs from `before`. `told` is all derived so far; `tell` may add to it.
 * `because` ends up as the reason of a state that is entered anew.
 */
export function retell(
  core: RunCore,
  before: Outline,
  because: string,
  told: readonly Derived[],
  tell: (derived: Derived) => void,
): void {
  const { plan, clockMs } = core;
  const after = outlineOf(core);
  plan.cues.forEach(({ index, cue, thread, state }) => {
    if (before.cues[index] === CUE.due && after.cues[index] === CUE.waiting) {
      tell({ kind: 'cue-lapsed', atMs: clockMs, cue: cue.id });
    } else if (before.cues[index] === CUE.waiting && after.cues[index] === CUE.due) {
      const owner = plan.threads[thread]!;
      const ids = { thread: owner.thread.id, state: owner.states[state]!.state.id };
      tell({ kind: 'cue-due', atMs: clockMs, cue: cue.id, ...ids });
    }
  });
  plan.threads.forEach(({ thread, states }, k) => {
    if (before.states[k] === after.states[k]) return;
    const [from, state] = [states[before.states[k]!]!.state.id, states[after.states[k]!]!.state.id];
    tell({ kind: 'state-entered', atMs: clockMs, thread: thread.id, state, from, because, forced: false });
  });
  // A test asked for again by an undone undo may be overdue: its answer is told now, once.
  for (const sample of core.samples) {
    if (sample.dueAtMs > clockMs) continue;
    if (!told.some((fact) => fact.kind === 'result' && fact.seq === sample.seq)) tell(resultOf(sample, clockMs));
  }
  if (before.arrested !== after.arrested) tell({ kind: 'arrest', atMs: clockMs, on: after.arrested === 1 });
}
