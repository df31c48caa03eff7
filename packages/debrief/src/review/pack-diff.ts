/** How two packs differ, line by line: two guidelines that disagree, or a site's own copy and what it came from. */
import type { GuidelinePack, Source } from '@breathline/scenario';
import { conditionText } from './condition-words.ts';
import {
  doseNotes,
  doseParts,
  observationText,
  oxygenText,
  targetParts,
  toleranceText,
  type PackNames,
  type Part,
} from './pack-words.ts';

export interface PackDifference {
  readonly part: 'dose' | 'target' | 'observation' | 'oxygen' | 'recognition' | 'shock' | 'key-step' | 'tolerance';
  /** The line's id within its part, to find it in the file. */
  readonly id: string;
  /** What the line is about, in words. */
  readonly about: string;
  /** What each pack says; null = it has no such line. Of a target both have, only what differs. */
  readonly a: string | null;
  readonly b: string | null;
}

/** A line of a pack, ready to be laid beside its like. */
export interface PackLine {
  readonly part: PackDifference['part'];
  readonly key: string;
  readonly about: string;
  readonly parts: readonly Part[];
  readonly source: Source | null;
  /** Shown whole where it differs: half a dose is no dose. */
  readonly whole: boolean;
}

const text = (parts: readonly Part[]): string => parts.map(([, words]) => words).join('; ');

/** Every line of a pack that can differ. Doses first. */
export function packLines(pack: GuidelinePack, names: PackNames): readonly PackLine[] {
  const seen = new Map<string, number>();
  const doses = pack.doses.map((rule): PackLine => {
    // Two rules may stand for one intervention: then they are laid side by side in their order.
    const before = seen.get(rule.intervention) ?? 0;
    seen.set(rule.intervention, before + 1);
    const notes = doseNotes(rule);
    return {
      part: 'dose',
      key: before === 0 ? rule.intervention : `${rule.intervention} ${before + 1}`,
      about: names.nameOf(rule.intervention),
      parts: [...doseParts(rule, names), ...(notes === '' ? [] : [['note', notes] as const])],
      source: rule.source,
      whole: true,
    };
  });
  const targets = pack.targets.map((target): PackLine => ({
    part: 'target',
    key: target.id,
    about: target.says,
    parts: targetParts(target, names),
    source: target.source,
    whole: false,
  }));
  const single = (
    part: PackDifference['part'],
    key: string,
    about: string,
    words: string | null,
    source: Source | null,
  ): readonly PackLine[] =>
    words === null ? [] : [{ part, key, about, parts: [[part, words] as const], source, whole: true }];
  return [
    ...doses,
    ...targets,
    ...single(
      'oxygen',
      'oxygen-range',
      'Saturation aimed for on oxygen',
      oxygenText(pack),
      pack.oxygenRange?.source ?? null,
    ),
    ...single(
      'shock',
      'shock-visible',
      'Shock can be seen',
      pack.shockVisible ? conditionText(pack.shockVisible, names.nameOf) : null,
      null,
    ),
    ...single('key-step', 'key-step', 'The one step it turns on', pack.keyStep?.says ?? null, null),
    ...single('tolerance', 'dose-tolerance', 'Dose tolerance', toleranceText(pack), null),
  ];
}

/** The words of two lines where they differ; null when they say the same. */
function lineDifference(
  a: PackLine | undefined,
  b: PackLine | undefined,
): { a: string | null; b: string | null } | null {
  if (!a || !b) return { a: a ? text(amountsOf(a)) : null, b: b ? text(amountsOf(b)) : null };
  if (text(a.parts) === text(b.parts)) return null;
  if (a.whole) {
    const sameAmount = text(amountsOf(a)) === text(amountsOf(b));
    return sameAmount ? { a: text(a.parts), b: text(b.parts) } : { a: text(amountsOf(a)), b: text(amountsOf(b)) };
  }
  const other = new Map(b.parts);
  const own = new Map(a.parts);
  // A time is never shown without whose it is: the guideline's own or a teaching one.
  const timed = TIMES.some((key) => own.get(key) !== other.get(key));
  const shows = (key: string): boolean => own.get(key) !== other.get(key) || (timed && key === 'status');
  const left = a.parts.filter(([key]) => shows(key));
  const right = b.parts.filter(([key]) => shows(key));
  return { a: text(left) || 'nothing more', b: text(right) || 'nothing more' };
}

const TIMES = ['early', 'due', 'limit'];

/** Without the notes, which explain an amount and may fill a page. */
const amountsOf = (line: PackLine): readonly Part[] => line.parts.filter(([key]) => key !== 'note');

/** The differences, doses first. Equal packs give none. */
export function packDifferences(a: GuidelinePack, b: GuidelinePack, names: PackNames): readonly PackDifference[] {
  const out: PackDifference[] = [];
  const keyOf = ({ part, key }: PackLine): string => `${part} ${key}`;
  const lefts = new Map(packLines(a, names).map((line) => [keyOf(line), line]));
  const rights = new Map(packLines(b, names).map((line) => [keyOf(line), line]));
  for (const key of new Set([...lefts.keys(), ...rights.keys()])) {
    const [one, other] = [lefts.get(key), rights.get(key)];
    const found = lineDifference(one, other);
    const line = (one ?? other)!;
    if (found) out.push({ part: line.part, id: line.key, about: line.about, ...found });
  }
  const rank = ({ part }: PackDifference): number => ORDER.indexOf(part);
  return [...out, ...observation(a, b, names), ...recognition(a, b, names)].sort((x, y) => rank(x) - rank(y));
}

const ORDER: readonly PackDifference['part'][] = [
  'dose',
  'target',
  'observation',
  'oxygen',
  'recognition',
  'shock',
  'key-step',
  'tolerance',
];

/** Strata belong together: the longest that applies counts. */
function observation(a: GuidelinePack, b: GuidelinePack, names: PackNames): readonly PackDifference[] {
  const strata = (pack: GuidelinePack, full: boolean): string | null =>
    (pack.observation ?? []).length === 0
      ? null
      : (pack.observation ?? [])
          .map(
            (rule) =>
              `${observationText(rule)}${full && rule.when ? ` (if ${conditionText(rule.when, names.nameOf)})` : ''}`,
          )
          .join(' | ');
  if (strata(a, true) === strata(b, true)) return [];
  const full = strata(a, false) === strata(b, false);
  return [
    { part: 'observation', id: 'observation', about: 'Observation period', a: strata(a, full), b: strata(b, full) },
  ];
}

/** Criteria both name are laid side by side; the rest of each stand together, since guidelines cut them differently. */
function recognition(a: GuidelinePack, b: GuidelinePack, names: PackNames): readonly PackDifference[] {
  const words = ({ says, when }: GuidelinePack['recognition'][number]): string =>
    `${says} (${conditionText(when, names.nameOf)})`;
  const rights = new Map(b.recognition.map((one) => [one.id, one]));
  const lefts = new Set(a.recognition.map(({ id }) => id));
  const out: PackDifference[] = [];
  for (const one of a.recognition) {
    const other = rights.get(one.id);
    if (other && words(one) !== words(other))
      out.push({ part: 'recognition', id: one.id, about: `Recognition: ${one.says}`, a: words(one), b: words(other) });
  }
  const rest = (pack: GuidelinePack, known: { has(id: string): boolean }): string | null =>
    pack.recognition
      .filter(({ id }) => !known.has(id))
      .map(({ says }) => says)
      .join(' | ') || null;
  const [onlyA, onlyB] = [rest(a, rights), rest(b, lefts)];
  if (onlyA !== null || onlyB !== null)
    out.push({ part: 'recognition', id: 'recognition', about: 'Recognition criteria', a: onlyA, b: onlyB });
  return out;
}
