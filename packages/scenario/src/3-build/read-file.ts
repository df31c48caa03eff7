/** The common first half of every reader: text to a checked, typed document. */
import type { Static, TSchema } from '@sinclair/typebox';
import { Bag } from '../1-read/bag.ts';
import { readYaml } from '../1-read/read-yaml.ts';
import { Source } from '../1-read/source.ts';
import { toValue, type Tree } from '../1-read/tree.ts';
import { checkDoseWriting } from '../2-check/prose.ts';
import { checkStructure, type Reference } from '../2-check/structure.ts';

export interface Checked<T> {
  readonly bag: Bag;
  /** Null when the text was not YAML or not of this kind. */
  readonly root: Tree | null;
  readonly references: readonly Reference[];
  /** The typed document; null unless its structure is right. */
  readonly doc: T | null;
}

/** Reads and checks the shape of a file. `kind` is the value its `kind` key must have (a scenario may leave it out). */
export function readChecked<S extends TSchema>(
  text: string,
  file: string,
  schema: S,
  kind: string,
): Checked<Static<S>> {
  const bag = new Bag(new Source(file, typeof text === 'string' ? text : String(text)));
  const root = readYaml(bag);
  if (!root) return { bag, root, references: [], doc: null };
  const written = root.kind === 'map' ? root.entries.get('kind')?.value : undefined;
  if (
    written?.kind === 'scalar' &&
    typeof written.value === 'string' &&
    written.value !== kind &&
    ['scenario', 'pack', 'formulary'].includes(written.value)
  ) {
    bag.add('wrong-kind', written, { found: written.value, expected: kind }, { path: 'kind' });
    return { bag, root: null, references: [], doc: null };
  }
  const readBefore = bag.hasErrors;
  const references = checkStructure(root, schema, bag);
  checkDoseWriting(root, bag);
  const doc = bag.hasErrors || readBefore ? null : (toValue(root) as Static<S>);
  return { bag, root, references, doc };
}
