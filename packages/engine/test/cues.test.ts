import { describe, expect, it } from 'vitest';
import { after, cue, definitionOf, go, scenarioOf, state, thread } from './fixtures.ts';
import { started } from './helpers.ts';

const definition = definitionOf(
  scenarioOf([
    thread('t', [
      state('a', { cues: [cue('early', 1000), cue('late', 5000)], transitions: [go('b', after(3000))] }),
      state('b', {
        cues: [
          cue('low', 500, {
            onlyIf: { kind: 'vital', vital: 'spo2Percent', op: 'below', limit: { value: 90 }, forMs: 0 },
          }),
        ],
      }),
    ]),
  ]),
);

describe('cues', () => {
  it('fall due so long after entering, and lapse on exit', () => {
    const { run } = started(definition);
    run.advanceTo(900);
    expect(run.view().cuesDue).toEqual([]);
    run.advanceTo(1100);
    expect(run.view().cuesDue.map((each) => [each.cue.id, each.dueAtMs])).toEqual([['early', 1000]]);
    run.advanceTo(3100);
    expect(run.view().cuesDue).toEqual([]);
    expect(run.derived.filter((fact) => fact.kind === 'cue-lapsed')).toEqual([
      { kind: 'cue-lapsed', atMs: 3000, cue: 'early' },
    ]);
    run.advanceTo(20_000);
    expect(run.derived.some((fact) => fact.kind === 'cue-due' && fact.cue === 'late')).toBe(false);
  });

  it('once spoken do not lapse, and say when they were spoken', () => {
    const { run, put } = started(definition);
    run.advanceTo(2000);
    put({ kind: 'cue-spoken', cue: 'early' });
    expect(run.view().cuesDue[0]!.spokenAtMs).toBe(2000);
    run.advanceTo(4000);
    expect(run.derived.some((fact) => fact.kind === 'cue-lapsed')).toBe(false);
  });

  it('wait for their condition', () => {
    const { run, put } = started(definition);
    run.advanceTo(10_000);
    expect(run.view().cuesDue).toEqual([]);
    put({ kind: 'vital-overridden', vital: 'spo2Percent', to: 80, overMs: 0 });
    run.advanceTo(11_000);
    expect(run.view().cuesDue.map((each) => each.cue.id)).toEqual(['low']);
  });

  it('start again when their state is entered again', () => {
    const { run, put } = started(definition);
    run.advanceTo(4000);
    put({ kind: 'state-forced', thread: 't', state: 'a' });
    run.advanceTo(4900);
    expect(run.view().cuesDue).toEqual([]);
    run.advanceTo(5100);
    expect(run.view().cuesDue.map((each) => each.dueAtMs)).toEqual([5000]);
  });
});
