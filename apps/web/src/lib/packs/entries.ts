/** Guideline packs as the page lists them: who said it, how it was seen, when it must be looked at again. */
import { packLineage, packNames, type PackLineage } from '@breathline/debrief';
import type { GuidelinePack, Library, Source } from '@breathline/scenario';

export interface PackEntry {
  readonly pack: GuidelinePack;
  /** File of the site's folder; null when the server did not say. */
  readonly file: string | null;
  /** The latest look at any of its sources, ISO date. */
  readonly checkedOn: string;
  /** "3 lines seen on the publisher's page, 5 from memory", most certain first. */
  readonly seen: string;
  readonly checkedLines: number;
  readonly lines: number;
  readonly overdue: boolean;
  /** null = not a copy of another pack. */
  readonly lineage: PackLineage | null;
}

const SEEN: readonly (readonly [Source['verified'], string])[] = [
  ['primary', 'on the publisher’s page'],
  ['mirror', 'on a copy'],
  ['secondary', 'in a summary'],
  ['from-memory', 'from memory'],
  ['arithmetic', 'worked out'],
  ['teaching', 'teaching values'],
];

/** Every sourced line of a pack. */
function sourcesOf(pack: GuidelinePack): readonly Source[] {
  return [
    ...pack.doses.flatMap((rule) => [rule.source, ...(rule.bands ?? []).flatMap(({ source }) => source ?? [])]),
    ...pack.targets.map(({ source }) => source),
    ...pack.recognition.map(({ source }) => source),
    ...(pack.observation ?? []).map(({ source }) => source),
    ...(pack.oxygenRange ? [pack.oxygenRange.source] : []),
  ];
}

/**
 * The list: a site's own copies first, then by illness and title.
 *
 * @param today ISO date
 */
export function packEntries(
  library: Library,
  files: readonly { readonly id: string; readonly file: string }[],
  today: string,
): readonly PackEntry[] {
  const names = packNames(library);
  const fileOf = new Map(files.map(({ id, file }) => [id, file]));
  const entries = library.packs.map((pack): PackEntry => {
    const sources = sourcesOf(pack);
    const counted = SEEN.map(
      ([kind, words]) => [sources.filter(({ verified }) => verified === kind).length, words] as const,
    );
    return {
      pack,
      file: fileOf.get(pack.id) ?? null,
      checkedOn: [pack.source, ...sources].reduce((last, { checkedOn }) => (checkedOn > last ? checkedOn : last), ''),
      seen: counted
        .filter(([n]) => n > 0)
        .map(([n, words]) => `${n} ${words}`)
        .join(', '),
      checkedLines: sources.filter(({ checkedBy }) => checkedBy !== undefined).length,
      lines: sources.length,
      overdue: pack.reviewBy < today,
      lineage: packLineage(pack, library.packs, names),
    };
  });
  const key = ({ pack, lineage }: PackEntry): string =>
    `${lineage === null ? 1 : 0} ${pack.condition.toLowerCase()} ${pack.title.toLowerCase()}`;
  return entries.sort((a, b) => (key(a) < key(b) ? -1 : key(a) > key(b) ? 1 : 0));
}

/** "differs in 3 lines", "says the same": what a copy is, in a few words. */
export function differsText({ differences, sources, parent }: PackLineage): string {
  if (parent === null) return 'it can not be held against the pack it comes from, which is not here; copied';
  const n = differences.length;
  if (n > 0) return n === 1 ? 'differs in 1 line' : `differs in ${n} lines`;
  return sources.length > 0 ? 'says the same on other sources, copied' : 'says the same, copied';
}

/** A proposal for the id of a copy, from what somebody calls it: "Our Hospital!" gives `our-hospital-croup-uk`. */
export function proposedId(site: string, packId: string): string {
  const plain = site
    .normalize('NFKD')
    .replace(/[\u0300-\u036f]/g, '')
    .toLowerCase()
    .replace(/[^a-z0-9]+/g, '-')
    .replace(/^[-0-9]+|-+$/g, '');
  return plain === '' ? '' : `${plain}-${packId}`.slice(0, 60).replace(/-+$/, '');
}
