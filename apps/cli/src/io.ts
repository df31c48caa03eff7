/** Everything the commands do to the world outside: read, write, print. Problems are said in words and end in exit 2. */
import { existsSync, readdirSync, readFileSync, statSync, writeFileSync } from 'node:fs';
import { dirname, isAbsolute, join, relative, resolve } from 'node:path';
import { LIMITS } from '@breathline/scenario';

/** A mistake in how the program was called, or a file that cannot be used. Exit 2. */
export class UsageError extends Error {
  override readonly name = 'UsageError';
  constructor(
    readonly code: string,
    message: string,
    readonly hint?: string,
  ) {
    super(message);
  }
}

export interface World {
  /** The project folder. */
  readonly root: string;
  readonly out: (text: string) => void;
  readonly err: (text: string) => void;
}

/** npm runs scripts in the project folder; the user may stand elsewhere. */
function bases(): string[] {
  const { INIT_CWD: stood, npm_lifecycle_event: script } = process.env;
  return script === 'breathline' && stood !== undefined ? [stood, process.cwd()] : [process.cwd()];
}

/** Where a file named on the command line lies. */
export function locate(file: string): string {
  if (isAbsolute(file)) return file;
  const places = bases().map((base) => resolve(base, file));
  return places.find((place) => existsSync(place)) ?? places[0]!;
}

function reason(error: unknown): string {
  const { code } = error as NodeJS.ErrnoException;
  if (code === 'ENOENT') return 'there is no such file';
  if (code === 'EISDIR') return 'it is a folder';
  if (code === 'EACCES' || code === 'EPERM') return 'you may not open it';
  if (code === 'ENOSPC') return 'the disk is full';
  return error instanceof Error ? error.message : String(error);
}

export function readText(file: string): string {
  const path = locate(file);
  try {
    return readFileSync(path, 'utf8');
  } catch (error) {
    throw new UsageError('file-unreadable', `cannot read ${file}: ${reason(error)}`, 'Check the name and the folder.');
  }
}

/** Text for the scenario reader, which refuses long files by itself: no more is read than shows it that. */
export function readYamlText(file: string): string {
  return readText(file).slice(0, LIMITS.characters + 1);
}

/** Writes a file whole. The folder must exist. */
export function writeText(file: string, text: string): void {
  const path = isAbsolute(file) ? file : resolve(bases()[0]!, file);
  try {
    writeFileSync(path, text);
  } catch (error) {
    const missing = !existsSync(dirname(path));
    throw new UsageError(
      'file-unwritable',
      `cannot write ${file}: ${missing ? 'there is no such folder' : reason(error)}`,
      missing ? `Make the folder ${dirname(path)} first.` : undefined,
    );
  }
}

/** The YAML files of a folder and its folders, by name. */
export function yamlFiles(folder: string): string[] {
  const found: string[] = [];
  const walk = (at: string): void => {
    for (const entry of readdirSync(at, { withFileTypes: true })) {
      const path = join(at, entry.name);
      if (entry.isDirectory()) walk(path);
      else if (/\.ya?ml$/i.test(entry.name)) found.push(path);
    }
  };
  if (existsSync(folder) && statSync(folder).isDirectory()) walk(folder);
  return found.sort();
}

/** Replaces each folder among the arguments by its YAML files. */
export function expandFolders(files: readonly string[]): string[] {
  return files.flatMap((file) => {
    const path = locate(file);
    if (!existsSync(path) || !statSync(path).isDirectory()) return [file];
    const inside = yamlFiles(path).map((each) => join(file, relative(path, each)));
    if (inside.length === 0) throw new UsageError('folder-empty', `there are no YAML files in ${file}`);
    return inside;
  });
}
