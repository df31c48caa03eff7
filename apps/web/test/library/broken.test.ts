import { readFileSync, readdirSync } from 'node:fs';
import path from 'node:path';
import { buildLibrary, readScenario } from '@breathline/scenario';
import { describe, expect, it } from 'vitest';
import { placeWords, worthSaying } from '../../src/lib/library/broken.ts';

const folder = path.resolve(import.meta.dirname, '../../../../scenarios');
const files = (part: string): { file: string; text: string }[] =>
  readdirSync(path.join(folder, part))
    .filter((file) => file.endsWith('.yaml'))
    .map((file) => ({
      file,
      text: readFileSync(path.join(folder, part, file), 'utf8'),
    }));
const library = buildLibrary({ formularies: files('formulary'), packs: files('guidelines') });
const file = 'cashew-cookery-club.yaml';
const text = readFileSync(path.join(folder, file), 'utf8');

/** The errors of the shipped file with one slip in it. */
const slip = (from: string, to: string) => {
  if (!library.ok || !text.includes(from)) throw new Error('Nothing to slip in.');
  const read = readScenario(text.replace(from, to), { file, library: library.value });
  if (read.ok) throw new Error('The slip was taken for right.');
  return read.errors;
};

describe('a file that can not be read', () => {
  it('one slip of indentation is one thing to mend, at its own line, with how', () => {
    const errors = slip('  weight: 27 kg', ' weight: 27 kg');
    expect(errors.length).toBeGreaterThan(3);
    const said = worthSaying(errors);
    expect(said.errors).toHaveLength(1);
    expect(said.following).toBe(errors.length - 1);
    expect(placeWords(said.errors[0]!)).toBe('Line 24, column 1:');
    expect(said.errors[0]!.hint).toMatch(/indented/);
  });

  it('errors that stand on their own are all said, as the reader wrote them', () => {
    const errors = slip('  weight: 27 kg', '  wieght: 27');
    expect(worthSaying(errors)).toEqual({ errors, following: 0 });
  });

  it('a file as a whole has no place', () => {
    expect(placeWords({ line: 0, column: 0 })).toBe('');
  });
});
