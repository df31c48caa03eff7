/** Shared by the tests: the small library, the real one, and file helpers. */
import { readdirSync, readFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import { buildLibrary, formatDiagnostic, type Library, type NamedText, type ReadResult } from '../src/index.ts';

export const here = (path: string): string => fileURLToPath(new URL(path, import.meta.url));
export const text = (path: string): string => readFileSync(path, 'utf8');

/** The value, or a failure that shows every diagnostic. */
export function must<T>(result: ReadResult<T>): T {
  if (!result.ok) throw new Error(`\n${result.errors.map(formatDiagnostic).join('\n')}`);
  return result.value;
}

export const testLibrary = (): Library =>
  must(
    buildLibrary({
      formularies: [{ file: 'formulary.yaml', text: text(here('fixtures-library/formulary.yaml')) }],
      packs: [{ file: 'pack.yaml', text: text(here('fixtures-library/pack.yaml')) }],
    }),
  );

export const scenarios = here('../../../scenarios');

export function filesIn(folder: string): NamedText[] {
  return readdirSync(`${scenarios}/${folder}`)
    .filter((file) => file.endsWith('.yaml'))
    .map((file) => ({ file: `${folder}/${file}`, text: text(`${scenarios}/${folder}/${file}`) }));
}

export const shippedLibrary = (): Library =>
  must(buildLibrary({ formularies: filesIn('formulary'), packs: filesIn('guidelines') }));
