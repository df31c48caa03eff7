import { describe, expect, it } from 'vitest';
import { runClockAt, serverOffsetMs } from '@breathline/protocol';
import type { RunEvent } from '@breathline/engine';
import { placeTap } from '../src/services/placing.ts';
import { Timeline } from '../src/services/timeline.ts';

describe('what the run clock showed at a moment gone by', () => {
  it('before the start, running, paused, at four times the speed, wound back', () => {
    const line = new Timeline();
    line.mark(1_000, 0, 1, 1);
    line.mark(11_000, 10_000, 0, 1); // paused
    line.mark(21_000, 10_000, 4, 1); // resumed, at 4x
    line.mark(23_000, 18_000, 1, 1);
    line.mark(30_000, 5_000, 1, 2); // wound back from 25 s to 5 s
    expect(line.at(500)).toEqual({ clockMs: 0, take: 1 });
    expect(line.at(6_000)).toEqual({ clockMs: 5_000, take: 1 });
    expect(line.at(15_000)).toEqual({ clockMs: 10_000, take: 1 });
    expect(line.at(22_000)).toEqual({ clockMs: 14_000, take: 1 });
    expect(line.at(29_000)).toEqual({ clockMs: 24_000, take: 1 });
    expect(line.at(31_500)).toEqual({ clockMs: 6_500, take: 2 });
    expect([line.due(32_000), line.rate]).toEqual([7_000, 1]);
  });

  it('never shows more than the run had reached at the next corner, nor goes back for a clock that does', () => {
    const line = new Timeline();
    line.mark(0, 0, 1, 1);
    // A machine out of breath: after 10 s the run had only come to 8 s when it was paused.
    line.mark(10_000, 8_000, 0, 1);
    expect(line.at(9_500).clockMs).toBe(8_000);
    line.mark(4_000, 9_000, 1, 1);
    expect(line.at(9_999).clockMs).toBe(8_000);
    expect(line.at(11_000).clockMs).toBe(10_000);
  });
});

describe('where an undo that waited stands', () => {
  const line = new Timeline();
  line.mark(0, 0, 1, 1);
  line.mark(30_000, 10_000, 1, 2); // wound back from 30 s to 10 s
  const at = (seq: number, appliedAtMs: number, take = 1): RunEvent => ({
    kind: 'mark',
    seq,
    take,
    appliedAtMs,
    occurredAtMs: appliedAtMs,
    wallTime: '2026-01-01T00:00:00.000Z',
    by: { role: 'lead' },
  });
  const back: RunEvent = { ...at(3, 10_000, 2), kind: 'wound-back', toMs: 10_000, fromTake: 1 };
  const undo = (targetSeq: number) => ({ kind: 'event-withdrawn', targetSeq }) as const;

  it('at the moment it was pressed, as the tap it takes back', () => {
    const now = { clockMs: 25_000, take: 1 };
    const times = { nowMs: 25_000, agoMs: 0, heldMs: 4_000 };
    const placed = { take: 1, appliedAtMs: 25_000, occurredAtMs: 21_000 };
    expect(placeTap(undo(1), now, line, times, [at(1, 5_000)])).toEqual(placed);
    // What is about the clock still means now.
    expect(placeTap({ kind: 'run-ended', why: 'faculty' }, now, line, times, []).occurredAtMs).toBe(25_000);
  });

  it('in the take that was left where its line was left with it, and now where its line still counts', () => {
    const log = [at(1, 5_000), at(2, 20_000), back];
    const now = { clockMs: 15_000, take: 2 };
    const times = { nowMs: 35_000, agoMs: 0, heldMs: 10_000 };
    expect(placeTap(undo(2), now, line, times, log)).toEqual({ take: 1, appliedAtMs: 25_000, occurredAtMs: 25_000 });
    expect(placeTap(undo(1), now, line, times, log)).toEqual({ take: 2, appliedAtMs: 15_000, occurredAtMs: 15_000 });
  });
});

describe('how screens agree', () => {
  it('take the quickest ping, and work the run clock out from the server’s', () => {
    expect(serverOffsetMs([])).toBeNull();
    const samples = [
      { sentMs: 0, gotMs: 900, serverMs: 1_850 },
      { sentMs: 1_000, gotMs: 1_040, serverMs: 2_520 },
    ];
    expect(serverOffsetMs(samples)).toBe(1_500);
    expect(runClockAt({ serverMs: 2_000, runMs: 10_000, rate: 4 }, 2_500)).toBe(12_000);
    expect(runClockAt({ serverMs: 2_000, runMs: 10_000, rate: 0 }, 9_000)).toBe(10_000);
  });
});
