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
    const heads = played([20], 28, 5000);
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

  it.each([0.5, 2, 4])('keeps step with a run at %d times the wall, a fixed wall time behind', (speed) => {
    const playout = createPlayout();
    const heads: number[] = [];
    for (let now = 0; now <= 12_000; now += 50) {
      if (now % 250 === 0) playout.frame(now * speed, now + 10, true, speed);
      const head = playout.headAt(now + 10);
      if (now > 4000 && head !== null) heads.push(now * speed - head);
    }
    for (const behind of heads) {
      expect(behind / speed).toBeGreaterThan(PLAYOUT_DELAY_MS - 60);
      expect(behind / speed).toBeLessThan(PLAYOUT_DELAY_MS + 60);
    }
  });

  it('changes speed without running backwards, and is in step again within two seconds', () => {
    const playout = createPlayout();
    let run = 0;
    let last = -Infinity;
    for (let now = 0; now <= 20_000; now += 50) {
      const speed = now < 8000 ? 1 : now < 14_000 ? 4 : 0.5;
      run += 50 * speed;
      if (now % 250 === 0) playout.frame(run, now, true, speed);
      const head = playout.headAt(now)!;
      expect(head).toBeGreaterThanOrEqual(last);
      last = head;
      if ((now > 10_000 && now < 14_000) || now > 19_000) {
        expect(Math.abs(run - head - PLAYOUT_DELAY_MS * speed)).toBeLessThan(260 * speed);
      }
    }
  });

  it('drops what it made up when the run stood still meanwhile, and goes on from where the run is', () => {
    const playout = createPlayout();
    for (let t = 0; t <= 5000; t += 250) playout.frame(t, t, true);
    expect(playout.headAt(17_000)).toBeGreaterThan(15_000);
    // The server was restarted and waits at 5.0 s.
    expect(playout.frame(5000, 17_100, false)).toBe(true);
    expect(playout.headAt(17_200)).toBe(5000);
    expect(playout.frame(5000, 20_000, true)).toBe(false);
    for (let t = 0; t <= 3000; t += 250) playout.frame(5000 + t, 20_000 + t, true);
    expect(playout.headAt(23_000)).toBeCloseTo(8000 - PLAYOUT_DELAY_MS, 0);
  });

  it('goes on without a jump when frames come back and the run had gone on too', () => {
    const playout = createPlayout();
    for (let t = 0; t <= 5000; t += 250) playout.frame(t, t, true);
    const before = playout.headAt(14_990)!;
    expect(playout.frame(15_000, 15_000, true)).toBe(false);
    expect(playout.headAt(15_010)! - before).toBeLessThan(60);
  });

  it('follows the clock of the server where it is known, however slow the line', () => {
    const slow = createPlayout();
    const fast = createPlayout();
    for (let t = 0; t <= 8000; t += 250) {
      fast.frame(t, t + 5, true, 1, t + 5);
      slow.frame(t, t + 400, true, 1, t + 400);
    }
    expect(Math.abs(slow.headAt(8400)! - fast.headAt(8400)!)).toBeLessThan(5);
  });

  it('a page too busy to read its frames for seconds still shows the moment the server is at', () => {
    const playout = createPlayout();
    playout.frame(10_000, 1_000, true, 1, 10_020);
    // Frames of five to nine seconds ago are read in one go.
    for (let late = 9_000; late >= 5_000; late -= 250) playout.frame(20_000 - late, 11_000, true, 1, 20_020);
    expect(Math.abs(playout.clockAt(11_000)! - 20_020)).toBeLessThan(100);
    // A clock behind the stamp is another server's, and not believed.
    const other = createPlayout();
    other.frame(10_000, 1_000, true, 1, 4_000);
    expect(Math.abs(other.clockAt(1_000)! - 10_000)).toBeLessThan(100);
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
