/** The list of runs is searched by all that it shows. */
import { describe, expect, it } from 'vitest';
import type { RunCard } from '../../src/lib/api/shapes.ts';
import { broughtInWords, runWhen } from '../../src/lib/runs/when.ts';
import { endingText, findRuns } from '../../src/lib/runs/find-runs.ts';

const card = (runId: string, more: Partial<RunCard> = {}): RunCard => ({
  runId,
  scenarioId: 'cashew',
  scenarioTitle: 'Cashew anaphylaxis',
  packId: 'uk',
  phase: 'ended',
  clockMs: 754_000,
  joinCode: null,
  createdAt: '2026-11-25T14:05:00.000Z',
  endedAt: '2026-11-25T14:20:00.000Z',
  imported: false,
  ending: { realEmergency: false, state: 'Settled' },
  ...more,
});
const runs = [
  card('a', { ward: 'Ward 3', team: 'heron' }),
  card('b', { scenarioTitle: 'Croup at night', ward: 'Emergency', createdAt: '2026-03-02T09:00:00.000Z' }),
  card('c', { ending: { realEmergency: true, state: 'Shock' }, clockMs: 61_000 }),
  card('d', { phase: 'ready', ending: null, clockMs: 0 }),
];
const ids = (words: string): string[] =>
  findRuns(runs, words, (id) => (id === 'uk' ? 'The pack of 2021' : id)).map(({ runId }) => runId);

describe('finding a run', () => {
  it('by ward, team, scenario, date, length, how it ended, and by several at once', () => {
    expect(ids('ward 3')).toEqual(['a']);
    expect(ids('HERON')).toEqual(['a']);
    expect(ids('croup')).toEqual(['b']);
    expect(ids('mar 2026')).toEqual(['b']);
    expect(ids('2026-03')).toEqual(['b']);
    expect(ids('1:01')).toEqual(['c']);
    expect(ids('real emergency')).toEqual(['c']);
    expect(ids('settled cashew')).toEqual(['a']);
    expect(ids('pack of 2021')).toHaveLength(4);
    expect(ids('  ')).toHaveLength(4);
    expect(ids('settled shock')).toEqual([]);
  });

  it('a rehearsal has no date, and one dated after today says so', () => {
    const now = '2026-12-01T10:00:00.000Z';
    const rehearsal = card('r', { rehearsal: true, imported: true, createdAt: '1970-01-01T00:00:00.000Z' });
    expect(runWhen(rehearsal, now)).toBe('no team, no date');
    expect(broughtInWords(rehearsal, now)).toMatch(/^This file is a rehearsal/);
    expect(findRuns([rehearsal], '1970')).toEqual([]);
    expect(findRuns([rehearsal], 'rehearsal')).toHaveLength(1);
    const ahead = card('f', { createdAt: '2031-05-02T12:00:00.000Z' });
    expect(runWhen(ahead, now)).toMatch(/^2 May 2031.*still to come$/);
    expect(broughtInWords(ahead, now)).toMatch(/dated 2 May 2031/);
    expect([runWhen(card('a'), now), broughtInWords(card('a'), now)]).toEqual([
      expect.stringMatching(/^25 Nov 2026, \d\d:05$/),
      null,
    ]);
  });

  it('says how a run ended only of one that has', () => {
    expect(runs.map(endingText)).toEqual([
      'Ended in: Settled',
      'Ended in: Settled',
      'Stopped for a real emergency',
      '',
    ]);
  });
});
