/** Puts formulary files and packs together and pins them with a hash. */
import type { Diagnostic, GuidelinePack, Intervention, Library, ReadResult, Scenario } from '../types.ts';
import { MESSAGES, sayMessage } from '../messages.ts';
import { canonicalJson, sha256 } from './hash.ts';
import { readFormulary } from './formulary.ts';
import { readPack } from './pack.ts';

/** One file handed in as text. */
export interface NamedText {
  readonly file: string;
  readonly text: string;
}

function duplicate(file: string, found: string, where: string): Diagnostic {
  return {
    code: 'duplicate-id',
    severity: MESSAGES['duplicate-id'].severity,
    file,
    line: 1,
    column: 1,
    endLine: 1,
    endColumn: 1,
    path: '',
    message: sayMessage('duplicate-id', { found, where }),
  };
}

/**
 * Builds the library from texts. Files are taken in the order of their names, so that the same files always give the
 * same hash. Problems of all files are collected.
 */
export function buildLibrary(texts: {
  readonly formularies: readonly NamedText[];
  readonly packs: readonly NamedText[];
}): ReadResult<Library> {
  const errors: Diagnostic[] = [];
  const warnings: Diagnostic[] = [];
  const interventions: Intervention[] = [];
  const packs: GuidelinePack[] = [];
  const byName = (a: NamedText, b: NamedText): number => (a.file < b.file ? -1 : a.file > b.file ? 1 : 0);
  for (const { file, text } of [...texts.formularies].sort(byName)) {
    const read = readFormulary(text, { file });
    warnings.push(...read.warnings);
    if (!read.ok) {
      errors.push(...read.errors);
      continue;
    }
    for (const one of read.value.interventions) {
      if (interventions.some((other) => other.id === one.id))
        errors.push(duplicate(file, one.id, 'the interventions of all formulary files'));
      else interventions.push(one);
    }
  }
  const brokenFormulary = errors.length > 0;
  for (const { file, text } of [...texts.packs].sort(byName)) {
    const read = readPack(text, { file, interventions });
    warnings.push(...read.warnings);
    if (!read.ok) {
      // With the formulary broken, unknown interventions would only be echoes.
      errors.push(...read.errors.filter((one) => !brokenFormulary || one.code !== 'unknown-intervention'));
      continue;
    }
    if (packs.some((other) => other.id === read.value.id))
      errors.push(duplicate(file, read.value.id, 'the guideline packs'));
    else packs.push(read.value);
  }
  if (errors.length > 0) return { ok: false, errors, warnings };
  return { ok: true, value: { interventions, packs, hash: libraryHash({ interventions, packs }) }, warnings };
}

/** The pack a scenario goes by where nobody chose one: its first, else the library's first; "" where there is none. */
export function usualPackId({ guidelines }: Pick<Scenario, 'guidelines'>, { packs }: Pick<Library, 'packs'>): string {
  return guidelines[0] ?? packs[0]?.id ?? '';
}

/** SHA-256 of the canonical JSON of a library's content. */
export function libraryHash(library: Pick<Library, 'interventions' | 'packs'>): string {
  return sha256(canonicalJson({ interventions: library.interventions, packs: library.packs }));
}
