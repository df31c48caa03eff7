import { describe, expect, it } from 'vitest';
import { ageNorms } from '@breathline/patient';
import { definitionOf, go, scenarioOf, state, thread } from './fixtures.ts';
import { entered, started } from './helpers.ts';

const low = (forMs: number) => ({
  kind: 'vital' as const,
  vital: 'spo2Percent' as const,
  op: 'below' as const,
  limit: { value: 90 },
  forMs,
});

const watch = (forMs: number) =>
  definitionOf(scenarioOf([thread('t', [state('a', { transitions: [go('b', low(forMs))] }), state('b')])]));

describe('held durations', () => {
  it('fires once the condition has held for the whole time', () => {
    const { run, put } = started(watch(2000));
    run.advanceTo(1000);
    put({ kind: 'vital-overridden', vital: 'spo2Percent', to: 80, overMs: 0 });
    run.advanceTo(10_000);
    // The override is effective at 1000, so it has held for 2000 ms at 3000.
    expect(entered(run)).toEqual([
      ['a', 0],
      ['b', 3000],
    ]);
  });

  it('starts again when the condition lapses for a single step', () => {
    const { run, put } = started(watch(2000));
    put({ kind: 'vital-overridden', vital: 'spo2Percent', to: 80, overMs: 0 });
    run.advanceTo(1900);
    put({ kind: 'vital-overridden', vital: 'spo2Percent', to: 95, overMs: 0 });
    run.advanceTo(2000);
    put({ kind: 'vital-overridden', vital: 'spo2Percent', to: 80, overMs: 0 });
    run.advanceTo(10_000);
    expect(entered(run)[1]).toEqual(['b', 4000]);
  });

  it('starts again on entering the state anew', () => {
    const definition = definitionOf(
      scenarioOf([thread('t', [state('a', { transitions: [go('b', low(3000))] }), state('b')])]),
    );
    const { run, put } = started(definition);
    put({ kind: 'vital-overridden', vital: 'spo2Percent', to: 80, overMs: 0 });
    run.advanceTo(2000);
    put({ kind: 'state-forced', thread: 't', state: 'a' });
    run.advanceTo(10_000);
    expect(entered(run).at(-1)).toEqual(['b', 5000]);
  });

  it('keeps counting a later guard while an earlier one is asked first, inside any and all alike', () => {
    const never = { kind: 'run-clock' as const, ms: 999_999_900 };
    const definition = definitionOf(
      scenarioOf([
        thread('t', [
          state('a', {
            transitions: [
              go('b', { kind: 'all', of: [never, low(1000)] }),
              go('c', { kind: 'any', of: [low(1000), low(5000)] }),
            ],
          }),
          state('b'),
          state('c'),
        ]),
      ]),
    );
    const { run, put } = started(definition);
    put({ kind: 'vital-overridden', vital: 'spo2Percent', to: 80, overMs: 0 });
    run.advanceTo(10_000);
    expect(entered(run)[1]).toEqual(['c', 1100]);
  });

  it('takes limits from the age norms', () => {
    const limit = ageNorms(7).systolicLowMmHg;
    const definition = definitionOf(
      scenarioOf([
        thread('t', [
          state('a', {
            transitions: [
              go('b', {
                kind: 'vital',
                vital: 'systolicMmHg',
                op: 'below',
                limit: { relative: 'low-limit-for-age' },
                forMs: 0,
              }),
            ],
          }),
          state('b'),
        ]),
      ]),
    );
    const { run, put } = started(definition);
    put({ kind: 'vital-overridden', vital: 'systolicMmHg', to: limit, overMs: 0 });
    run.advanceTo(1000);
    expect(run.view().threads[0]!.state).toBe('a');
    put({ kind: 'vital-overridden', vital: 'systolicMmHg', to: limit - 1, overMs: 0 });
    run.advanceTo(2000);
    expect(run.view().threads[0]!.state).toBe('b');
  });
});
