/**
 * Search for one hand on a keyboard: "adr im" and Enter. Each word typed must begin some word of the item (or be
 * inside one); a number at the end is an amount ("adr im 300", "adr im 0.3 mL").
 */
import type { Intervention } from '@breathline/scenario';
import { tileName } from './catalogue.ts';

export interface TypedAmount {
  readonly value: number;
  /** "mL" when a volume was typed; null when the unit was left out (the intervention's own is meant). */
  readonly unit: string | null;
}

export interface SearchQuery {
  readonly words: readonly string[];
  readonly amount: TypedAmount | null;
}

export interface SearchHit {
  readonly item: Intervention;
  readonly score: number;
}

const UNITS: Readonly<Record<string, string>> = {
  ml: 'mL',
  mg: 'mg',
  g: 'g',
  microgram: 'micrograms',
  micrograms: 'micrograms',
  units: 'units',
  unit: 'units',
};

/** Words of a text for matching: lower case, accents dropped, letters and digits only. */
export function searchWords(text: string): string[] {
  return text
    .normalize('NFKD')
    .replace(/[\u0300-\u036f]/g, '')
    .toLowerCase()
    .split(/[^a-z0-9.]+/)
    .map((word) => word.replace(/^\.+|\.+$/g, ''))
    .filter((word) => word.length > 0);
}

/** Split what was typed into words and, at its end, an amount. A number that is part of a name ("O2") stays a word. */
export function parseQuery(text: string): SearchQuery {
  const words = searchWords(text.replace(/(\d),(\d)/g, '$1.$2'));
  const last = words.at(-1);
  if (last === undefined) return { words, amount: null };
  const joined = /^(\d+(?:\.\d+)?)([a-z]*)$/.exec(last);
  if (joined && words.length > 1) {
    const unit = joined[2] === '' ? null : UNITS[joined[2]!];
    if (unit !== undefined) return { words: words.slice(0, -1), amount: { value: Number(joined[1]), unit } };
  }
  const before = words.at(-2);
  const unit = UNITS[last];
  if (unit !== undefined && words.length > 2 && before !== undefined && /^\d+(\.\d+)?$/.test(before)) {
    return { words: words.slice(0, -2), amount: { value: Number(before), unit } };
  }
  return { words, amount: null };
}

/** How well one typed word fits a list of words: 3 the whole word, 2 its beginning, 1 inside it, 0 not at all. */
function fit(typed: string, words: readonly string[]): number {
  let best = 0;
  for (const word of words) {
    if (word === typed) return 3;
    if (word.startsWith(typed)) best = Math.max(best, 2);
    else if (typed.length >= 3 && word.includes(typed)) best = Math.max(best, 1);
  }
  return best;
}

/** All matches, best first. Ties go to the commoner action, then the shorter name. */
export function searchInterventions(items: readonly Intervention[], text: string, limit = 8): readonly SearchHit[] {
  const { words } = parseQuery(text);
  if (words.length === 0) return [];
  const hits: SearchHit[] = [];
  for (const item of items) {
    const named = searchWords(`${item.name} ${item.nameUs ?? ''} ${tileName(item)}`);
    const filed = searchWords(
      [item.id, item.drug ?? '', item.route ?? '', ...(item.routes ?? []), ...item.search].join(' '),
    );
    const around = searchWords(`${item.kind} ${item.group}`);
    let score = 0;
    for (const word of words) {
      const here = Math.max(fit(word, named) * 4, fit(word, filed) * 3, fit(word, around));
      if (here === 0) {
        score = 0;
        break;
      }
      score += here;
    }
    if (score > 0) hits.push({ item, score: score + (item.oneTap === undefined ? 0 : 2 / (1 + item.oneTap)) });
  }
  hits.sort((a, b) => b.score - a.score || a.item.name.length - b.item.name.length);
  return hits.slice(0, limit);
}
