/** The formulary and the guideline packs: read from the project's scenarios/ folder or from --library DIR. */
import { existsSync, readFileSync } from 'node:fs';
import { basename, join, relative } from 'node:path';
import {
  buildLibrary,
  readScenario,
  usualPackId,
  type Diagnostic,
  type Library,
  type Scenario,
} from '@breathline/scenario';
import type { RunDefinition } from '@breathline/engine';
import { formatDiagnostic } from '@breathline/scenario';
import { locate, readYamlText, UsageError, yamlFiles, type World } from './io.ts';

export interface LoadedLibrary {
  readonly folder: string;
  /** null when it has errors. */
  readonly library: Library | null;
  readonly errors: readonly Diagnostic[];
  readonly warnings: readonly Diagnostic[];
}

/** Reads DIR/formulary and DIR/guidelines. Throws UsageError when the folder is not there; errors inside are returned. */
export function loadLibrary(world: World, directory: string | undefined): LoadedLibrary {
  const folder = directory === undefined ? join(world.root, 'scenarios') : locate(directory);
  if (!existsSync(folder)) {
    throw new UsageError(
      'library-missing',
      `there is no library folder ${directory ?? 'scenarios/'}`,
      'Name one with --library DIR: it holds formulary/ and guidelines/.',
    );
  }
  const read = (name: string) =>
    yamlFiles(join(folder, name)).map((path) => ({
      file: directory === undefined ? relative(world.root, path) : path,
      text: readFileSync(path, 'utf8'),
    }));
  const built = buildLibrary({ formularies: read('formulary'), packs: read('guidelines') });
  return {
    folder,
    library: built.ok ? built.value : null,
    errors: built.ok ? [] : built.errors,
    warnings: built.warnings,
  };
}

/** A scenario ready to run. Throws UsageError when it or the library has errors, with all of them. */
export function loadScenario(
  world: World,
  file: string,
  directory: string | undefined,
): { readonly scenario: Scenario; readonly library: Library; readonly text: string } {
  const text = readYamlText(file);
  const loaded = loadLibrary(world, directory);
  if (loaded.library === null) throw notUsable('the library', loaded.errors);
  const read = readScenario(text, { file, library: loaded.library });
  if (!read.ok) throw notUsable(basename(file), read.errors);
  return { scenario: read.value, library: loaded.library, text };
}

function notUsable(what: string, errors: readonly Diagnostic[]): UsageError {
  return new UsageError(
    'file-has-errors',
    `${what} has ${errors.length === 1 ? 'an error' : `${errors.length} errors`}:\n${errors.map(formatDiagnostic).join('\n')}`,
    'Mend the file, then check it with “breathline check”.',
  );
}

/** The definition of a run of this scenario. The pack is the one asked for, else the scenario's first. */
export function definitionFor(
  scenario: Scenario,
  library: Library,
  options: { readonly pack?: string; readonly seed?: string },
): RunDefinition {
  const packId = options.pack ?? usualPackId(scenario, library);
  if (!library.packs.some((pack) => pack.id === packId)) {
    throw new UsageError(
      'unknown-pack',
      `there is no guideline pack “${packId}”`,
      `There are: ${library.packs.map((pack) => pack.id).join(', ') || 'none'}.`,
    );
  }
  const seed = options.seed === undefined ? 1 : Number(options.seed);
  if (!Number.isInteger(seed)) throw new UsageError('bad-seed', `--seed ${options.seed} is not a whole number`);
  return { scenario, library, packId, seed };
}
