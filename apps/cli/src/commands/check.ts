import {
  formatDiagnostic,
  readFormulary,
  readPack,
  readScenario,
  type Diagnostic,
  type ReadResult,
} from '@breathline/scenario';
import { resolve } from 'node:path';
import { parseArgs } from '../args.ts';
import { expandFolders, locate, readYamlText, UsageError, type World } from '../io.ts';
import { loadLibrary, type LoadedLibrary } from '../library.ts';

interface FileReport {
  readonly file: string;
  readonly errors: readonly Diagnostic[];
  readonly warnings: readonly Diagnostic[];
}

/** `check FILES...` */
export function check(args: readonly string[], world: World): number {
  const { files, values, switches } = parseArgs('check', args, { values: ['--library'], switches: ['--json'] });
  if (files.length === 0) {
    throw new UsageError('no-files', '“check” needs at least one file', 'For example: breathline check scenarios');
  }
  const named = expandFolders(files);
  // One file alone that can not be read is a wrong call; among others it must not keep them from being checked.
  const texts = named.map((file) => (named.length === 1 ? { file, text: readYamlText(file) } : tryToRead(file)));
  const loaded = loadLibrary(world, values.get('--library'));
  const reports = texts.map(({ file, text, problem }) =>
    problem === undefined ? checkText(file, text, loaded) : { file, errors: [problem], warnings: [] },
  );
  reports.push(
    ...libraryReports(
      loaded,
      texts.map(({ file }) => locate(file)),
      world,
    ),
  );
  const failed = reports.some((report) => report.errors.length > 0);
  if (switches.has('--json')) world.out(JSON.stringify({ files: reports.map(asJson) }, null, 2));
  else print(reports, world);
  return failed ? 1 : 0;
}

/** The file's text, or what is wrong with reading it as an error of the file itself. */
function tryToRead(file: string): { readonly file: string; readonly text: string; readonly problem?: Diagnostic } {
  try {
    return { file, text: readYamlText(file) };
  } catch (error) {
    if (!(error instanceof UsageError)) throw error;
    const place = { file, line: 1, column: 1, endLine: 1, endColumn: 1, path: '' };
    const message = error.message.slice(0, 1).toUpperCase() + error.message.slice(1);
    const problem: Diagnostic = { code: error.code, severity: 'error', ...place, message, hint: error.hint };
    return { file, text: '', problem };
  }
}

/** What a file says it is; anything but a pack or a formulary is read as a scenario. */
function kindOf(text: string): 'pack' | 'formulary' | 'scenario' {
  const kind = /^kind:[ \t]*["']?(pack|formulary)\b/m.exec(text)?.[1];
  return kind === 'pack' || kind === 'formulary' ? kind : 'scenario';
}

function checkText(file: string, text: string, loaded: LoadedLibrary): FileReport {
  const kind = kindOf(text);
  const interventions = loaded.library?.interventions ?? [];
  const read: ReadResult<unknown> =
    kind === 'formulary'
      ? readFormulary(text, { file })
      : kind === 'pack'
        ? readPack(text, { file, interventions })
        : readScenario(text, { file, library: loaded.library });
  const errors = read.ok ? [] : read.errors;
  // With the library broken, every name in a pack would be unknown: an echo of the library's own errors.
  const echo = kind === 'pack' && loaded.library === null;
  return {
    file,
    errors: echo ? errors.filter((each) => each.code !== 'unknown-intervention') : errors,
    warnings: read.warnings,
  };
}

/** Errors in library files that were not themselves asked about: without them a scenario cannot be checked in full. */
function libraryReports(loaded: LoadedLibrary, asked: readonly string[], world: World): FileReport[] {
  const byFile = new Map<string, Diagnostic[]>();
  for (const error of loaded.errors) {
    if (asked.includes(resolve(world.root, error.file))) continue;
    byFile.set(error.file, [...(byFile.get(error.file) ?? []), error]);
  }
  return [...byFile].map(([file, errors]) => ({ file, errors, warnings: [] }));
}

function asJson({ file, errors, warnings }: FileReport): object {
  const plain = ({ code, message, hint, line, column }: Diagnostic) => ({
    code,
    message: hint === undefined ? message : `${message.replace(/\.$/, '')}. ${capital(hint)}`,
    line,
    column,
  });
  return { file, errors: errors.map(plain), warnings: warnings.map(plain) };
}

function capital(text: string): string {
  return text.slice(0, 1).toUpperCase() + text.slice(1);
}

function print(reports: readonly FileReport[], world: World): void {
  const count = (n: number, word: string): string => `${n} ${word}${n === 1 ? '' : 's'}`;
  for (const { file, errors, warnings } of reports) {
    for (const each of [...errors, ...warnings]) world.out(`${formatDiagnostic(each)}\n`);
    const said = [
      ...(errors.length > 0 ? [count(errors.length, 'error')] : []),
      ...(warnings.length > 0 ? [count(warnings.length, 'warning')] : []),
    ];
    world.out(`${file}: ${said.length === 0 ? 'no problems found' : said.join(', ')}`);
  }
}
