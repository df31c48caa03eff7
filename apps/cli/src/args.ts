/** Reads a command's arguments against what it takes. Unknown flags and missing values are errors in words. */
import { closest } from '@breathline/scenario';
import { UsageError } from './io.ts';

export interface Takes {
  /** Flags with a value. */
  readonly values?: readonly string[];
  /** Flags with a value that may be given more than once. */
  readonly lists?: readonly string[];
  /** Flags without. */
  readonly switches?: readonly string[];
}

export interface Parsed {
  readonly files: readonly string[];
  readonly values: ReadonlyMap<string, string>;
  /** In the order given, so that edits apply in that order. */
  readonly lists: readonly { readonly flag: string; readonly value: string }[];
  readonly switches: ReadonlySet<string>;
}

/** `--flag value` and `--flag=value`; `--` ends flags. */
export function parseArgs(command: string, args: readonly string[], takes: Takes): Parsed {
  const files: string[] = [];
  const values = new Map<string, string>();
  const lists: { flag: string; value: string }[] = [];
  const switches = new Set<string>();
  const known = [...(takes.values ?? []), ...(takes.lists ?? []), ...(takes.switches ?? [])];
  for (let i = 0; i < args.length; i++) {
    const arg = args[i]!;
    if (arg === '--') {
      files.push(...args.slice(i + 1));
      break;
    }
    if (!arg.startsWith('-') || arg === '-') {
      files.push(arg);
      continue;
    }
    const equals = arg.indexOf('=');
    const flag = equals < 0 ? arg : arg.slice(0, equals);
    if (!known.includes(flag)) {
      const near = closest(flag, known);
      throw new UsageError(
        'unknown-flag',
        `“${command}” does not know ${flag}`,
        near ? `Did you mean ${near}?` : known.length > 0 ? `It knows ${known.join(', ')}.` : 'It takes no flags.',
      );
    }
    if (takes.switches?.includes(flag)) {
      if (equals >= 0) throw new UsageError('flag-takes-no-value', `${flag} takes no value`);
      switches.add(flag);
      continue;
    }
    const value = equals >= 0 ? arg.slice(equals + 1) : args[++i];
    if (value === undefined || value === '') {
      throw new UsageError('flag-needs-value', `${flag} needs a value`, `Write ${flag} VALUE.`);
    }
    if (takes.lists?.includes(flag)) lists.push({ flag, value });
    else values.set(flag, value);
  }
  return { files, values, lists, switches };
}

/** Exactly one file, or an error that names what is wanted. */
export function oneFile(command: string, files: readonly string[], what: string): string {
  if (files.length === 1) return files[0]!;
  const found = files.length === 0 ? 'none was given' : `${files.length} were given`;
  throw new UsageError(
    'one-file',
    `“${command}” needs one ${what}; ${found}`,
    `For example: breathline ${command} ${what}`,
  );
}
