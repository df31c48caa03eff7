import { describe, expect, it } from 'vitest';
import type { BackupAnswer } from '../src/lib/api/shapes.ts';
import { backupFact } from '../src/lib/prebrief/store-copy.ts';

const NOW = Date.parse('2026-11-30T12:00:00Z');
const GOOD: BackupAnswer = {
  folder: '/mnt/second/copies',
  sameDisk: false,
  last: { madeAt: '2026-11-30T09:30:00Z', bytes: 12 * 1024 ** 2, runs: 34 },
  problem: null,
  waiting: false,
  stale: 0,
};

describe('the board’s line about the copy of the store', () => {
  it('says when it was made, of how many runs and how big, and that it was looked at', () => {
    const { says, ok } = backupFact(GOOD, NOW);
    expect(ok).toBe(true);
    expect(says).toMatch(/30 Nov 2026.*34 runs, 12 MB, opened and whole$/);
  });

  it('is not good when there is none, when the last is old, or when the last try failed: with what to do', () => {
    const none = backupFact({ ...GOOD, last: null }, NOW);
    expect([none.ok, none.says]).toEqual([false, expect.stringContaining('No copy of the store yet') as unknown]);
    const old = backupFact({ ...GOOD, last: { ...GOOD.last!, madeAt: '2026-11-28T11:59:00Z' } }, NOW);
    expect([old.ok, old.says]).toEqual([
      false,
      expect.stringContaining('this is old: start the server again') as unknown,
    ]);
    const failed = backupFact({ ...GOOD, problem: 'The disk is full. Free some.' }, NOW);
    expect([failed.ok, failed.says]).toEqual([
      false,
      expect.stringContaining('the last try failed: The disk is full. Free some.') as unknown,
    ]);
  });

  it('is not known while nothing is known or the first is on its way', () => {
    expect(backupFact(null, NOW).ok).toBeNull();
    expect(backupFact({ ...GOOD, last: null, waiting: true }, NOW).ok).toBeNull();
  });

  it('tells of one disk for both, and of copies that wait to be dropped', () => {
    expect(backupFact({ ...GOOD, sameDisk: true }, NOW).says).toContain('set BREATHLINE_BACKUP to a folder on another');
    expect(backupFact({ ...GOOD, stale: 2 }, NOW).says).toContain('2 from before something was erased');
  });
});
