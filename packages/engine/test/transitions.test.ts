import { describe, expect, it } from 'vitest';
import { createRun } from '../src/index.ts';
import { after, cue, definitionOf, give, go, scenarioOf, START, state, thread } from './fixtures.ts';
import { entered, kinds, started } from './helpers.ts';

const machine = (...threads: ReturnType<typeof thread>[]) => definitionOf(scenarioOf(threads));

describe('transitions', () => {
  it('takes the first transition in document order whose guard holds', () => {
    const { run } = started(
      machine(
        thread('t', [
          state('a', { transitions: [go('c', after(1000)), go('b', after(1000))] }),
          state('b'),
          state('c'),
        ]),
      ),
    );
    run.advanceTo(3000);
    expect(entered(run)).toEqual([
      ['a', 0],
      ['c', 1000],
    ]);
  });

  it('takes at most one transition per thread per step, and stays a step in each state', () => {
    const { run } = started(
      machine(
        thread('t', [
          state('a', { transitions: [go('b', after(0))] }),
          state('b', { transitions: [go('c', after(0))] }),
          state('c', { transitions: [go('d', after(0))] }),
          state('d'),
        ]),
      ),
    );
    run.advanceTo(1000);
    expect(entered(run)).toEqual([
      ['a', 0],
      ['b', 100],
      ['c', 200],
      ['d', 300],
    ]);
  });

  it('lets threads see each other only as they were when the step began', () => {
    const swap = (id: string, other: string) =>
      thread(id, [
        state('x', {
          transitions: [go('y', { kind: 'all', of: [after(500), { kind: 'state', thread: other, state: 'x' }] })],
        }),
        state('y'),
      ]);
    const { run } = started(machine(swap('one', 'two'), swap('two', 'one')));
    run.advanceTo(2000);
    // Both saw the other still in x, so both moved in the same step.
    expect(entered(run).slice(2)).toEqual([
      ['y', 500],
      ['y', 500],
    ]);
  });

  it('orders effects: exit, transition, entry', () => {
    const { run } = started(
      machine(
        thread('t', [
          state('a', { cues: [cue('first', 200)], transitions: [go('b', after(1000))] }),
          state('b', { cues: [cue('second', 0)] }),
        ]),
      ),
    );
    run.advanceTo(2000);
    expect(kinds(run.derived)).toEqual(['state-entered', 'cue-due', 'cue-lapsed', 'state-entered', 'cue-due']);
  });

  it('asks the patient for the drives of the state entered, not before', () => {
    const { run } = started(
      machine(
        thread('t', [
          state('well', { transitions: [go('ill', after(10_000))] }),
          state('ill', { drives: [{ kind: 'drive', drive: 'bronchospasm', to: 0.8, overMs: 0 }] }),
        ]),
      ),
    );
    run.advanceTo(10_000);
    const before = run.view().trueVitals.bronchospasmFraction;
    run.advanceTo(40_000);
    expect(before).toBeLessThan(0.05);
    expect(run.view().trueVitals.bronchospasmFraction).toBeGreaterThan(0.1);
  });

  it('counts doses by share of the pack, by number and by time', () => {
    const { run, put } = started(
      machine(
        thread('t', [
          state('a', {
            transitions: [
              go('b', {
                kind: 'given',
                interventions: ['adrenaline-im'],
                times: 2,
                minDoseShare: 0.5,
                withinMs: 60_000,
              }),
            ],
          }),
          state('b'),
        ]),
      ),
    );
    put(give('adrenaline-im', 300, 'micrograms'));
    run.advanceTo(70_000);
    put(give('adrenaline-im', 300, 'micrograms'));
    run.advanceTo(71_000);
    expect(run.view().threads[0]!.state).toBe('a'); // the first is too long ago
    put(give('adrenaline-im', 30, 'micrograms'));
    run.advanceTo(72_000);
    expect(run.view().threads[0]!.state).toBe('a'); // a tenth does not count
    put(give('adrenaline-im', 0.3, 'mg'));
    run.advanceTo(73_000);
    expect(run.view().threads[0]!.state).toBe('b');
  });

  it('does not count what was only said or drawn up', () => {
    const { run, put } = started(
      machine(
        thread('t', [
          state('a', {
            transitions: [go('b', { kind: 'given', interventions: ['adrenaline-im'], times: 1, minDoseShare: 0 })],
          }),
          state('b'),
        ]),
      ),
    );
    put({ kind: 'intervention', intervention: 'adrenaline-im', step: 'drawn-up', amount: 300, doseSeen: false });
    run.advanceTo(1000);
    expect(run.view().threads[0]!.state).toBe('a');
    expect(run.view().doses).toEqual([]);
  });

  it('answers a faculty press only in the state where it was pressed', () => {
    const press = { kind: 'faculty' as const, label: 'on' };
    const { run, put } = started(
      machine(
        thread('t', [
          state('a', { transitions: [go('b', press)] }),
          state('b', { transitions: [go('c', press)] }),
          state('c'),
        ]),
      ),
    );
    run.advanceTo(500);
    put({ kind: 'faculty-flag', label: 'on' });
    run.advanceTo(2000);
    expect(run.view().threads[0]!.state).toBe('b');
    put({ kind: 'faculty-flag', label: 'on' });
    run.advanceTo(3000);
    expect(run.view().threads[0]!.state).toBe('c');
  });

  it('forces a state without moving the vitals, and does not leave it in the same step', () => {
    const { run, put } = started(machine(thread('t', [state('a'), state('b', { transitions: [go('a', after(0))] })])));
    run.advanceTo(1000);
    const before = run.view().trueVitals;
    put({ kind: 'state-forced', thread: 't', state: 'b' });
    expect(run.view().trueVitals).toEqual(before);
    expect(run.view().threads[0]!.state).toBe('b');
    run.advanceTo(1100);
    expect(run.view().threads[0]!.state).toBe('b');
    run.advanceTo(1200);
    expect(run.view().threads[0]!.state).toBe('a');
    expect(run.derived.filter((fact) => fact.kind === 'state-entered' && fact.forced)).toHaveLength(1);
  });

  it('says how close each guard is, and why', () => {
    const { run } = started(machine(thread('t', [state('a', { transitions: [go('b', after(10_000))] }), state('b')])));
    run.advanceTo(5000);
    const next = run.view().threads[0]!.next[0]!;
    expect(next.closeness).toBeCloseTo(0.5);
    expect(next.because).toBe('10 s in this state, now 5 s');
  });

  it('uses the run clock, and nothing happens before the start', () => {
    const run = createRun(
      machine(thread('t', [state('a', { transitions: [go('b', { kind: 'run-clock', ms: 300 })] }), state('b')])),
    );
    expect(run.advanceTo(5000)).toBe(0);
    expect(run.phase).toBe('ready');
    run.apply({
      seq: 1,
      take: 1,
      appliedAtMs: 0,
      occurredAtMs: 0,
      wallTime: '',
      by: { role: 'lead' },
      ...START,
    } as never);
    run.advanceTo(5000);
    expect(entered(run)).toEqual([
      ['a', 0],
      ['b', 300],
    ]);
  });
});
