import { describe, expect, it } from 'vitest';
import {
  fullAssessment,
  heroOf,
  letterAssessments,
  oneTapActions,
  sections,
  soloGroups,
} from '../../src/lib/console/catalogue.ts';
import { parseQuery, searchInterventions } from '../../src/lib/console/search.ts';
import { interventions, library, scenario } from './sample.ts';

describe('the catalogue on the console', () => {
  it('files every intervention once, devices apart', () => {
    const all = sections(library).flatMap((section) => section.items.map((item) => item.id));
    expect([...all].sort()).toEqual(interventions.map((item) => item.id).sort());
    expect(
      sections(library)
        .find((section) => section.id === 'devices')
        ?.items.map((item) => item.id),
    ).toEqual(['probe']);
    expect(sections(library).map((section) => section.letter)).toEqual(['A', 'B', 'C', 'D', 'E', 'Team', 'Kit']);
  });

  it("puts the scenario's handy actions first, then the ranks, without adrenaline IM or kit", () => {
    expect(oneTapActions(library, scenario).map((item) => item.id)).toEqual([
      'salbutamol-neb',
      'oxygen-15',
      'legs-raised',
      'crystalloid',
      'call-help',
    ]);
    expect(oneTapActions(library, scenario, 2)).toHaveLength(2);
  });

  it('adrenaline has its own place only where the pack has a dose of it or asks for it', () => {
    const [own] = library.packs;
    const packed = (part: object) =>
      heroOf({ ...library, packs: [{ ...own!, doses: [], targets: [], ...part }] }, own!.id);
    const target = { contraindicated: false, interventions: ['adrenaline-im'] };
    expect(packed({})).toBeUndefined();
    expect(packed({ targets: [target] })?.id).toBe('adrenaline-im');
    expect(packed({ targets: [{ ...target, contraindicated: true }] })).toBeUndefined();
    expect(packed({ doses: [{ intervention: 'adrenaline-im' }] })?.id).toBe('adrenaline-im');
    expect(heroOf(library, 'no-such-pack')?.id).toBe('adrenaline-im');
  });

  it('solo: what the author marked handy comes before what the formulary ranks', () => {
    const oxygen = interventions.find(({ id }) => id === 'oxygen-15')!;
    const more = {
      ...library,
      interventions: [{ ...oxygen, id: 'niv', oneTap: 50 }, { ...oxygen, id: 'mask', oneTap: 9 }, ...interventions],
    };
    const ids = (handy: readonly string[]) =>
      soloGroups(more, { ...scenario, handy }, 2)[0]!.items.map((item) => item.id);
    expect(ids([])).toEqual(['oxygen-15', 'mask']);
    expect(ids(['niv'])).toEqual(['niv', 'oxygen-15']);
    // Of two that nobody ranked a mask comes before a machine.
    const unranked = { ...oxygen, oneTap: undefined };
    const machine = { ...unranked, id: 'machine', oxygen: { ...oxygen.oxygen!, device: 'niv' as const } };
    const plain = { ...library, interventions: [machine, { ...unranked, id: 'simple' }, ...interventions] };
    expect(soloGroups(plain, scenario)[0]!.items.map(({ id }) => id)).toEqual(['oxygen-15', 'simple', 'machine']);
  });

  it('fills the four solo groups and finds the assessments', () => {
    expect(soloGroups(library, scenario).map((group) => group.items.map((item) => item.id))).toEqual([
      ['oxygen-15'],
      ['legs-raised'],
      ['call-help'],
      ['crystalloid'],
    ]);
    expect(fullAssessment(library, false)?.id).toBe('reassess-a-to-e');
    // A formulary without a first look of its own still has a look at everything.
    expect(fullAssessment(library, true)?.id).toBe('reassess-a-to-e');
    expect(letterAssessments(library, 'breathing').map((item) => item.id)).toEqual(['listen']);
    expect(letterAssessments(library, 'airway')).toEqual([]);
  });
});

describe('search', () => {
  const first = (text: string) => searchInterventions(interventions, text)[0]?.item.id;

  it('finds adrenaline IM from "adr im", whichever order, and the nebulised one from "adr neb"', () => {
    expect(first('adr im')).toBe('adrenaline-im');
    expect(first('im adr')).toBe('adrenaline-im');
    expect(first('adr neb')).toBe('adrenaline-neb');
    expect(first('adr')).toBe('adrenaline-im');
  });

  it('knows synonyms and the other English', () => {
    expect(first('o2')).toBe('oxygen-15');
    expect(first('saline')).toBe('crystalloid');
    expect(first('epi')).toBe('adrenaline-im');
    expect(first('albut')).toBe('salbutamol-neb');
  });

  it('gives nothing for nonsense or an empty box', () => {
    expect(searchInterventions(interventions, 'zzz')).toEqual([]);
    expect(searchInterventions(interventions, '  ')).toEqual([]);
    expect(searchInterventions(interventions, 'adr zzz')).toEqual([]);
  });

  it('reads an amount at the end but leaves names with digits alone', () => {
    expect(parseQuery('adr im 300')).toEqual({ words: ['adr', 'im'], amount: { value: 300, unit: null } });
    expect(parseQuery('adr im 0.3 mL')).toEqual({ words: ['adr', 'im'], amount: { value: 0.3, unit: 'mL' } });
    expect(parseQuery('adr im 0,3ml')).toEqual({ words: ['adr', 'im'], amount: { value: 0.3, unit: 'mL' } });
    expect(parseQuery('o2')).toEqual({ words: ['o2'], amount: null });
    expect(parseQuery('15')).toEqual({ words: ['15'], amount: null });
  });
});
