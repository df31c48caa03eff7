import { describe, expect, it } from 'vitest';
import { replay } from '../src/index.ts';
import { give, logOf, REACTION, START } from './fixtures.ts';
import { started } from './helpers.ts';

describe('pause, resume, end and stop', () => {
  it('holds the clock while paused and goes on as if nothing had happened', () => {
    const plain = replay(REACTION, logOf([[0, START]]), { untilMs: 20_000 });
    const { run, put } = started(REACTION);
    run.advanceTo(5000);
    put({ kind: 'run-paused', why: 'faculty' });
    expect(run.advanceTo(20_000)).toBe(5000);
    expect(run.view()).toMatchObject({ phase: 'paused', pausedWhy: 'faculty' });
    put({ kind: 'run-resumed' });
    run.advanceTo(20_000);
    expect(run.hash()).toBe(plain.hash());
    expect(run.view().pausedWhy).toBeNull();
  });

  it('replays a log with a pause in it to the same clock', () => {
    const events = logOf([
      [0, START],
      [5000, { kind: 'run-paused', why: 'server-restart' }],
      [5000, { kind: 'note', text: 'waiting' }],
      [5000, { kind: 'run-resumed' }],
      [9000, { kind: 'run-ended', why: 'done' }],
    ]);
    expect(replay(REACTION, events).clockMs).toBe(9000);
  });

  it('stops for a real emergency, and a stray resume does not undo it', () => {
    const { run, put } = started(REACTION);
    run.advanceTo(3000);
    put({ kind: 'real-emergency-stop' });
    put({ kind: 'run-resumed' });
    expect(run.view()).toMatchObject({ phase: 'paused', realEmergency: true, pausedWhy: 'real-emergency' });
    put({ kind: 'real-emergency-cleared' });
    expect(run.view()).toMatchObject({ phase: 'paused', realEmergency: false });
    put({ kind: 'run-resumed' });
    expect(run.advanceTo(4000)).toBe(4000);
  });

  it('lets nothing reach the patient after the end, but keeps notes', () => {
    const { run, put } = started(REACTION);
    run.advanceTo(3000);
    put({ kind: 'run-ended', why: 'done' });
    const hash = run.hash();
    put(give('adrenaline-im', 300));
    put({ kind: 'reconciled', target: 'x', answer: 'done' });
    expect(run.hash()).toBe(hash);
    expect(run.events).toHaveLength(4);
    expect(run.advanceTo(10_000)).toBe(3000);
  });

  it('a mis-tapped end can be withdrawn', () => {
    const { run, put } = started(REACTION);
    run.advanceTo(3000);
    const end = put({ kind: 'run-ended', why: 'mis-tap' });
    put({ kind: 'event-withdrawn', targetSeq: end });
    expect(run.phase).toBe('running');
    expect(run.advanceTo(4000)).toBe(4000);
  });
});
