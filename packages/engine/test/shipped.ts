/** The shipped scenarios, ready to run. */
import { readdirSync, readFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import { buildLibrary, formatDiagnostic, readScenario, type ReadResult } from '@breathline/scenario';
import type { RunDefinition } from '../src/index.ts';

const folder = fileURLToPath(new URL('../../../scenarios/', import.meta.url));
const yamlIn = (path: string): string[] => readdirSync(folder + path).filter((file) => file.endsWith('.yaml'));
const text = (path: string): string => readFileSync(folder + path, 'utf8');
const named = (path: string) => yamlIn(path).map((file) => ({ file, text: text(`${path}/${file}`) }));

function must<T>(result: ReadResult<T>): T {
  if (!result.ok) throw new Error(`\n${result.errors.map(formatDiagnostic).join('\n')}`);
  return result.value;
}

const library = must(buildLibrary({ formularies: named('formulary'), packs: named('guidelines') }));

export const SHIPPED: readonly RunDefinition[] = yamlIn('').map((file) => {
  const scenario = must(readScenario(text(file), { file, library }));
  return { scenario, library, packId: scenario.guidelines[0]!, seed: 5 };
});
