import { describe, expect, it } from 'vitest';
import type { AnyFrame } from '../src/lib/api/line-types.ts';
import { runUnderWay, tellFrame, tellLineUp, tellPhase, whenTold } from '../src/lib/api/under-way.ts';
import { NewerScreen } from '../src/lib/newer/newer-screen.ts';

/** A page that can be set up, and remembers what was done to it. */
const pageOf = (more: { old?: boolean; underWay?: boolean; drill?: boolean; ageMs?: number } = {}) => {
  const state = { old: true, underWay: false, drill: true, ageMs: 600_000, ...more };
  const done: string[] = [];
  let asked = 0;
  let lastAtMs: number | null = null;
  let nowMs = 1_000_000;
  const screen = new NewerScreen(
    {
      isOld: () => {
        asked += 1;
        return Promise.resolve(state.old);
      },
      underWay: () => state.underWay,
      isDrillScreen: () => state.drill,
      ageMs: () => state.ageMs,
      loadedAnewAtMs: () => lastAtMs,
      loadAnew: () => {
        lastAtMs = nowMs;
        done.push('load');
      },
      offer: () => void done.push('offer'),
    },
    () => nowMs,
  );
  return { screen, state, done, asked: () => asked, later: (ms: number) => (nowMs += ms) };
};

describe('a screen older than the server’s', () => {
  it('loads the new one before a run begins', async () => {
    const { screen, done } = pageOf();
    await screen.look();
    expect(done).toEqual(['load']);
  });

  it('leaves a run that is under way alone, does not even ask, and loads once it has ended', async () => {
    const { screen, state, done, asked } = pageOf({ underWay: true });
    await screen.look();
    expect([done, asked()]).toEqual([[], 0]);
    state.underWay = false;
    await screen.look();
    expect(done).toEqual(['load']);
  });

  it('leaves a run alone that begins while the server is asked', async () => {
    const { screen, state, done } = pageOf();
    const looking = screen.look();
    state.underWay = true;
    await looking;
    expect(done).toEqual([]);
  });

  it('takes no half-filled page away: says so once, and loads only what was just opened', async () => {
    const open = pageOf({ drill: false });
    await open.screen.look();
    await open.screen.look();
    expect(open.done).toEqual(['offer']);
    const young = pageOf({ drill: false, ageMs: 2_000 });
    await young.screen.look();
    expect(young.done).toEqual(['load']);
  });

  it('does not go round in circles where the old page comes back', async () => {
    const { screen, done, later } = pageOf();
    await screen.look();
    later(5_000);
    await screen.look();
    expect(done).toEqual(['load']);
    later(60_000);
    await screen.look();
    expect(done).toEqual(['load', 'load']);
  });

  it('does nothing where the screens are the same', async () => {
    const { screen, done } = pageOf({ old: false });
    await screen.look();
    expect(done).toEqual([]);
  });
});

it('a run is under way from its start to its end, and each change is told once', () => {
  const line = {};
  let told = 0;
  const deaf = whenTold(() => (told += 1));
  const seen = (['ready', 'ready', 'running', 'paused', 'ended', null] as const).map((phase) => {
    tellPhase(line, phase);
    return runUnderWay();
  });
  expect(seen).toEqual([false, false, true, true, false, false]);
  expect(told).toBe(5);
  tellLineUp();
  expect(told).toBe(6);
  deaf();
  tellLineUp();
  expect(told).toBe(6);
});

it('knows the phase from whichever frame a screen gets', () => {
  const [faculty, monitor] = [{}, {}];
  tellFrame(faculty, { t: 'faculty', view: { phase: 'running' } } as AnyFrame);
  expect(runUnderWay()).toBe(true);
  tellFrame(faculty, null);
  tellFrame(monitor, { t: 'monitor', phase: 'paused' } as AnyFrame);
  expect(runUnderWay()).toBe(true);
  tellFrame(monitor, { t: 'monitor', phase: 'ended' } as AnyFrame);
  expect(runUnderWay()).toBe(false);
});
