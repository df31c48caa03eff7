/** A pack to be read from top to bottom: every line in words, with where it comes from. */
import type { GuidelinePack } from '@breathline/scenario';
import { conditionText } from './condition-words.ts';
import { packLines, type PackLine } from './pack-diff.ts';
import { sourceLine } from './pack-lineage.ts';
import { observationText, type PackNames } from './pack-words.ts';

export interface SheetLine {
  readonly id: string;
  /** What the line is about. */
  readonly about: string;
  /** What the pack says of it, one statement each. */
  readonly says: readonly string[];
  /** Who says so, where, and how it was seen; null for what is the pack's own way of scoring. */
  readonly source: string | null;
}

export interface SheetPart {
  readonly title: string;
  readonly lines: readonly SheetLine[];
}

/** The parts of a pack that have lines, in the order in which a team needs them. */
export function packSheet(pack: GuidelinePack, names: PackNames): readonly SheetPart[] {
  const all = packLines(pack, names);
  const of = (...parts: readonly PackLine['part'][]): readonly SheetLine[] =>
    all.filter(({ part }) => parts.includes(part)).map(lineOf);
  const parts: readonly SheetPart[] = [
    {
      title: 'The signs can be seen from',
      lines: pack.recognition.map(({ id, says, when, source }) => ({
        id,
        about: says,
        says: [conditionText(when, names.nameOf)],
        source: sourceLine(source),
      })),
    },
    { title: 'Doses', lines: of('dose') },
    { title: 'What is done, and when', lines: of('target') },
    { title: 'Oxygen', lines: of('oxygen') },
    {
      title: 'Watched afterwards',
      lines: (pack.observation ?? []).map((rule) => ({
        id: rule.id,
        about: observationText(rule),
        says: rule.when ? [`if ${conditionText(rule.when, names.nameOf)}`] : [],
        source: sourceLine(rule.source),
      })),
    },
    { title: 'How it is scored', lines: of('key-step', 'shock', 'tolerance') },
  ];
  return parts.filter(({ lines }) => lines.length > 0);
}

/** What a line is about is not said twice. */
const lineOf = ({ key, about, parts, source }: PackLine): SheetLine => ({
  id: key,
  about,
  says: parts.filter(([kind]) => kind !== 'says').map(([, words]) => words),
  source: source === null ? null : sourceLine(source),
});
