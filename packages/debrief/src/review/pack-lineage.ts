/** A site's own copy of a pack beside what it came from: what it says otherwise, on whose word, and whether that moved on. */
import { packHash, type GuidelinePack, type Source } from '@breathline/scenario';
import { packDifferences, packLines, type PackDifference } from './pack-diff.ts';
import type { PackNames } from './pack-words.ts';

/** A line whose source, or whose check by a clinician, is not the parent's. */
export interface SourceChange {
  readonly part: PackDifference['part'];
  readonly id: string;
  readonly about: string;
  readonly a: string;
  readonly b: string;
}

export interface PackLineage {
  readonly parentId: string;
  /** null = the library does not hold it (any more). */
  readonly parent: GuidelinePack | null;
  readonly differences: readonly PackDifference[];
  readonly sources: readonly SourceChange[];
  /** Lines that say something else now and still name the clinician who checked the parent's words. */
  readonly staleChecks: readonly string[];
  /** The parent says something else than when it was copied; null = the copy does not carry its fingerprint. */
  readonly parentMovedOn: boolean | null;
}

const SEEN: Readonly<Record<Source['verified'], string>> = {
  primary: 'seen on the publisher’s page',
  mirror: 'seen on a copy',
  secondary: 'seen in a summary',
  'from-memory': 'from memory',
  teaching: 'teaching value',
  arithmetic: 'arithmetic',
};

/** A source in one line, with how it was seen and who checked it. */
export function sourceLine(source: Source): string {
  const { organisation, document, edition, section } = source;
  const cited = [organisation, document, edition, section]
    .filter((part) => part !== undefined && part !== '')
    .join(', ');
  const checked = source.checkedBy === undefined ? 'not checked by a clinician' : `checked by ${source.checkedBy}`;
  return `${cited}; ${SEEN[source.verified]} on ${source.checkedOn}; ${checked}`;
}

/** How a pack relates to the one it was copied from; null when it is no copy. */
export function packLineage(
  pack: GuidelinePack,
  packs: readonly GuidelinePack[],
  names: PackNames,
): PackLineage | null {
  if (pack.forkedFrom === undefined) return null;
  const parent = packs.find(({ id }) => id === pack.forkedFrom && id !== pack.id) ?? null;
  const empty = { parentId: pack.forkedFrom, parent, differences: [], sources: [], staleChecks: [] };
  if (parent === null) return { ...empty, parentMovedOn: null };
  const differences = packDifferences(parent, pack, names);
  const own = new Map(packLines(pack, names).map((line) => [`${line.part} ${line.key}`, line]));
  const changed = new Set(differences.map(({ part, id }) => `${part} ${id}`));
  const sources: SourceChange[] = [];
  const staleChecks: string[] = [];
  for (const before of packLines(parent, names)) {
    const key = `${before.part} ${before.key}`;
    const after = own.get(key);
    if (!after || before.source === null || after.source === null) continue;
    const [a, b] = [sourceLine(before.source), sourceLine(after.source)];
    if (a !== b) sources.push({ part: before.part, id: before.key, about: before.about, a, b });
    const same = before.source.checkedBy !== undefined && before.source.checkedBy === after.source.checkedBy;
    if (same && changed.has(key) && a === b) staleChecks.push(before.about);
  }
  return {
    ...empty,
    differences,
    sources,
    staleChecks,
    parentMovedOn: pack.forkedHash === undefined ? null : pack.forkedHash !== packHash(parent),
  };
}
