import { readFileSync, readdirSync } from 'node:fs';
import path from 'node:path';
import { buildLibrary, readScenario } from '@breathline/scenario';
import { describe, expect, it } from 'vitest';
import { NO_FILTERS, entryOf, shelf, type ShelfEntry } from '../../src/lib/library/shelf.ts';

const folder = path.resolve(import.meta.dirname, '../../../../scenarios');
const files = (part: string): { file: string; text: string }[] =>
  readdirSync(path.join(folder, part))
    .filter((file) => file.endsWith('.yaml'))
    .map((file) => ({ file, text: readFileSync(path.join(folder, part, file), 'utf8') }));

/** What the shipped scenarios are to the page, as the server words a card. */
function shippedShelf(): ShelfEntry[] {
  const library = buildLibrary({ formularies: files('formulary'), packs: files('guidelines') });
  if (!library.ok) throw new Error('The library can not be read.');
  return files('.').map(({ file, text }) => {
    const read = readScenario(text, { file, library: library.value });
    if (!read.ok) throw new Error(`${file} can not be read.`);
    const { id, title, summary, level, setting, patient, guidelines, objectives } = read.value;
    const packs = library.value.packs;
    return entryOf(
      {
        ...{ id, title, summary, level, setting, file },
        patientText: `${patient.name}, ${patient.ageText}, ${patient.weightKg} kg`,
        ageYears: patient.ageYears,
        weightKg: patient.weightKg,
        guidelines: guidelines.map((one) => ({ id: one, title: packs.find((pack) => pack.id === one)?.title ?? one })),
        objectives: objectives.map(({ says }) => says),
        warnings: 0,
      },
      packs,
    );
  });
}

const entries = shippedShelf();
const found = (words: string): string[] => shelf(entries, { ...NO_FILTERS, words }, []).map(({ card }) => card.id);

describe('finding a scenario', () => {
  it('knows the short forms, spellings and lay words people type', () => {
    expect(found('COPD')).toEqual(['blue-at-the-bus-stop']);
    expect(found('collapsed lung')).toEqual(['fell-off-a-ladder']);
    expect(found('pulmonary edema')).toEqual(['cannot-lie-down']);
    expect(found('opiate overdose')).toEqual(['wants-to-go-home']);
    expect(found('choking toddler')).toEqual(['grape-at-the-party']);
    expect(found('rsv')).toEqual(['six-weeks-old-off-feeds']);
    expect(found('baby allergy')).toEqual(['first-peanut-toast']);
  });

  it('finds children by what they are called, and no adult among them', () => {
    for (const words of ['child', 'paediatric', 'pediatric']) {
      const ages = shelf(entries, { ...NO_FILTERS, words }, []).map(({ card }) => card.ageYears);
      expect(ages.filter((years) => years < 18)).toHaveLength(entries.filter(({ card }) => card.ageYears < 18).length);
      expect(ages.filter((years) => years >= 18)).toEqual([]);
    }
  });

  it('asks that every word is there, and says nothing for words nobody wrote', () => {
    expect(found('copd toddler')).toEqual([]);
    expect(found('zebra')).toEqual([]);
    expect(found('')).toHaveLength(entries.length);
  });
});
