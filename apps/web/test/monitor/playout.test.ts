import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { createPlayout, PLAYOUT_DELAY_MS, RUN_ON_MS } from '../../src/lib/monitor/playout.ts';

/** Feeds a playout as a network would and returns the head at each display frame. */
function played(delays: readonly number[], seconds: number, lostFrom = Infinity, lostTo = Infinity) {
  const playout = createPlayout();
  const arrivals: { at: number; clock: number }[] = [];
  let last = 0;
  for (let i = 0; i * 250 < seconds * 1000; i += 1) {
    if (i * 250 >= lostFrom && i * 250 < lostTo) continue;
    // In order, as on one socket.
    last = Math.max(last, i * 250 + delays[i % delays.length]!);
    arrivals.push({ at: last, clock: i * 250 });
  }
  const heads: { at: number; head: number }[] = [];
  let next = 0;
  for (let now = 0; now < seconds * 1000; now += 1000 / 60) {
    while (next < arrivals.length && arrivals[next]!.at <= now) {
      playout.frame(arrivals[next]!.clock, arrivals[next]!.at, true);
      next += 1;
    }
    const head = playout.headAt(now);
    if (head !== null) heads.push({ at: now, head });
  }
  return heads;
}

describe('play-out', () => {
  it('stays a fixed little behind the run clock and moves evenly over a jittery network', () => {
    const heads = played([5, 60, 20, 180, 5, 90], 20);
    for (const { at, head } of heads.filter((h) => h.at > 2000)) {
      expect(at - head).toBeGreaterThan(PLAYOUT_DELAY_MS);
      expect(at - head).toBeLessThan(PLAYOUT_DELAY_MS + 60);
    }
    const steps = heads.filter((h) => h.at > 2000).map((h, i, all) => (i === 0 ? 16.7 : h.head - all[i - 1]!.head));
    expect(Math.min(...steps)).toBeGreaterThan(10);
    expect(Math.max(...steps)).toBeLessThan(25);
  });

  it('agrees between two screens on different networks to well under 250 ms', () => {
    const a = played([5], 20);
    const b = played([90, 30, 140, 60], 20);
    const later = b.filter((h) => h.at > 3000);
    for (const { at, head } of later) {
      const other = a.find((h) => Math.abs(h.at - at) < 1)!;
      expect(Math.abs(other.head - head)).toBeLessThan(100);
    }
  });

  it('is not torn by one lost frame: the head never passes the newest stamp', () => {
    const heads = played([20], 10, 5000, 5250);
    const around = heads.filter((h) => h.at > 4800 && h.at < 5600);
    for (const { at, head } of around) {
      const newest = Math.floor((at - 20) / 250) * 250;
      expect(head).toBeLessThan(newest === 5000 ? 4750 : newest);
    }
  });

  it('runs on alone for a while without frames, then stops', () => {
    const heads = played([20], 12, 5000);
    expect(heads.at(-1)!.head).toBe(4750 + RUN_ON_MS);
  });

  it('stops at a pause, holds, and goes on from there', () => {
    const playout = createPlayout();
    for (let t = 0; t <= 5000; t += 250) playout.frame(t, t, true);
    playout.frame(5000, 5100, false);
    playout.headAt(5100);
    expect(playout.headAt(9000)).toBe(5000);
    playout.frame(5000, 20_000, true);
    playout.frame(5250, 20_250, true);
    expect(playout.headAt(20_300)).toBe(5000);
    for (let t = 0; t <= 2000; t += 250) playout.frame(5250 + t, 20_250 + t, true);
    expect(playout.headAt(22_250)).toBeCloseTo(7250 - PLAYOUT_DELAY_MS, 0);
  });

  it('says when the clock was wound back, and follows it', () => {
    const playout = createPlayout();
    for (let t = 0; t <= 5000; t += 250) playout.frame(t, t, true);
    playout.headAt(5000);
    expect(playout.frame(2000, 5250, true)).toBe(true);
    expect(playout.headAt(5250)!).toBeLessThan(2001);
  });

  it('never runs backwards by itself', () => {
    fc.assert(
      fc.property(fc.array(fc.integer({ min: 0, max: 900 }), { minLength: 3, maxLength: 9 }), (delays) => {
        const heads = played(delays, 15);
        for (let i = 1; i < heads.length; i += 1) expect(heads[i]!.head).toBeGreaterThanOrEqual(heads[i - 1]!.head);
      }),
      { seed: 42, numRuns: 40 },
    );
  });
});
