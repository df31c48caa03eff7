import { describe, expect, it } from 'vitest';
import { createRun, EngineError, type EngineErrorCode } from '../src/index.ts';
import { after, definitionOf, give, go, REACTION, scenarioOf, state, thread } from './fixtures.ts';
import { started } from './helpers.ts';

const code = (act: () => void): EngineErrorCode | null => {
  try {
    act();
  } catch (error) {
    if (error instanceof EngineError) return error.code;
    throw error;
  }
  return null;
};

describe('faults', () => {
  it('a thread going in circles is held and said to be; the rest of the run goes on', () => {
    const definition = definitionOf(
      scenarioOf([
        thread('spin', [
          state('a', { transitions: [go('b', after(0))] }),
          state('b', { transitions: [go('a', after(0))] }),
        ]),
        thread('fine', [state('x', { transitions: [go('y', after(60_000))] }), state('y')]),
      ]),
    );
    const { run, put } = started(definition);
    run.advanceTo(70_000);
    expect(run.view().faults[0]).toContain('“spin”');
    expect(run.derived.filter((fact) => fact.kind === 'fault')).toHaveLength(1);
    expect(run.view().threads[1]!.state).toBe('y');
    expect(run.derived.length).toBeLessThan(40);
    put({ kind: 'state-forced', thread: 'spin', state: 'a' });
    run.advanceTo(70_300);
    expect(run.view().threads[0]!.sinceMs).toBeGreaterThan(70_000);
  });

  it('a transition to nowhere, an impossible limit and an unknown drive are recorded and the run goes on', () => {
    const definition = definitionOf(
      scenarioOf([
        thread('t', [
          state('a', {
            drives: [{ kind: 'drive', drive: 'no-such-drive', to: 1, overMs: 0 }],
            transitions: [
              go('a', {
                kind: 'vital',
                vital: 'lactateMmolPerL',
                op: 'above',
                limit: { relative: 'low-limit-for-age' },
                forMs: 0,
              }),
              go('nowhere', after(1000)),
            ],
          }),
        ]),
      ]),
    );
    const { run } = started(definition);
    expect(run.advanceTo(5000)).toBe(5000);
    expect(run.view().faults).toHaveLength(3);
  });

  it('a clock asked to run to no time at all, or for ever, stays where it is', () => {
    const { run } = started(REACTION);
    run.advanceTo(1000);
    for (const ms of [NaN, Infinity, -Infinity, 0, 1050]) expect(run.advanceTo(ms)).toBe(1000);
  });

  it('a condition of a kind nobody knows never holds', () => {
    const definition = definitionOf(
      scenarioOf([thread('t', [state('a', { transitions: [go('b', { kind: 'moon-phase' } as never)] }), state('b')])]),
    );
    const { run } = started(definition);
    run.advanceTo(1000);
    expect(run.view().threads[0]!.state).toBe('a');
    expect(run.view().faults[0]).toContain('moon-phase');
  });

  it('an unknown intervention is logged and the patient does not answer', () => {
    const { run, put } = started(REACTION);
    const before = run.hash();
    put(give('moon-dust', 5));
    expect(run.view().faults[0]).toContain('moon-dust');
    expect(run.view().doses).toEqual([]);
    expect(run.hash()).not.toBe(before); // the fault is part of the run
  });

  it.each([-300, 0, NaN, Infinity])('a dose of %s reaches no one and breaks nothing', (amount) => {
    const plain = started(REACTION).run;
    const { run, put } = started(REACTION);
    put(give('adrenaline-im', amount, 'micrograms'));
    run.advanceTo(120_000);
    plain.advanceTo(120_000);
    expect(run.view().trueVitals).toEqual(plain.view().trueVitals);
  });

  it('a tenfold dose is answered by the patient', () => {
    const rate = (amount: number): number => {
      const { run, put } = started(REACTION);
      put(give('adrenaline-im', amount, 'micrograms'));
      run.advanceTo(240_000);
      return run.view().trueVitals.heartRatePerMin;
    };
    expect(rate(3000)).toBeGreaterThan(rate(300));
  });

  it('refuses events that cannot be placed, and changes nothing', () => {
    const { run, put } = started(REACTION);
    run.advanceTo(5000);
    const hash = run.hash();
    const note = { kind: 'note', text: 'x' } as const;
    expect(code(() => put(note, { appliedAtMs: 4900, occurredAtMs: 4900 }))).toBe('event-in-the-past');
    expect(code(() => put(note, { appliedAtMs: 5050 }))).toBe('event-time-not-on-a-step');
    expect(code(() => put(note, { occurredAtMs: 5100 }))).toBe('event-occurs-after-applied');
    expect(code(() => put(note, { seq: 1 }))).toBe('event-number-taken');
    expect(code(() => put(note, { seq: 1.5 }))).toBe('event-malformed');
    expect(run.hash()).toBe(hash);
    expect(run.events).toHaveLength(1);
  });

  it('says why a definition cannot be run', () => {
    expect(code(() => createRun(definitionOf(scenarioOf([]))))).toBe('definition-unusable');
    const halfState = { id: 'a', title: 'a' } as never;
    expect(code(() => createRun(definitionOf(scenarioOf([thread('t', [halfState])]))))).toBe('definition-unusable');
    const bad = { ...REACTION, patient: { weightKg: -4 } };
    expect(code(() => createRun(bad))).toBe('definition-unusable');
  });
});
