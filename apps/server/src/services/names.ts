/** Finding and hiding the names this site knows. */
import type { PersonEntry } from '@breathline/protocol';

const pattern = (words: string): RegExp =>
  new RegExp(`(?<![\\p{L}\\p{N}])${words.replace(/[.*+?^${}()|[\]\\]/g, '\\$&')}(?![\\p{L}\\p{N}])`, 'giu');

/** A whole name, or a part of it long enough not to be any word: "Ann Example" is also found as "Example". */
const partsOf = (name: string): string[] => {
  const whole = name.trim();
  if (whole === '') return [];
  const parts = whole.split(/\s+/).filter((part) => part.length >= 3);
  return [...new Set([whole, ...parts])].sort((a, b) => b.length - a.length);
};

/** Does a text speak of this person, by name or by pseudonym? */
export const speaksOf = (text: string, { name, pseudonym }: Pick<PersonEntry, 'name' | 'pseudonym'>): boolean =>
  [...partsOf(name), pseudonym].some((part) => pattern(part).test(text));

/** The text with every known name, whole or in part, as its pseudonym. */
export const withoutNames = (text: string, people: readonly Pick<PersonEntry, 'name' | 'pseudonym'>[]): string =>
  people.reduce(
    (so, { name, pseudonym }) => partsOf(name).reduce((now, part) => now.replace(pattern(part), pseudonym), so),
    text,
  );
