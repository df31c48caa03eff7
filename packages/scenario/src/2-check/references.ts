/** Reports every id that names nothing, with the nearest name that exists. */
import { closest, nameSome } from '../words/closest.ts';
import type { Bag } from '../1-read/bag.ts';
import { pathText } from '../1-read/tree.ts';
import type { MessageCode } from '../messages.ts';
import type { RefKind } from './schema/parts.ts';
import type { Reference } from './structure.ts';

const CODES: Readonly<Record<RefKind, MessageCode>> = {
  intervention: 'unknown-intervention',
  assessment: 'unknown-intervention',
  state: 'unknown-state',
  thread: 'unknown-thread',
  pack: 'unknown-pack',
  target: 'unknown-target',
  drive: 'unknown-drive',
  effect: 'unknown-effect',
  procedure: 'unknown-procedure',
  disease: 'unknown-disease',
  source: 'unknown-source',
  'dose-rule': 'unknown-dose-rule',
};

/** Names that exist, for one reference; null = not checked here. */
export type Known = (reference: Reference) => Iterable<string> | null;

export function checkReferences(references: readonly Reference[], known: Known, bag: Bag): void {
  for (const reference of references) {
    const names = known(reference);
    if (names === null) continue;
    const list = [...names];
    if (list.includes(reference.id)) continue;
    const near = closest(reference.id, list);
    const hint = near ? `did you mean \`${near}\`?` : list.length > 0 ? `there is ${nameSome(list)}` : undefined;
    bag.add(CODES[reference.kind], reference, { found: reference.id }, { path: pathText(reference.path), hint });
  }
}
