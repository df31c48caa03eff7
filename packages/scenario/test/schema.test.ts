/** The committed JSON Schemas are the generated ones, describe themselves fully, and agree with the reader. */
import { existsSync, mkdirSync, readFileSync, readdirSync, writeFileSync } from 'node:fs';
import Ajv2020 from 'ajv/dist/2020.js';
import fc from 'fast-check';
import { parse, stringify } from 'yaml';
import { describe, expect, test } from 'vitest';
import { formularyJsonSchema, jsonSchemaFiles, packJsonSchema, scenarioJsonSchema } from '../src/index.ts';
import { Bag } from '../src/1-read/bag.ts';
import { readYaml } from '../src/1-read/read-yaml.ts';
import { Source } from '../src/1-read/source.ts';
import { checkStructure } from '../src/2-check/structure.ts';
import { scenarioSchema } from '../src/2-check/schema/scenario-schema.ts';
import { formularySchema, packSchema } from '../src/2-check/schema/library-schema.ts';
import { filesIn, here, scenarios, text } from './support.ts';

const folder = here('../schema');
const ajv = new Ajv2020({ strict: false, allErrors: false });
const judges = {
  scenario: { schema: scenarioSchema, validate: ajv.compile(scenarioJsonSchema()) },
  pack: { schema: packSchema, validate: ajv.compile(packJsonSchema()) },
  formulary: { schema: formularySchema, validate: ajv.compile(formularyJsonSchema()) },
} as const;

/** Codes about bounds the JSON Schema cannot say in a pattern. */
const BEYOND = new Set(['impossible-value']);

/** Does our checker accept the structure? */
function weAccept(yaml: string, kind: keyof typeof judges): boolean | null {
  const bag = new Bag(new Source('x.yaml', yaml));
  const root = readYaml(bag);
  if (!root || bag.hasErrors) return null;
  checkStructure(root, judges[kind].schema, bag);
  return bag.list().every((one) => one.severity === 'warning' || BEYOND.has(one.code));
}

describe('JSON Schema', () => {
  test('the committed files are the generated ones (UPDATE_FIXTURES=1 rewrites them)', () => {
    mkdirSync(folder, { recursive: true });
    for (const [file, generated] of Object.entries(jsonSchemaFiles())) {
      if (process.env['UPDATE_FIXTURES'] === '1') writeFileSync(`${folder}/${file}`, generated);
      expect(existsSync(`${folder}/${file}`)).toBe(true);
      expect(readFileSync(`${folder}/${file}`, 'utf8')).toBe(generated);
    }
  });

  test('is valid JSON Schema 2020-12, and every property is described with an example', () => {
    for (const schema of [scenarioJsonSchema(), packJsonSchema(), formularyJsonSchema()]) {
      expect(ajv.validateSchema(schema)).toBe(true);
      const bare: string[] = [];
      const visit = (node: unknown, path: string): void => {
        if (node === null || typeof node !== 'object') return;
        const one = node as Record<string, unknown>;
        for (const [key, value] of Object.entries(
          (one['properties'] as Record<string, Record<string, unknown>>) ?? {},
        )) {
          const leaf = ['string', 'number', 'integer', 'boolean'].includes(String(value['type']));
          if (!value['$ref'] && !value['description']) bare.push(`${path}.${key} description`);
          if (leaf && !Array.isArray(value['examples'])) bare.push(`${path}.${key} examples`);
        }
        for (const [key, value] of Object.entries(one)) if (key !== 'examples') visit(value, `${path}/${key}`);
      };
      visit(schema, '');
      expect(bare).toEqual([]);
    }
  });

  test('every example of a quantity matches its own pattern', () => {
    let checked = 0;
    const visit = (node: unknown): void => {
      if (node === null || typeof node !== 'object') return;
      const one = node as Record<string, unknown>;
      if (typeof one['pattern'] === 'string' && Array.isArray(one['examples'])) {
        for (const example of one['examples']) {
          expect(String(example), String(one['description'])).toMatch(new RegExp(one['pattern'], 'u'));
          checked += 1;
        }
      }
      Object.values(one).forEach(visit);
    };
    [scenarioJsonSchema(), packJsonSchema(), formularyJsonSchema()].forEach(visit);
    expect(checked).toBeGreaterThan(100);
  });
});

const samples: { kind: keyof typeof judges; name: string; yaml: string }[] = [
  ...readdirSync(here('fixtures')).map((name) => {
    const yaml = text(here(`fixtures/${name}/input.yaml`));
    return { kind: (/^kind: (\w+)/m.exec(yaml)?.[1] ?? 'scenario') as keyof typeof judges, name, yaml };
  }),
  ...filesIn('formulary').map(({ file, text: yaml }) => ({ kind: 'formulary' as const, name: file, yaml })),
  ...filesIn('guidelines').map(({ file, text: yaml }) => ({ kind: 'pack' as const, name: file, yaml })),
  ...readdirSync(scenarios)
    .filter((file) => file.endsWith('.yaml'))
    .map((file) => ({ kind: 'scenario' as const, name: file, yaml: text(`${scenarios}/${file}`) })),
];

describe('the checker and Ajv give one verdict', () => {
  test('on every fixture and every shipped file', () => {
    let compared = 0;
    for (const { kind, name, yaml } of samples) {
      const ours = weAccept(yaml, kind);
      if (ours === null) continue;
      const theirs = judges[kind].validate(parse(yaml, { version: '1.2', schema: 'core' }));
      expect(ours, `${name}: ${ajv.errorsText(judges[kind].validate.errors)}`).toBe(theirs);
      compared += 1;
    }
    expect(compared).toBeGreaterThan(60);
  });

  test('on files with one part changed, removed, added or moved', () => {
    const bases = samples.filter((one) => one.name.startsWith('valid-') || one.kind !== 'scenario').slice(0, 12);
    const values: unknown[] = [
      null,
      0,
      -1,
      1.5,
      true,
      '',
      'x',
      'low-limit-for-age',
      '23 kg',
      '5 min',
      '0:50',
      '92 %',
      [],
      {},
      ['x'],
      { to: 1 },
      { vital: 'spo2', below: '90 %' },
      { says: 'x' },
    ];
    let accepted = 0;
    let refused = 0;
    fc.assert(
      fc.property(
        fc.nat(bases.length - 1),
        fc.nat(1_000_000),
        fc.nat(values.length - 1),
        fc.nat(3),
        (b, place, v, how) => {
          const { kind, yaml } = bases[b]!;
          const doc = structuredClone(parse(yaml, { version: '1.2', schema: 'core' })) as unknown;
          const places: [Record<string, unknown>, string][] = [];
          const visit = (node: unknown): void => {
            if (node === null || typeof node !== 'object') return;
            for (const [key, value] of Object.entries(node)) {
              places.push([node as Record<string, unknown>, key]);
              visit(value);
            }
          };
          visit(doc);
          const [parent, key] = places[place % places.length]!;
          if (how === 0) parent[key] = values[v];
          else if (how === 1) {
            if (Array.isArray(parent)) parent.splice(Number(key), 1);
            else delete parent[key];
          } else if (how === 2 && !Array.isArray(parent)) parent['extra-key'] = values[v];
          else parent[key] = places[(place * 7) % places.length]![0][places[(place * 7) % places.length]![1]];
          let changed: string;
          try {
            changed = stringify(doc, { version: '1.2', aliasDuplicateObjects: false });
          } catch {
            return;
          }
          const ours = weAccept(changed, kind);
          if (ours === null) return;
          const theirs = judges[kind].validate(parse(changed, { version: '1.2', schema: 'core' }));
          if (theirs) accepted += 1;
          else refused += 1;
          expect(ours, `${ajv.errorsText(judges[kind].validate.errors)}\n${changed}`).toBe(theirs);
        },
      ),
      { numRuns: 600 },
    );
    // Both verdicts really occurred.
    expect(accepted).toBeGreaterThan(50);
    expect(refused).toBeGreaterThan(50);
  });
});
