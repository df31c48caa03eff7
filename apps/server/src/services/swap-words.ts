/** The same scenario with one word of its story changed, for instance the food that did it. Told apart from the model. */
import type { Scenario } from '@breathline/scenario';
import { Refusal } from '../refusal.ts';

/** Fields that are read by people; ids, kinds and numbers are never touched. */
const FOR_PEOPLE: ReadonlySet<string> = new Set([
  'title',
  'learnerTitle',
  'allergies',
  'summary',
  'story',
  'says',
  'text',
  'words',
  'answer',
  'asks',
  'name',
  'setting',
  'caption',
  'why',
  'rationale',
  'notes',
  'questions',
]);

/** "Cashew" for "Peanut" where the sentence begins with it. */
const likeCase = (found: string, to: string): string =>
  found[0] !== undefined && found[0] !== found[0].toLowerCase() ? to[0]!.toUpperCase() + to.slice(1) : to;

/** Throws a `Refusal` when the story has no such word. */
export const swapWords = (
  scenario: Scenario,
  { from, to }: { readonly from: string; readonly to: string },
): Scenario => {
  const escaped = from.trim().replace(/[.*+?^${}()|[\]\\]/g, '\\$&');
  const word = new RegExp(`(?<![\\p{L}\\p{N}])${escaped}(?![\\p{L}\\p{N}])`, 'giu');
  let swaps = 0;
  const walk = (value: unknown, readable: boolean): unknown => {
    if (typeof value === 'string') {
      return readable
        ? value.replace(word, (found) => {
            swaps += 1;
            return likeCase(found, to.trim());
          })
        : value;
    }
    if (Array.isArray(value)) return value.map((each) => walk(each, readable));
    if (typeof value !== 'object' || value === null) return value;
    return Object.fromEntries(Object.entries(value).map(([key, each]) => [key, walk(each, FOR_PEOPLE.has(key))]));
  };
  const swapped = walk(scenario, false) as Scenario;
  if (from.trim() === '' || to.trim() === '' || swaps === 0) {
    throw new Refusal('bad-shape', `Nothing in this scenario’s words says "${from}".`, {
      hint: 'Type the word as the story has it, for instance the food that did it.',
    });
  }
  return swapped;
};
