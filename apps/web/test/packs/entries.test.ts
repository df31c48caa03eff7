import { readdirSync, readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { buildLibrary, forkPack, libraryHash, readPack, type Library } from '@breathline/scenario';
import { differsText, packEntries, proposedId } from '../../src/lib/packs/entries.ts';

const folder = new URL('../../../../scenarios/', import.meta.url).pathname;
const texts = (name: string) =>
  readdirSync(`${folder}${name}`)
    .filter((file) => file.endsWith('.yaml'))
    .map((file) => ({ file, text: readFileSync(`${folder}${name}/${file}`, 'utf8') }));
const built = buildLibrary({ formularies: texts('formulary'), packs: texts('guidelines') });
if (!built.ok) throw new Error('the shipped library does not build');
const library = built.value;

/** The library with a copy of the UK pack, one dose of it changed. */
function withCopy(change: (text: string) => string): Library {
  const parent = library.packs.find(({ id }) => id === 'anaphylaxis-uk-2021')!;
  const { interventions } = library;
  const { text } = texts('guidelines').find(({ file }) => file === 'anaphylaxis-uk-2021.yaml')!;
  const copy = forkPack(text, { parent, asId: 'ours', interventions });
  if (!copy.ok) throw new Error(copy.problem);
  const changed = change(copy.text);
  const read = readPack(changed, { file: 'ours.yaml', interventions });
  if (!read.ok) throw new Error('the copy does not read');
  const packs = [...library.packs, read.value];
  return { interventions, packs, hash: libraryHash({ interventions, packs }) };
}

describe('packEntries', () => {
  it('marks a review date that has passed, and only then', () => {
    const on = (today: string) => packEntries(library, [], today).filter(({ overdue }) => overdue).length;
    const dates = library.packs.map(({ reviewBy }) => reviewBy).sort();
    expect(on(dates[0]!)).toBe(0);
    expect(on('2099-01-01')).toBe(library.packs.length);
  });

  it('counts how each line was seen, and every line once', () => {
    for (const entry of packEntries(library, [], '2026-11-30')) {
      const counted = [...entry.seen.matchAll(/(\d+) /g)].reduce((sum, [, n]) => sum + Number(n), 0);
      expect(counted, entry.pack.id).toBe(entry.lines);
      expect(entry.checkedOn, entry.pack.id).toMatch(/^\d{4}-\d\d-\d\d$/);
    }
  });

  it('puts a site’s own copy first and says in how many lines it differs', () => {
    const changed = withCopy((text) => text.replace('dose: 500 mL', 'dose: 400 mL'));
    const [first] = packEntries(changed, [{ id: 'ours', file: 'guidelines/ours.yaml' }], '2026-11-30');
    expect(first).toMatchObject({ pack: { id: 'ours' }, file: 'guidelines/ours.yaml' });
    expect(differsText(first!.lineage!)).toBe('differs in 1 line');
    expect(first!.lineage!.differences[0]!.b).toContain('400 to 1,000 mL');
    const [same] = packEntries(
      withCopy((text) => text),
      [],
      '2026-11-30',
    );
    expect(differsText(same!.lineage!)).toBe('says the same, copied');
  });
});

describe('proposedId', () => {
  it.each([
    ['Harbour Hospital', 'harbour-hospital-croup-uk'],
    ['  St. Éloi’s! ', 'st-eloi-s-croup-uk'],
    ['../../etc', 'etc-croup-uk'],
    ['3 West', 'west-croup-uk'],
    ['!!!', ''],
    ['', ''],
  ])('%j', (site, id) => expect(proposedId(site, 'croup-uk')).toBe(id));

  it('is never longer than an id may be', () => {
    const id = proposedId('A very long name of a very large hospital trust', 'anaphylaxis-uk-2021');
    expect(id.length).toBeLessThanOrEqual(60);
    expect(id).toMatch(/^[a-z][a-z0-9]*(-[a-z0-9]+)*$/);
  });
});
