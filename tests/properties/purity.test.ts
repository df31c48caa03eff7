/** The lint rules that keep packages pure really catch what they are there for, and let through what is harmless. */
import { ESLint } from 'eslint';
import { fileURLToPath } from 'node:url';
import { describe, expect, it } from 'vitest';

const root = fileURLToPath(new URL('../..', import.meta.url));
const eslint = new ESLint({ cwd: root });

/** Rules broken by one line of code in a file of a package. */
async function broken(code: string, file = 'packages/patient/src/core/sample.ts'): Promise<(string | null)[]> {
  const [result] = await eslint.lintText(`${code}\n`, { filePath: `${root}/${file}` });
  return result!.messages.filter(({ severity }) => severity === 2).map(({ ruleId }) => ruleId);
}

describe('a package', () => {
  it.each([
    'export const a = Date.now();',
    'export const a = new Date();',
    'export const a = globalThis.Date.now();',
    'export const a = performance.now();',
    'export const a = Math.random();',
    "export const a = Math['random']();",
    'const { random } = Math; export const a = random();',
    'const M = Math; export const a = M.random();',
    "const name = 'random'; export const a = Math[name]();",
    "export const a = await import('node:fs');",
    "import { readFileSync } from 'node:fs'; export { readFileSync };",
    "import fs from 'fs/promises'; export { fs };",
    "export const a = fetch('x');",
    'export const a = setTimeout(() => undefined, 1);',
    'export const a = process.env;',
    'export const a = (1.5).toLocaleString();',
    'export const a = new Intl.NumberFormat();',
    "import { a } from '../../../../apps/cli/src/io.ts'; export { a };",
  ])('may not: %s', async (code) => {
    for (const name of ['patient', 'scenario', 'engine', 'debrief', 'protocol', 'signals']) {
      expect(await broken(code, `packages/${name}/src/sample.ts`), name).not.toEqual([]);
    }
  });

  it.each([
    'export const a = Math.exp(1);',
    "export const a = Math['pow'](2, 3);",
    'const { exp } = Math; export const a = exp(1);',
    'export const a = [1].map(Math.sin);',
    'export const a = 2 ** 3;',
    'export let a = 2; a **= 3;',
  ])('that must agree to the last bit may not: %s', async (code) => {
    expect(await broken(code)).not.toEqual([]);
    expect(await broken(code, 'packages/engine/src/sample.ts')).not.toEqual([]);
  });

  it.each([
    ['patient', "import { a } from '@breathline/engine'; export { a };"],
    ['patient', "import { a } from '../../engine/src/index.ts'; export { a };"],
    ['scenario', "import { a } from '@breathline/engine'; export { a };"],
    ['engine', "import { a } from '@breathline/debrief'; export { a };"],
    ['signals', "import { a } from '@breathline/patient'; export { a };"],
  ])('imports one way only: %s, %s', async (name, code) => {
    expect(await broken(code, `packages/${name}/src/sample.ts`)).not.toEqual([]);
  });

  it.each([
    'export const a = Math.max(1, Math.sqrt(2), Math.PI);',
    "import { b } from './b.ts'; export const a = b;",
    "export const date = 'Date'; export const a = { Math: 1 }.Math;",
  ])('may: %s', async (code) => {
    expect(await broken(code)).toEqual([]);
  });
});
