/** A site's own copy of a pack says the same as its parent, names it, and carries its fingerprint. */
import { describe, expect, test } from 'vitest';
import { forkPack, packHash, readPack } from '../src/index.ts';
import { filesIn, must, shippedLibrary } from './support.ts';

const library = shippedLibrary();
const { interventions } = library;
const files = filesIn('guidelines');
const textOf = (id: string): string => files.find(({ file }) => file.endsWith(`${id}.yaml`))!.text;
const parentOf = (id: string) => library.packs.find((pack) => pack.id === id)!;
const copy = (id: string, asId: string, title?: string) =>
  forkPack(textOf(id), { parent: parentOf(id), asId, interventions, ...(title === undefined ? {} : { title }) });

describe('every shipped pack', () => {
  test.each(library.packs.map(({ id }) => id))('%s', (id) => {
    const made = copy(id, 'our-own');
    if (!made.ok) throw new Error(made.problem);
    const read = must(readPack(made.text, { file: 'our-own.yaml', interventions }));
    expect(read).toMatchObject({
      id: 'our-own',
      forkedFrom: id,
      forkedHash: packHash(parentOf(id)),
      title: `${parentOf(id).title}, our copy`,
    });
    expect({ ...read, id, title: parentOf(id).title, forkedFrom: undefined, forkedHash: undefined }).toEqual(
      parentOf(id),
    );
    // Comments are the reasons of the lines they stand by: they come along.
    expect(made.text.split('\n').filter((line) => line.startsWith('#')).length).toBeGreaterThan(
      textOf(id)
        .split('\n')
        .filter((line) => line.startsWith('#')).length,
    );
  });
});

describe('the fingerprint', () => {
  const parent = parentOf('anaphylaxis-uk-2021');

  test('is of what a pack says, not of how it is laid out', () => {
    const spaced = must(
      readPack(`${textOf('anaphylaxis-uk-2021')}\n# one more comment\n`, { file: 'x.yaml', interventions }),
    );
    expect(packHash(spaced)).toBe(packHash(parent));
  });

  test('changes with one dose', () => {
    const other = textOf('anaphylaxis-uk-2021').replace('dose: 500 mL', 'dose: 400 mL');
    expect(packHash(must(readPack(other, { file: 'x.yaml', interventions })))).not.toBe(packHash(parent));
  });
});

describe('a copy of a copy, and titles', () => {
  test('names its own parent, once', () => {
    const first = copy('croup-uk', 'ours');
    if (!first.ok) throw new Error(first.problem);
    const parent = must(readPack(first.text, { file: 'ours.yaml', interventions }));
    const second = forkPack(first.text, { parent, asId: 'ours-again', interventions });
    if (!second.ok) throw new Error(second.problem);
    expect(must(readPack(second.text, { file: 'x.yaml', interventions }))).toMatchObject({
      forkedFrom: 'ours',
      forkedHash: packHash(parent),
    });
  });

  test('a title with quotes and colons stays one title', () => {
    const made = copy('croup-uk', 'ours', 'Ward 3: "croup"\nid: evil');
    if (!made.ok) throw new Error(made.problem);
    expect(must(readPack(made.text, { file: 'x.yaml', interventions }))).toMatchObject({
      id: 'ours',
      title: 'Ward 3: "croup"\nid: evil',
    });
  });
});

describe('refused in words', () => {
  test.each(['', 'Ours', '../ours', 'a b', 'ours.yaml', '-ours', 'ours-', 'x'.repeat(61), 'croup-uk'])('%j', (asId) => {
    const made = copy('croup-uk', asId);
    expect(made.ok).toBe(false);
    if (!made.ok) expect(made.mend).not.toBe('');
  });

  test.each(['', 'not: [closed', 'id: a\nid: b\n', '{}'])('a text that is no pack: %j', (text) => {
    const made = forkPack(text, { parent: parentOf('croup-uk'), asId: 'ours', interventions });
    expect(made).toMatchObject({ ok: false });
  });
});
