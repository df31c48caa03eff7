/** Sense checks of conditions: units that belong to the vital, limits that exist, exactly one comparison. */
import { parseQuantity } from '../words/quantity.ts';
import { VITALS } from '../words/vitals.ts';
import { nameSome } from '../words/closest.ts';
import type { Bag } from '../1-read/bag.ts';
import { nodeAt, pathText, type Path, type Tree } from '../1-read/tree.ts';
import { COMPARISONS, LIMIT_BY_AGE, type ConditionDoc } from './schema/condition.ts';

/** Calls `visit` for a condition and everything inside it. */
export function eachCondition(doc: ConditionDoc, path: Path, visit: (doc: ConditionDoc, path: Path) => void): void {
  visit(doc, path);
  if ('all' in doc) doc.all.forEach((part, i) => eachCondition(part, [...path, 'all', i], visit));
  else if ('any' in doc) doc.any.forEach((part, i) => eachCondition(part, [...path, 'any', i], visit));
  else if ('not' in doc) eachCondition(doc.not, [...path, 'not'], visit);
}

/** Checks one condition tree. */
export function checkCondition(doc: ConditionDoc, path: Path, root: Tree, bag: Bag): void {
  eachCondition(doc, path, (part, at) => {
    if ('vital' in part) checkVitalComparison(part, at, root, bag);
    else if ('sign' in part) oneComparison(part, at, root, bag, 'a sign condition');
  });
}

function oneComparison(part: object, path: Path, root: Tree, bag: Bag, where: string): string | null {
  const present = COMPARISONS.filter((key) => Object.hasOwn(part, key));
  const node = nodeAt(root, path);
  if (present.length === 0) {
    bag.add(
      'missing-key',
      node,
      { where, expected: COMPARISONS.join('`, `') },
      { path: pathText(path), hint: 'add one of them, e.g. `at-least: …`' },
    );
    return null;
  }
  if (present.length > 1) {
    bag.add(
      'two-forms',
      nodeAt(root, [...path, present[1]!]),
      { where, found: present[0]!, other: present[1]! },
      { path: pathText(path), hint: 'write two conditions in an `all:` list' },
    );
    return null;
  }
  return present[0]!;
}

/** A `vital` with its comparison, in a condition or in an expectation. */
export function checkVitalComparison(part: { vital: string }, path: Path, root: Tree, bag: Bag): void {
  const key = oneComparison(part, path, root, bag, 'a vital condition');
  if (key) checkVitalValue(part.vital, (part as Record<string, unknown>)[key], [...path, key], root, bag, true);
}

/** A value for a vital: right kind of unit, physically possible, limits by age only where there are any. */
export function checkVitalValue(
  vital: string,
  value: unknown,
  path: Path,
  root: Tree,
  bag: Bag,
  limits: boolean,
): void {
  const word = VITALS.get(vital);
  if (!word) return;
  const node = nodeAt(root, path);
  const at = { path: pathText(path) };
  const expected = `e.g. \`${word.example}\``;
  if (typeof value === 'number') {
    if (word.kind !== null)
      bag.add(
        'bad-quantity',
        node,
        {
          found: `\`${value}\` has no unit`,
          where: `\`${vital}\``,
          expected: `written with one, e.g. \`${word.example}\``,
        },
        { ...at, hint: `write the unit, e.g. \`${word.example}\`` },
      );
    else if (value < word.min || value > word.max)
      bag.add('impossible-value', node, { where: `\`${vital}\``, found: value, low: word.min, high: word.max }, at);
    return;
  }
  const text = String(value);
  if (LIMIT_BY_AGE.test(text)) {
    if (!limits || !word.byAge) {
      const names = [...VITALS].filter(([, one]) => one.byAge).map(([name]) => name);
      bag.add('no-limit-by-age', node, { found: vital }, { ...at, hint: `limits by age exist for ${nameSome(names)}` });
    }
    return;
  }
  const parsed = parseQuantity(text);
  if (!parsed.ok) return;
  const { quantity } = parsed;
  if (quantity.kind !== word.kind) {
    bag.add('wrong-quantity', node, { found: `\`${text}\``, where: `\`${vital}\``, expected }, at);
    return;
  }
  if (quantity.value < word.min || quantity.value > word.max) {
    const unit = quantity.kind === 'duration' ? ' s' : (/[^\d.\s]+.*$/.exec(word.example)?.[0] ?? '');
    const scale = quantity.kind === 'duration' ? 1000 : 1;
    const base = quantity.kind === 'pressure' ? 'mmHg' : unit.trim();
    bag.add(
      'impossible-value',
      node,
      { where: `\`${vital}\``, found: text, low: `${word.min / scale}`, high: `${word.max / scale} ${base}` },
      at,
    );
  }
}
