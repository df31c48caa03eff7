/** What was said about afterwards, beside the pack's hours; and which words stop the clock "said". */
import { describe, expect, it } from 'vitest';
import type { RunExport } from '@breathline/engine';
import type { Intervention } from '@breathline/scenario';
import { reconcileWords, reviewRun, scoreRun } from '../src/index.ts';
import { INTERVENTIONS, UNCHECKED, build, end, give, pack, s, target, type Line } from './build-run.ts';

const act = (id: string, search: readonly string[] = []): Intervention => ({
  id,
  name: id,
  group: 'team',
  kind: 'team',
  search,
});
const MORE = [
  act('observation-planned'),
  act('sent-home'),
  act('referral-made'),
  act('discharge-plan'),
  act('says-anaphylaxis', ['diagnosis']),
  act('says-diagnosis', ['diagnosis']),
];
const SIX_HOURS = pack({
  observation: [{ id: 'all', says: 'after any dose', hours: 6, from: 'resolution', source: UNCHECKED }],
});

function run(lines: readonly Line[], one = SIX_HOURS): RunExport {
  const made = build({ lines: [...lines, end(s(900))], pack: one });
  const library = { ...made.definition.library, interventions: [...INTERVENTIONS, ...MORE] };
  return { ...made, definition: { ...made.definition, library } };
}
const tap = (at: number, intervention: string): Line => give(at, intervention, { amount: null });
const line = (id: string, lines: readonly Line[]) => reviewRun(run(lines)).aftercare.find((one) => one.id === id)!;

describe('the observation period', () => {
  const hours = (count: number): Line => ({ kind: 'observation-chosen', hours: count, from: 'resolution', at: s(800) });

  it('planned without hours is in part, not nothing', () => {
    expect(line('observation', [tap(s(700), 'observation-planned')])).toMatchObject({ result: 'in-part' });
    expect(line('observation', [])).toMatchObject({ result: 'not-recorded' });
  });

  it('someone let go in the drill was not watched, whatever was said', () => {
    for (const said of [[], [tap(s(700), 'observation-planned')], [hours(12)]]) {
      const found = line('observation', [...said, tap(s(850), 'sent-home')]);
      expect(found.result).toBe('below');
      expect(found.text).toContain('14:10');
    }
  });
});

describe('what a drill can not know', () => {
  const rule = (id: string, hours: number, more: object) => ({
    id,
    says: id,
    hours,
    from: 'resolution' as const,
    source: UNCHECKED,
    ...more,
  });
  const strata = pack({
    observation: [
      rule('short', 2, { needs: ['an injector is in hand', 'somebody is there'] }),
      rule('middle', 6, { orIf: ['an earlier biphasic reaction'] }),
      rule('long', 12, { orIf: ['severe asthma', 'a home far from care'] }),
    ],
  });
  const told = (circumstance: string, answer: 'yes' | 'no' | 'not-known'): Line => ({
    kind: 'circumstance-told',
    circumstance,
    answer,
    at: s(1000),
  });
  const reviewed = (count: number | null, ...answers: Line[]) => {
    const hours: Line[] =
      count === null ? [] : [{ kind: 'observation-chosen', hours: count, from: 'resolution', at: s(800) }];
    return reviewRun(run([...hours, ...answers], strata));
  };
  const chosen = (count: number, ...answers: Line[]) =>
    reviewed(count, ...answers).aftercare.find(({ id }) => id === 'observation')!;
  const NEEDS = ['an injector is in hand', 'somebody is there'];
  const OTHERS = ['an earlier biphasic reaction', 'severe asthma', 'a home far from care'];

  it('is said and never assumed: the short stay is enough in part, the longest whatever is unknown', () => {
    expect(chosen(1).result).toBe('below');
    expect(chosen(2).result).toBe('in-part');
    expect(chosen(2).text).toContain(
      'Not known in a drill: at least 6 hours unless an injector is in hand and somebody is there; at least 6 hours with an earlier biphasic reaction; at least 12 hours with severe asthma or a home far from care.',
    );
    expect(chosen(6).result).toBe('in-part');
    expect(chosen(12).result).toBe('done');
    expect(chosen(12).text).not.toContain('Not known');
  });

  it('is scored with the answer: what is so asks for longer, and both values stand in the words', () => {
    const six = chosen(6, told('severe asthma', 'yes'));
    expect(six.result).toBe('below');
    // The rule's own words are about another reason than the answer.
    expect(six.text).toContain('The pack asks for at least 12 hours from resolution. Asked');
    expect(six.text).toContain('Asked afterwards, yes: severe asthma.');
    expect(six.text).toContain('By the log alone the pack would ask for at least 2 hours.');
    expect(chosen(12, told('severe asthma', 'yes')).result).toBe('done');
  });

  it('a need that is not so makes the next longer time the least', () => {
    expect(chosen(2, told('somebody is there', 'no')).result).toBe('below');
    const six = chosen(6, told('somebody is there', 'no'));
    expect(six.result).toBe('in-part');
    expect(six.text).not.toContain('unless');
    expect(six.text).toContain('at least 12 hours with severe asthma or a home far from care');
  });

  it('with everything answered nothing is left unknown, and two hours are enough', () => {
    const answers = [...NEEDS.map((one) => told(one, 'yes')), ...OTHERS.map((one) => told(one, 'no'))];
    expect(chosen(2, ...answers).result).toBe('done');
    expect(chosen(2, ...answers).text).not.toContain('Not known');
    // One need nobody knows of keeps the time it stands for open.
    expect(chosen(2, ...answers, told('somebody is there', 'not-known'))).toMatchObject({
      result: 'in-part',
      text: expect.stringContaining('Not known in a drill: at least 6 hours unless somebody is there.'),
    });
  });

  it('"not known" scores as an answer never given, and the last answer counts', () => {
    const silent = chosen(2);
    expect(chosen(2, told('severe asthma', 'not-known'))).toEqual(silent);
    expect(chosen(2, told('severe asthma', 'yes'), told('severe asthma', 'not-known'))).toEqual(silent);
  });

  it('asks nothing where the pack has no time for what was done', () => {
    const given = pack({
      observation: [
        rule('short', 2, {
          when: { kind: 'given', interventions: ['adrenaline-im'], times: 1, minDoseShare: 0 },
          needs: NEEDS,
        }),
        rule('long', 12, {
          when: { kind: 'given', interventions: ['adrenaline-im'], times: 3, minDoseShare: 0 },
          orIf: OTHERS,
        }),
      ],
    });
    const asked = (...lines: Line[]) =>
      reviewRun(build({ lines: [...lines, end(s(900))], pack: given })).circumstances.length;
    expect(asked()).toBe(0);
    expect(asked(give(s(60), 'adrenaline-im'))).toBe(NEEDS.length + OTHERS.length);
  });

  it('asks what could make it longer, keeps the questions as answers come, and nothing where the longest was chosen', () => {
    const asked = (count: number | null, ...answers: Line[]) =>
      reviewed(count, ...answers).circumstances.map(({ says }) => says);
    expect(asked(null)).toEqual([...NEEDS, ...OTHERS]);
    expect(asked(2, told('somebody is there', 'no'), told('severe asthma', 'yes'))).toEqual([...NEEDS, ...OTHERS]);
    expect(asked(12)).toEqual([]);
    expect(reviewed(2, told('severe asthma', 'yes')).circumstances).toContainEqual({
      says: 'severe asthma',
      answer: 'yes',
    });
  });
});

describe('the answers that fit a question', () => {
  const words = (more: Parameters<typeof target>[0]) => {
    const { done, notDone, unsure } = reconcileWords(target(more), { interventions: [CALL, ...SPOKEN] });
    return [done, notDone, unsure];
  };
  const SPOKEN = [
    { ...act('aloud'), spoken: true },
    { ...act('declares'), spoken: true },
  ];
  const CALL = { ...act('call-senior'), kind: 'call' as const };

  it('are of its kind: a deed, a word, a call, a place', () => {
    expect(words({ id: 'a', interventions: ['oxygen'] })).toEqual(['Done', 'Not done', 'Not sure']);
    expect(words({ id: 'b', interventions: ['aloud', 'declares'] })).toEqual(['Said', 'Not said', 'Not sure']);
    expect(words({ id: 'c', interventions: ['call-senior'] })).toEqual(['Called', 'Not called', 'Not sure']);
    expect(words({ id: 'd', interventions: ['aloud', 'call-senior'] })[0]).toBe('Done');
    // By its field, not by how its id is spelled.
    expect(words({ id: 'f', interventions: ['says-nothing'] })[0]).toBe('Done');
    expect(words({ id: 'e', interventions: ['needle-decompression'], space: '2nd space' })).toEqual([
      'Right place',
      'Elsewhere',
      'Not seen',
    ]);
  });
});

describe('referral and plan for home', () => {
  it('are lines of their own, done when logged', () => {
    expect(line('referral', [])).toMatchObject({ result: 'not-recorded' });
    expect(line('referral', [tap(s(700), 'referral-made')])).toMatchObject({ result: 'done' });
    expect(line('discharge-plan', [])).toMatchObject({ result: 'not-recorded' });
    expect(line('discharge-plan', [tap(s(700), 'discharge-plan')])).toMatchObject({ result: 'done' });
  });
});

describe('said aloud', () => {
  const asks = pack({ targets: [target({ id: 'recognise', interventions: ['says-anaphylaxis', 'call-help'] })] });
  const saidMs = (lines: readonly Line[], one = asks) => scoreRun(run(lines, one)).clocks.saidMs;

  it('another diagnosis does not stop the clock where the pack asks for its own words', () => {
    expect(saidMs([tap(s(100), 'says-diagnosis')])).toBeNull();
    expect(saidMs([tap(s(100), 'says-diagnosis'), tap(s(200), 'says-anaphylaxis')])).toBe(s(200));
    expect(saidMs([tap(s(100), 'call-help')])).toBe(s(100));
  });

  it('any diagnosis said does, where the pack names none', () => {
    expect(saidMs([tap(s(100), 'says-diagnosis')], pack({ targets: [] }))).toBe(s(100));
  });
});
