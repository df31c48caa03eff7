/** JSON Schema 2020-12 of the three kinds of file, for editors. Made from the same definitions as the checks. */
import type { TSchema } from '@sinclair/typebox';
import { formularySchema, packSchema } from './schema/library-schema.ts';
import { scenarioSchema } from './schema/scenario-schema.ts';

type Json = null | boolean | number | string | Json[] | { [key: string]: Json };

/** Moves every part that has its own `$id` to `$defs`, so that an editor needs no network to follow a `$ref`. */
function hoist(value: unknown, defs: Record<string, Json>): Json {
  if (Array.isArray(value)) return value.map((item) => hoist(item, defs));
  if (value === null || typeof value !== 'object') return value as Json;
  const source = value as Record<string, unknown>;
  const name = source['$id'];
  const out: Record<string, Json> = {};
  const inside = typeof name === 'string';
  if (inside && Object.hasOwn(defs, name)) return { $ref: `#/$defs/${name}` };
  if (inside) defs[name] = true;
  for (const [key, item] of Object.entries(source)) {
    if (key === '$id' || item === undefined) continue;
    out[key] = key === '$ref' && typeof item === 'string' ? `#/$defs/${item}` : hoist(item, defs);
  }
  if (!inside) return out;
  defs[name] = out;
  return { $ref: `#/$defs/${name}` };
}

function generate(schema: TSchema, id: string, title: string): { readonly [key: string]: Json } {
  const defs: Record<string, Json> = {};
  const root = hoist(schema, defs) as Record<string, Json>;
  return {
    $schema: 'https://json-schema.org/draft/2020-12/schema',
    $id: `https://breathline.invalid/schema/1/${id}.schema.json`,
    title,
    $comment: 'Generated from the language definition; do not edit.',
    ...root,
    $defs: defs,
  };
}

/** JSON Schema of a scenario file. */
export const scenarioJsonSchema = () => generate(scenarioSchema, 'scenario', 'Breathline scenario');
/** JSON Schema of a guideline pack. */
export const packJsonSchema = () => generate(packSchema, 'pack', 'Breathline guideline pack');
/** JSON Schema of a formulary file. */
export const formularyJsonSchema = () => generate(formularySchema, 'formulary', 'Breathline formulary');

/** The three schemas by file name, as text for an editor. */
export function jsonSchemaFiles(): Readonly<Record<string, string>> {
  const text = (schema: unknown): string => `${JSON.stringify(schema, null, 2)}\n`;
  return {
    'scenario.schema.json': text(scenarioJsonSchema()),
    'pack.schema.json': text(packJsonSchema()),
    'formulary.schema.json': text(formularyJsonSchema()),
  };
}
