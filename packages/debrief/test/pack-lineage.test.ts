/** A site's own copy beside the published pack, and which packs a run may be scored against. */
import { describe, expect, it } from 'vitest';
import { packHash, type GuidelinePack } from '@breathline/scenario';
import { packLineage, packsFor } from '../src/index.ts';
import { CHECKED, FIRST_ADRENALINE, ORDER, UNCHECKED, build, end, pack, s } from './build-run.ts';

const names = { nameOf: (id: string) => id, unitOf: () => 'micrograms', ratePerOf: () => undefined };
const parent = pack({ id: 'published', targets: [FIRST_ADRENALINE, ORDER] });
const copy = (changes: Partial<GuidelinePack> = {}): GuidelinePack => ({
  ...parent,
  id: 'ours',
  forkedFrom: 'published',
  forkedHash: packHash(parent),
  ...changes,
});
const lineage = (one: GuidelinePack, packs: readonly GuidelinePack[] = [parent]) => packLineage(one, packs, names);

describe('a copy', () => {
  it('that changed nothing differs in nothing', () => {
    expect(lineage(copy())).toMatchObject({
      parentId: 'published',
      differences: [],
      sources: [],
      staleChecks: [],
      parentMovedOn: false,
    });
  });

  it('tells each changed line', () => {
    const targets = [{ ...FIRST_ADRENALINE, dueMs: s(60) }, ORDER];
    const found = lineage(copy({ targets }))!;
    expect(found.differences).toMatchObject([{ part: 'target', id: FIRST_ADRENALINE.id }]);
    expect(found.differences[0]!.b).toContain('due 1 min');
    expect(found.sources).toEqual([]);
  });

  it('flags a changed line that still carries the old check', () => {
    const checked = { ...FIRST_ADRENALINE, source: CHECKED };
    const from = { ...parent, targets: [checked, ORDER] };
    const found = packLineage(copy({ targets: [{ ...checked, dueMs: s(60) }, ORDER] }), [from], names)!;
    expect(found.staleChecks).toEqual([FIRST_ADRENALINE.says]);
  });

  it('tells a source, or a check, that is not the parent’s', () => {
    const other = { ...FIRST_ADRENALINE, source: { ...UNCHECKED, organisation: 'Our hospital' } };
    const found = lineage(copy({ targets: [other, ORDER] }))!;
    expect(found.differences).toEqual([]);
    expect(found.sources).toHaveLength(1);
    expect(found.sources[0]!.b).toContain('Our hospital');
    expect(found.sources[0]!.b).toContain('not checked by a clinician');
    expect(found.staleChecks).toEqual([]);
  });

  it('says when the published pack has moved on since, and when that can not be known', () => {
    const moved = { ...parent, targets: [FIRST_ADRENALINE] };
    expect(lineage(copy(), [moved])).toMatchObject({ parentMovedOn: true });
    const { forkedHash: _gone, ...unmarked } = copy();
    expect(lineage(unmarked)).toMatchObject({ parentMovedOn: null });
  });

  it('of something that is not here, or of itself, is no crash', () => {
    expect(lineage(copy(), [])).toMatchObject({ parent: null, differences: [], parentMovedOn: null });
    const itself = copy({ forkedFrom: 'ours' });
    expect(lineage(itself, [itself])).toMatchObject({ parent: null });
    expect(lineage(parent)).toBeNull();
  });
});

describe('packs for a run', () => {
  const made = build({ lines: [end(s(60))], pack: parent });
  const other = (id: string, condition: string, title: string): GuidelinePack => ({ ...parent, id, condition, title });
  const run = (packs: readonly GuidelinePack[], packId = 'published') => ({
    definition: {
      ...made.definition,
      packId,
      scenario: { ...made.definition.scenario, guidelines: ['published', 'named'] },
      library: { ...made.definition.library, packs },
    },
  });
  const same = parent.condition;
  const packs = [
    other('croup', 'croup', 'Croup'),
    other('b', same, 'B'),
    other('a', same, 'A'),
    other('named', same, 'Z, named by the scenario'),
    parent,
  ];

  it('the run’s own first, then those its scenario names, then others of the illness; other illnesses apart', () => {
    const found = packsFor(run(packs));
    expect(found.same.map(({ id }) => id)).toEqual(['published', 'named', 'a', 'b']);
    expect(found.others.map(({ id }) => id)).toEqual(['croup']);
    expect(packsFor(run(packs, 'a')).same.map(({ id }) => id)).toEqual(['a', 'published', 'named', 'b']);
  });

  it('goes by the scenario’s pack where the run’s own is gone, and offers all apart where none is left', () => {
    expect(packsFor(run(packs, 'gone')).same.map(({ id }) => id)).toEqual(['published', 'named', 'a', 'b']);
    expect(packsFor(run([packs[0]!], 'gone'))).toMatchObject({ same: [], others: [{ id: 'croup' }] });
  });
});
