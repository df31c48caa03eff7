/** The schema keywords we read, and the words used to speak of them. */
import { nameSome } from '../words/closest.ts';
import type { QuantityKind } from '../words/quantity.ts';
import type { Bag, Range } from '../1-read/bag.ts';
import type { Tree } from '../1-read/tree.ts';
import type { RefKind } from './schema/parts.ts';

/** The JSON Schema keywords we use, loosely typed. */
export interface Keywords {
  readonly $id?: string;
  readonly $ref?: string;
  readonly type?: string;
  readonly const?: unknown;
  readonly enum?: readonly string[];
  readonly anyOf?: readonly Keywords[];
  readonly properties?: Readonly<Record<string, Keywords>>;
  readonly required?: readonly string[];
  readonly additionalProperties?: boolean | Keywords;
  readonly propertyNames?: Keywords;
  readonly minProperties?: number;
  readonly maxProperties?: number;
  readonly items?: Keywords;
  readonly minItems?: number;
  readonly maxItems?: number;
  readonly pattern?: string;
  readonly minLength?: number;
  readonly maxLength?: number;
  readonly minimum?: number;
  readonly maximum?: number;
  readonly description?: string;
  readonly examples?: readonly unknown[];
  readonly 'x-name'?: string;
  /** What a text with a pattern should look like, in words. */
  readonly 'x-form'?: string;
  readonly 'x-quantity'?: readonly QuantityKind[];
  readonly 'x-range'?: readonly [number, number];
  readonly 'x-ref'?: RefKind;
  readonly 'x-key-ref'?: RefKind;
  readonly 'x-id'?: boolean;
  readonly 'x-limit'?: boolean;
  readonly 'x-date'?: boolean;
  readonly 'x-version'?: boolean;
}

/** Inside `{ … }` a comma ends a value: text with commas must stand in quotes. */
export function commaHint(
  bag: Bag,
  entry: { readonly key: string; readonly keyRange: Range; readonly value: Tree },
): string | undefined {
  const { key, keyRange, value } = entry;
  const bare = value.kind === 'scalar' && value.value === null && value.start === keyRange.start;
  const before = bag.source.text.slice(0, keyRange.start).trimEnd();
  if (!bare || !(before.endsWith(',') || before.endsWith('{')) || !/[ .?!]/.test(key)) return undefined;
  return 'inside `{ }` a comma ends the text: put the whole text in quotes';
}

export function kindOf(schema: Keywords, byId: ReadonlyMap<string, Keywords>): Tree['kind'] {
  if (schema.$ref) return byId.has(schema.$ref) ? 'map' : 'scalar';
  return schema.type === 'object' ? 'map' : schema.type === 'array' ? 'list' : 'scalar';
}

/** JSON Schema counts code points. */
export function codePoints(text: string): number {
  let count = 0;
  for (const _ of text) count += 1;
  return count;
}

export function expectedType(schema: Keywords): string {
  if (schema['x-limit']) return 'a limit';
  if (schema['x-quantity']) return 'a quantity with its unit';
  if (schema.enum) return `one of ${nameSome(schema.enum, 12)}`;
  const words: Record<string, string> = {
    object: 'a map',
    array: 'a list',
    string: 'text',
    number: 'a number',
    integer: 'a whole number',
    boolean: '`true` or `false`',
  };
  return schema.type ? (words[schema.type] ?? schema.type) : 'something else';
}

export function quantityText(schema: Keywords): string {
  const kinds = schema['x-quantity'] ?? [];
  const examples = (schema.examples ?? []).slice(0, 2).map((example) => `\`${String(example)}\``);
  return examples.length > 0 ? `e.g. ${examples.join(' or ')}` : kinds.join(' or ');
}

export function exampleHint(schema: Keywords): string | undefined {
  const example = schema.examples?.[0];
  if (example === undefined) return undefined;
  return `for example \`${typeof example === 'string' ? example : JSON.stringify(example)}\``;
}

export function addHint(key: string, schema: Keywords | undefined): string | undefined {
  if (!schema) return undefined;
  const example = schema.examples?.[0];
  return example === undefined || typeof example === 'object'
    ? `add \`${key}:\`${schema.description ? ` (${schema.description})` : ''}`
    : `add \`${key}: ${String(example)}\` or the like`;
}

export function countText(min: number | undefined, max: number | undefined): string {
  if (max === undefined || max === Infinity) return `at least ${min ?? 0}`;
  return min ? `${min} to ${max}` : `at most ${max}`;
}

/** Only the first line of a long map or list, so that a frame points instead of painting a page. */
export function firstLine(bag: Bag, range: Range): Range {
  const newline = bag.source.text.indexOf('\n', range.start);
  const end = newline < 0 ? range.end : Math.min(range.end, newline);
  return { start: range.start, end: Math.max(end, range.start + 1) };
}

export function baseUnit(kind: QuantityKind): string {
  const units: Partial<Record<QuantityKind, string>> = {
    duration: ' ms',
    clock: ' ms',
    age: ' years',
    weight: ' kg',
    length: ' cm',
    percent: ' %',
    rate: ' /min',
    pressure: ' mmHg',
    temperature: ' °C',
    molar: ' mmol/L',
    flow: ' L/min',
    haemoglobin: ' g/dL',
  };
  return units[kind] ?? '';
}
