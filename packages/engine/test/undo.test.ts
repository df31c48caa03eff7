import { describe, expect, it } from 'vitest';
import { replay } from '../src/index.ts';
import { give, logOf, REACTION, START, after, cue, definitionOf, go, scenarioOf, state, thread } from './fixtures.ts';
import { started } from './helpers.ts';

describe('undo', () => {
  it('gives the future of the log without the event, bit for bit, from however long ago', () => {
    for (const at of [0, 29_900, 30_000, 30_100, 61_000]) {
      const { run, put } = started(REACTION);
      run.advanceTo(at);
      const seq = put(give('adrenaline-im', 300, 'micrograms'));
      run.advanceTo(100_000);
      put({ kind: 'event-withdrawn', targetSeq: seq });
      run.advanceTo(150_000);
      const without = replay(REACTION, logOf([[0, START]]), { untilMs: 150_000 });
      expect(run.hash()).toBe(without.hash());
      expect(run.withdrawn()).toEqual(new Set([seq]));
    }
  });

  it('an undo of an undo restores', () => {
    const { run, put } = started(REACTION);
    run.advanceTo(20_000);
    const seq = put(give('adrenaline-im', 300, 'micrograms'));
    run.advanceTo(50_000);
    const undo = put({ kind: 'event-withdrawn', targetSeq: seq });
    run.advanceTo(70_000);
    put({ kind: 'event-withdrawn', targetSeq: undo });
    run.advanceTo(100_000);
    const kept = replay(
      REACTION,
      logOf([
        [0, START],
        [20_000, give('adrenaline-im', 300, 'micrograms')],
      ]),
      { untilMs: 100_000 },
    );
    expect(run.hash()).toBe(kept.hash());
    expect(run.view().doses.map((dose) => dose.seq)).toEqual([seq]);
  });

  it('gives the same state with snapshots and without, through undos old and new and some that cannot be', () => {
    const events = logOf([
      [0, START],
      [10_000, give('adrenaline-im', 300, 'micrograms')],
      [40_000, give('salbutamol-neb', 5, 'mg')],
      [70_000, give('adrenaline-im', 500, 'micrograms')],
      [95_000, { kind: 'event-withdrawn', targetSeq: 1 }],
      // The latest first, then an older one, then the older one back: each from another snapshot.
      [100_000, { kind: 'event-withdrawn', targetSeq: 4 }],
      [130_000, { kind: 'event-withdrawn', targetSeq: 2 }],
      [135_000, { kind: 'event-withdrawn', targetSeq: 99 }],
      [160_000, { kind: 'event-withdrawn', targetSeq: 7 }],
      [170_000, { kind: 'event-withdrawn', targetSeq: 3 }],
    ]);
    const play = (keepSnapshots: boolean) => replay(REACTION, events, { untilMs: 200_000, keepSnapshots });
    const without = replay(
      REACTION,
      events.filter((event) => event.seq <= 2),
      { untilMs: 200_000 },
    );
    expect(play(true).hash()).toBe(play(false).hash());
    expect(play(true).hash()).toBe(without.hash());
    expect(play(true).view()).toEqual(play(false).view());
    expect(play(true).view().faults).toEqual([
      'Event 1 (run-started) cannot be withdrawn: it moved the clock.',
      'Event 8 withdraws event 99, which is not in the log.',
    ]);
    expect(play(true).derived.filter((fact) => fact.kind === 'fault')).toHaveLength(2);
  });

  it('never rewrites what was shown', () => {
    const { run, put } = started(REACTION);
    put({ kind: 'device-attached', device: 'oximeter' });
    run.advanceTo(10_000);
    const seq = put({ kind: 'vital-overridden', vital: 'spo2Percent', to: 60, overMs: 0 });
    run.advanceTo(20_000);
    const track = [...run.track];
    const derived = [...run.derived];
    put({ kind: 'event-withdrawn', targetSeq: seq });
    expect(run.track).toEqual(track);
    expect(run.derived.slice(0, derived.length)).toEqual(derived);
    expect(run.track.at(-1)!.shown.spo2Percent).toBe(60);
    run.advanceTo(21_000);
    expect(run.track.at(-1)!.true.spo2Percent).toBeGreaterThan(90);
  });

  it('says which state and cues changed when the present is recomputed', () => {
    const definition = definitionOf(
      scenarioOf([
        thread('t', [
          state('a', {
            cues: [cue('wait', 1000)],
            transitions: [go('b', { kind: 'given', interventions: ['say-hello'], times: 1, minDoseShare: 0 })],
          }),
          state('b', { cues: [cue('next', 0)], transitions: [go('c', after(600_000))] }),
          state('c'),
        ]),
      ]),
    );
    const { run, put } = started(definition);
    const seq = put(give('say-hello', null));
    run.advanceTo(5000);
    const cursor = run.derived.length;
    put({ kind: 'event-withdrawn', targetSeq: seq });
    expect(run.view().threads[0]).toMatchObject({ state: 'a', sinceMs: 0 });
    expect(run.derivedSince(cursor).derived).toEqual([
      { kind: 'cue-due', atMs: 5000, cue: 'wait', thread: 't', state: 'a' },
      { kind: 'cue-lapsed', atMs: 5000, cue: 'next' },
      {
        kind: 'state-entered',
        atMs: 5000,
        thread: 't',
        state: 'a',
        from: 'b',
        because: `event ${seq} was withdrawn`,
        forced: false,
      },
    ]);
  });

  it('cannot withdraw what moved the clock, or what is not there', () => {
    const { run, put } = started(REACTION);
    run.advanceTo(2000);
    const hash = run.snapshot().core.ints.join();
    put({ kind: 'event-withdrawn', targetSeq: 1 });
    put({ kind: 'event-withdrawn', targetSeq: 99 });
    expect(run.snapshot().core.ints.join()).toBe(hash);
    expect(run.view().faults).toHaveLength(2);
  });

  it('a snapshot can be taken up again and still undone', () => {
    const { run, put } = started(REACTION);
    run.advanceTo(40_000);
    const seq = put(give('adrenaline-im', 300));
    run.advanceTo(45_000);
    const snapshot = run.snapshot();
    run.advanceTo(90_000);
    const other = started(REACTION).run;
    other.restore(snapshot);
    other.advanceTo(90_000);
    expect(other.hash()).toBe(run.hash());
    expect(other.track).toEqual(run.track);
    for (const each of [run, other]) {
      each.apply({
        seq: seq + 1,
        take: 1,
        appliedAtMs: 90_000,
        occurredAtMs: 90_000,
        wallTime: '',
        by: { role: 'lead' },
        kind: 'event-withdrawn',
        targetSeq: seq,
      });
    }
    expect(other.hash()).toBe(run.hash());
    expect(other.view().doses).toEqual([]);
  });
});
