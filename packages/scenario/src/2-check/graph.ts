/** The shape of the story: what can be reached, and whether it can end. */
import type { Bag } from '../1-read/bag.ts';
import { keyRangeAt, nodeAt, pathText, type Tree } from '../1-read/tree.ts';
import { closest } from '../words/closest.ts';
import type { ThreadDoc } from './threads.ts';

/** States reachable from `from` through transitions. */
export function reachable(thread: ThreadDoc, from: readonly string[]): Set<string> {
  const seen = new Set<string>();
  const waiting = [...from];
  while (waiting.length > 0) {
    const state = waiting.pop()!;
    if (seen.has(state) || !Object.hasOwn(thread.states, state)) continue;
    seen.add(state);
    for (const transition of thread.states[state]!.transitions ?? []) waiting.push(transition.to);
  }
  return seen;
}

export function checkGraph(threads: readonly ThreadDoc[], root: Tree, bag: Bag): void {
  let ending = false;
  for (const thread of threads) {
    const ids = Object.keys(thread.states);
    if (!Object.hasOwn(thread.states, thread.start)) {
      const near = closest(thread.start, ids);
      bag.add(
        'no-start',
        nodeAt(root, thread.startPath),
        { found: thread.start },
        { path: pathText(thread.startPath), hint: near ? `did you mean \`${near}\`?` : undefined },
      );
      ending = true;
      continue;
    }
    // A transition to nowhere is its own complaint; what follows from it would only be echoes.
    if (ids.some((id) => thread.states[id]!.transitions?.some((one) => !Object.hasOwn(thread.states, one.to)))) {
      ending = true;
      continue;
    }
    const forced = ids.filter((id) => thread.states[id]!['by-faculty'] === true);
    const live = reachable(thread, [thread.start, ...forced]);
    const hasEnding = ids.some((id) => thread.states[id]!.ending);
    for (const id of ids) {
      const path = [...thread.statesPath, id];
      const state = thread.states[id]!;
      if (!live.has(id)) {
        bag.add(
          'unreachable-state',
          keyRangeAt(root, path),
          { found: id },
          { path: pathText(path), hint: 'add a transition to it, or `by-faculty: true`' },
        );
      } else if (hasEnding && !state.ending && (state.transitions ?? []).length === 0) {
        bag.add('dead-end', keyRangeAt(root, path), { found: id }, { path: pathText(path) });
      }
      (state.transitions ?? []).forEach((transition, i) => {
        if (transition.to === id) {
          const at = [...path, 'transitions', i, 'to'];
          bag.add('self-transition', nodeAt(root, at), { found: id }, { path: pathText(at) });
        }
      });
    }
    if ([...reachable(thread, [thread.start])].some((id) => thread.states[id]!.ending)) ending = true;
  }
  const first = threads[0];
  if (!ending && first)
    bag.add(
      'no-ending',
      nodeAt(root, first.startPath),
      { found: first.start },
      { path: pathText(first.startPath), hint: 'give a reachable state an `ending:`' },
    );
}
