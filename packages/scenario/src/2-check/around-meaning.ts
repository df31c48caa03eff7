/** Sense checks of what surrounds the patient: ids once each, and skin described for every tone. */
import type { Bag } from '../1-read/bag.ts';
import { nodeAt, pathText, type Path, type Tree } from '../1-read/tree.ts';
import { checkSkinWords } from './prose.ts';
import type { ScenarioDoc } from './schema/scenario-schema.ts';

export function checkAround(doc: ScenarioDoc, root: Tree, bag: Bag): void {
  const once = (ids: readonly { readonly id: string; readonly path: Path }[], where: string): void => {
    const seen = new Set<string>();
    for (const { id, path } of ids) {
      if (seen.has(id)) bag.add('duplicate-id', nodeAt(root, path), { found: id, where }, { path: pathText(path) });
      seen.add(id);
    }
  };
  const at = (items: readonly { readonly id: string }[] | undefined, ...path: Path) =>
    (items ?? []).map(({ id }, i) => ({ id, path: [...path, i, 'id'] }));
  once(at(doc.calls, 'calls'), 'the calls');
  once(at(doc.exhibits, 'exhibits'), 'the exhibits');
  once(at(doc.behaviours, 'behaviours'), 'the behaviours');
  const family = doc.family ?? [];
  // The log names a piece of history or a worry by its id alone, so they differ over the whole family.
  once(
    family.flatMap((member, i) => at(member.history, 'family', i, 'history')),
    'the family’s history',
  );
  once(
    family.flatMap((member, i) => at(member.worries, 'family', i, 'worries')),
    'the family’s worries',
  );
  doc.exhibits?.forEach((exhibit, i) => {
    const path = ['exhibits', i, 'text'];
    if (exhibit.kind === 'photograph' || exhibit.kind === 'appearance')
      checkSkinWords(nodeAt(root, path), exhibit.text, path, bag);
  });
}
