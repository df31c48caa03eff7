/**
 * Checks a tree against a schema and speaks of what it finds in the author's words.
 *
 * It reads the same TypeBox definitions that give the types and the JSON Schema, but walks the YAML tree, so that every
 * complaint has its place, and a union complains about the one form that was meant. A test holds it to Ajv's verdict.
 */
import type { TSchema } from '@sinclair/typebox';
import { closest, nameSome } from '../words/closest.ts';
import { parseQuantity, unitsOf } from '../words/quantity.ts';
import { quote, type Bag, type Range } from '../1-read/bag.ts';
import { describeTree, pathText, type MapTree, type Path, type ScalarTree, type Tree } from '../1-read/tree.ts';
import type { RefKind } from './schema/parts.ts';
import {
  commaHint,
  kindOf,
  codePoints,
  expectedType,
  quantityText,
  exampleHint,
  addHint,
  countText,
  firstLine,
  baseUnit,
  type Keywords,
} from './schema-words.ts';

/** A use of an id defined elsewhere, found on the way. */
export interface Reference extends Range {
  readonly kind: RefKind;
  readonly id: string;
  readonly path: Path;
}

const patterns = new Map<string, RegExp>();
function matches(pattern: string, text: string): boolean {
  let compiled = patterns.get(pattern);
  if (!compiled) patterns.set(pattern, (compiled = new RegExp(pattern, 'u')));
  return compiled.test(text);
}

/** Checks `root` and returns the references met. Complaints go to the bag. */
export function checkStructure(root: Tree, schema: TSchema, bag: Bag): Reference[] {
  const walker = new Walker(bag);
  walker.check(root, schema as unknown as Keywords, []);
  return walker.references;
}

class Walker {
  readonly references: Reference[] = [];
  private readonly byId = new Map<string, Keywords>();

  constructor(private readonly bag: Bag) {}

  check(tree: Tree, schema: Keywords, path: Path): void {
    if (schema.$id !== undefined) this.byId.set(schema.$id, schema);
    if (schema.$ref !== undefined) {
      const target = this.byId.get(schema.$ref);
      if (target) this.check(tree, target, path);
      return;
    }
    if (schema.anyOf) return this.checkUnion(tree, schema, path);
    switch (schema.type) {
      case 'object':
        return tree.kind === 'map' ? this.checkMap(tree, schema, path) : this.wrongType(tree, schema, path);
      case 'array':
        return this.checkList(tree, schema, path);
      case 'string':
        return this.checkText(tree, schema, path);
      case 'number':
      case 'integer':
        return this.checkNumber(tree, schema, path);
      case 'boolean':
        if (tree.kind !== 'scalar' || typeof tree.value !== 'boolean') this.wrongType(tree, schema, path);
        return;
      default:
        throw new Error(`the schema at ${pathText(path)} uses a keyword the checker does not know`);
    }
  }

  private say(path: Path): string {
    const last = path[path.length - 1];
    return last === undefined
      ? 'the file'
      : typeof last === 'number'
        ? `item ${last + 1} of \`${String(path[path.length - 2] ?? 'the list')}\``
        : `\`${last}\``;
  }

  private wrongType(tree: Tree, schema: Keywords, path: Path): void {
    let hint = exampleHint(schema);
    if (tree.kind === 'scalar' && typeof tree.value === 'number' && schema.type === 'string' && !schema['x-quantity']) {
      hint = `put it in quotes: "${tree.value}"`;
    } else if (tree.kind === 'scalar' && typeof tree.value === 'boolean' && schema.type === 'string') {
      hint = `put it in quotes: "${String(tree.value)}"`;
    }
    this.bag.add(
      'wrong-type',
      tree,
      { where: this.say(path), found: describeTree(tree), expected: expectedType(schema) },
      { path: pathText(path), hint },
    );
  }

  private checkMap(tree: MapTree, schema: Keywords, path: Path): void {
    const { properties = {}, additionalProperties, propertyNames } = schema;
    // A misspelt key is said once, not also as a missing one.
    const misspelt = new Set<string>();
    const name = schema['x-name'] ?? this.say(path);
    for (const entry of tree.entries.values()) {
      const at = [...path, entry.key];
      if (Object.hasOwn(properties, entry.key)) {
        this.check(entry.value, properties[entry.key]!, at);
        continue;
      }
      if (additionalProperties && typeof additionalProperties === 'object') {
        if (
          propertyNames?.pattern &&
          (!matches(propertyNames.pattern, entry.key) || entry.key.length > (propertyNames.maxLength ?? 1e9))
        ) {
          this.badId(entry.key, entry.keyRange, `a name in ${name}`, at);
        }
        if (schema['x-key-ref'])
          this.references.push({ kind: schema['x-key-ref'], id: entry.key, path: at, ...entry.keyRange });
        this.check(entry.value, additionalProperties, at);
        continue;
      }
      const names = Object.keys(properties);
      const near = closest(entry.key, names);
      if (near) misspelt.add(near);
      this.bag.add(
        'unknown-key',
        entry.keyRange,
        { found: quote(entry.key), where: name, expected: nameSome(names, 40) },
        { path: pathText(at), hint: near ? `did you mean \`${near}\`?` : commaHint(this.bag, entry) },
      );
    }
    for (const key of schema.required ?? []) {
      if (tree.entries.has(key) || misspelt.has(key)) continue;
      const wanted = properties[key];
      this.bag.add(
        'missing-key',
        firstLine(this.bag, tree),
        { where: name, expected: key },
        { path: pathText(path), hint: addHint(key, wanted) },
      );
    }
    const count = tree.entries.size;
    if (count < (schema.minProperties ?? 0) || count > (schema.maxProperties ?? Infinity)) {
      this.bag.add(
        'bad-list',
        firstLine(this.bag, tree),
        { where: name, found: count, expected: countText(schema.minProperties, schema.maxProperties) },
        { path: pathText(path) },
      );
    }
  }

  private checkList(tree: Tree, schema: Keywords, path: Path): void {
    if (tree.kind !== 'list') {
      this.bag.add(
        'wrong-type',
        tree,
        { where: this.say(path), found: describeTree(tree), expected: 'a list' },
        { path: pathText(path), hint: 'write a list: `[one, two]`, or one item a line after `- `' },
      );
      return;
    }
    const count = tree.items.length;
    if (count < (schema.minItems ?? 0) || count > (schema.maxItems ?? Infinity)) {
      this.bag.add(
        'bad-list',
        firstLine(this.bag, tree),
        { where: this.say(path), found: count, expected: countText(schema.minItems, schema.maxItems) },
        { path: pathText(path) },
      );
    }
    if (schema.items) tree.items.forEach((item, i) => this.check(item, schema.items!, [...path, i]));
  }

  private checkNumber(tree: Tree, schema: Keywords, path: Path): void {
    if (tree.kind !== 'scalar' || typeof tree.value !== 'number') return this.wrongType(tree, schema, path);
    // Already said while reading.
    if (!Number.isFinite(tree.value)) return;
    const { value } = tree;
    if (schema['x-version']) {
      if (value !== 1)
        this.bag.add(
          'wrong-version',
          tree,
          { found: value, expected: 1 },
          { path: pathText(path), hint: 'write `breathline: 1`' },
        );
      return;
    }
    const whole = schema.type !== 'integer' || Number.isInteger(value);
    if (!whole || value < (schema.minimum ?? -Infinity) || value > (schema.maximum ?? Infinity)) {
      const kind = schema.type === 'integer' ? 'a whole number' : 'a number';
      this.bag.add(
        'bad-number',
        tree,
        {
          where: this.say(path),
          found: value,
          expected: `${kind} from ${schema.minimum ?? '…'} to ${schema.maximum ?? '…'}`,
        },
        { path: pathText(path) },
      );
    }
  }

  private checkText(tree: Tree, schema: Keywords, path: Path): void {
    if (tree.kind !== 'scalar' || typeof tree.value !== 'string') {
      if (schema['x-quantity'] && tree.kind === 'scalar' && typeof tree.value === 'number')
        return this.bareNumber(tree, schema, path);
      return this.wrongType(tree, schema, path);
    }
    const text = tree.value;
    if (schema.enum) {
      if (schema.enum.includes(text)) return;
      const near = closest(text, schema.enum);
      this.bag.add(
        'not-one-of',
        tree,
        {
          found: quote(text),
          where: schema['x-name'] ?? `allowed for ${this.say(path)}`,
          expected: nameSome(schema.enum, 40),
        },
        { path: pathText(path), hint: near ? `did you mean \`${near}\`?` : undefined },
      );
      return;
    }
    if (schema['x-quantity']) return this.checkQuantity(tree, text, schema, path);
    const tooLong = codePoints(text) > (schema.maxLength ?? Infinity);
    if (tooLong || codePoints(text) < (schema.minLength ?? 0)) {
      const found = text.length === 0 ? 'empty' : `${text.length} characters long`;
      this.bag.add(
        'bad-text',
        tree,
        { where: this.say(path), found, expected: text.length === 0 ? 'some words' : `at most ${schema.maxLength}` },
        { path: pathText(path), hint: text.length === 0 ? exampleHint(schema) : undefined },
      );
      return;
    }
    if (schema.pattern !== undefined && !matches(schema.pattern, text)) {
      if (schema['x-id']) this.badId(text, tree, this.say(path), path);
      else if (schema['x-date'])
        this.bag.add('bad-date', tree, { found: quote(text) }, { path: pathText(path), hint: exampleHint(schema) });
      else if (schema['x-limit']) this.badLimit(tree, text, path);
      else
        this.bag.add(
          'bad-text',
          tree,
          { where: this.say(path), found: `\`${quote(text)}\``, expected: schema['x-form'] ?? 'another form' },
          { path: pathText(path), hint: exampleHint(schema) },
        );
      return;
    }
    if (schema['x-ref'])
      this.references.push({ kind: schema['x-ref'], id: text, path, start: tree.start, end: tree.end });
  }

  private badId(found: string, range: Range, where: string, path: Path): void {
    const mended = found
      .toLowerCase()
      .normalize('NFKD')
      .replace(/[^a-z0-9]+/g, '-')
      .replace(/^[^a-z]+|-+$/g, '')
      .slice(0, 64);
    this.bag.add(
      'bad-id',
      range,
      { found: quote(found), where },
      { path: pathText(path), hint: mended ? `write \`${mended}\`` : 'use lower-case words joined by hyphens' },
    );
  }

  private badLimit(tree: ScalarTree, text: string, path: Path): void {
    const parsed = parseQuantity(text);
    const near = closest(text, ['low-limit-for-age', 'median-for-age', 'high-limit-for-age']);
    const found = parsed.ok ? `\`${quote(text)}\`` : parsed.problem;
    this.bag.add(
      'bad-quantity',
      tree,
      {
        found,
        where: this.say(path),
        expected: 'a limit such as `92 %`, `low-limit-for-age` or `0.7 x low-limit-for-age`',
      },
      { path: pathText(path), hint: near ? `did you mean \`${near}\`?` : parsed.ok ? undefined : parsed.hint },
    );
  }

  private bareNumber(tree: ScalarTree, schema: Keywords, path: Path): void {
    const units = schema['x-quantity']!.flatMap((kind) => unitsOf(kind).slice(0, 3));
    const example = String(schema.examples?.[0] ?? '');
    const unit = /[^\d.,\s:].*$/.exec(example)?.[0] ?? units[0];
    this.bag.add(
      'bad-quantity',
      tree,
      {
        found: `\`${tree.value}\` has no unit`,
        where: this.say(path),
        expected: `a number with a unit (${quantityText(schema)})`,
      },
      { path: pathText(path), hint: unit ? `write the unit, e.g. \`${tree.value} ${unit}\`` : exampleHint(schema) },
    );
  }

  private checkQuantity(tree: ScalarTree, text: string, schema: Keywords, path: Path): void {
    const kinds = schema['x-quantity']!;
    const parsed = parseQuantity(text);
    if (!parsed.ok) {
      this.bag.add(
        'bad-quantity',
        tree,
        { found: parsed.problem, where: this.say(path), expected: `a number with a unit (${quantityText(schema)})` },
        { path: pathText(path), hint: parsed.hint },
      );
      return;
    }
    const { quantity } = parsed;
    if (!kinds.includes(quantity.kind)) {
      this.bag.add(
        'wrong-quantity',
        tree,
        { found: `\`${quote(text)}\``, where: this.say(path), expected: quantityText(schema) },
        { path: pathText(path), hint: exampleHint(schema) },
      );
      return;
    }
    if (!matches(schema.pattern!, text)) {
      this.bag.add(
        'bad-quantity',
        tree,
        {
          found: `\`${quote(text)}\` is not written plainly`,
          where: this.say(path),
          expected: `a number, one space and a unit (${quantityText(schema)})`,
        },
        { path: pathText(path), hint: exampleHint(schema) },
      );
      return;
    }
    const [low, high] = schema['x-range'] ?? [-Infinity, Infinity];
    if (quantity.value < low || quantity.value > high) {
      const unit = baseUnit(quantity.kind);
      this.bag.add(
        'impossible-value',
        tree,
        { where: this.say(path), found: quote(text), low: `${low}${unit}`, high: `${high}${unit}` },
        { path: pathText(path) },
      );
    }
  }

  /** Picks the form that was meant and complains only about that one. */
  private checkUnion(tree: Tree, schema: Keywords, path: Path): void {
    const forms = schema.anyOf!;
    const fitting = forms.filter((form) => kindOf(form, this.byId) === tree.kind);
    if (tree.kind === 'map') {
      const maps = fitting.filter((form) => form.type === 'object');
      if (maps.length === 1) return this.check(tree, maps[0]!, path);
      if (maps.length > 1) return this.checkForms(tree, maps, schema, path);
    }
    if (tree.kind === 'list') {
      const lists = fitting.filter((form) => form.type === 'array');
      if (lists.length >= 1) return this.check(tree, lists[0]!, path);
    }
    if (tree.kind === 'scalar') {
      const type = tree.value === null ? 'null' : typeof tree.value;
      const scalars = fitting.filter((form) => form.type === type || (form.type === 'integer' && type === 'number'));
      const words = scalars.find((form) => form.enum?.includes(String(tree.value)));
      const rest = scalars.filter((form) => !form.enum);
      const chosen = words ?? rest[0] ?? scalars[0];
      if (chosen) return this.check(tree, chosen, path);
      const quantityForm = fitting.find((form) => form['x-quantity']);
      if (quantityForm && type === 'number') return this.check(tree, quantityForm, path);
    }
    this.bag.add(
      'wrong-type',
      tree,
      {
        where: schema['x-name'] ?? this.say(path),
        found: describeTree(tree),
        expected: [...new Set(forms.map(expectedType))].join(' or '),
      },
      { path: pathText(path), hint: exampleHint(schema) },
    );
  }

  private checkForms(tree: MapTree, forms: readonly Keywords[], schema: Keywords, path: Path): void {
    const name = schema['x-name'] ?? this.say(path);
    const leads = forms.map((form) => (form.required ?? [])[0]!);
    const present = forms.filter((form) => tree.entries.has((form.required ?? [])[0]!));
    if (present.length > 1) {
      const keys = present.map((form) => form.required![0]!);
      // A key may lead one form and be allowed in another: take the form that allows all the leads present.
      const whole = present.find((form) => keys.every((key) => Object.hasOwn(form.properties ?? {}, key)));
      if (whole) return this.check(tree, whole, path);
      const second = tree.entries.get(keys[1]!)!;
      this.bag.add(
        'two-forms',
        second.keyRange,
        { where: name, found: keys[0]!, other: keys[1]! },
        { path: pathText(path), hint: 'combine them with `all: [ … ]` or `any: [ … ]`' },
      );
      return;
    }
    if (present.length === 1) return this.check(tree, present[0]!, path);
    const keys = [...tree.entries.values()];
    for (const entry of keys) {
      const near = closest(entry.key, leads);
      if (near) {
        this.bag.add(
          'unknown-key',
          entry.keyRange,
          { found: quote(entry.key), where: name, expected: nameSome(leads, 20) },
          { path: pathText([...path, entry.key]), hint: `did you mean \`${near}\`?` },
        );
        return;
      }
    }
    this.bag.add(
      'which-form',
      firstLine(this.bag, tree),
      { where: name, expected: `one with the key ${nameSome(leads, 20)}` },
      { path: pathText(path) },
    );
  }
}
