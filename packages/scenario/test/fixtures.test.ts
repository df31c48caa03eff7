/**
 * A folder is a test: `input.yaml` and the diagnostics it must give, by code, line and column.
 * `UPDATE_FIXTURES=1` rewrites the expectations; look at the difference before keeping it.
 */
import { existsSync, readdirSync, readFileSync, writeFileSync } from 'node:fs';
import { describe, expect, test } from 'vitest';
import { MESSAGES, readFormulary, readPack, readScenario, type Diagnostic } from '../src/index.ts';
import { here, testLibrary } from './support.ts';

const root = here('fixtures');
const library = testLibrary();

function diagnose(name: string, text: string): readonly Diagnostic[] {
  const file = 'input.yaml';
  // A pack handed to the scenario reader shows the wrong kind.
  const kind = name === 'wrong-kind' ? 'scenario' : /^kind: (\w+)/m.exec(text)?.[1];
  const result =
    kind === 'pack'
      ? readPack(text, { file, interventions: library.interventions })
      : kind === 'formulary'
        ? readFormulary(text, { file })
        : readScenario(text, { file, library });
  return [...(result.ok ? [] : result.errors), ...result.warnings];
}

const brief = (one: Diagnostic) => ({
  code: one.code,
  line: one.line,
  column: one.column,
  message: one.message,
  ...(one.hint === undefined ? {} : { hint: one.hint }),
});

const seen = new Set<string>();

describe('fixtures', () => {
  for (const name of readdirSync(root).sort()) {
    test(name, () => {
      const found = diagnose(name, readFileSync(`${root}/${name}/input.yaml`, 'utf8'));
      const expected = `${root}/${name}/diagnostics.json`;
      if (process.env['UPDATE_FIXTURES'] === '1')
        writeFileSync(expected, `${JSON.stringify(found.map(brief), null, 2)}\n`);
      expect(existsSync(expected), `no ${expected}: run once with UPDATE_FIXTURES=1`).toBe(true);
      expect(found.map(brief)).toEqual(JSON.parse(readFileSync(expected, 'utf8')));
      for (const one of found) {
        seen.add(one.code);
        expect(one.message).not.toMatch(/[{}]|undefined|NaN|\[object/);
        expect(one.line).toBeGreaterThan(0);
      }
      // The name says which code it shows (`valid-…` shows none).
      if (name.startsWith('valid-')) expect(found).toEqual([]);
      else expect(found.map((one) => one.code)).toContain(name.split('--')[0]);
    });
  }

  test('every code of the catalogue has a fixture, or a test named here', () => {
    const elsewhere = new Set([
      // hostile.test.ts
      'file-too-large',
      'not-utf8',
      'byte-order-mark',
      'empty-file',
      'too-deep',
      'too-many-nodes',
      'too-many-aliases',
      'alias-loop',
      'too-many-problems',
      'reserved-key',
    ]);
    const missing = Object.keys(MESSAGES).filter((code) => !seen.has(code) && !elsewhere.has(code));
    expect(missing).toEqual([]);
  });
});
