import { describe, expect, it } from 'vitest';
import { backfill, EMPTY, receive, trendPoint } from '../../src/lib/console/frames.ts';
import { changedCount, lineText, sayLines } from '../../src/lib/console/findings.ts';
import { vitalRows } from '../../src/lib/console/vitals.ts';
import { finding, frame, given, shown, trueVitals, view } from './sample.ts';
import type { AgeNorms, Finding } from '@breathline/patient';

describe('frames', () => {
  it('merges the log by sequence and replaces a line that was withdrawn', () => {
    let data = receive(EMPTY, frame({ log: [given(2, 'given', 5000), given(1, 'said', 1000)] }));
    data = receive(data, frame({ roleSeq: 2, log: [given(1, 'said', 1000, 3)] }));
    expect(data.log.map((each) => [each.event.seq, each.withdrawnBy])).toEqual([
      [1, 3],
      [2, null],
    ]);
  });

  it('keeps the newest view when frames arrive out of order, and one copy of each derived line', () => {
    const cue = { kind: 'cue-due', atMs: 1000, cue: 'c1', thread: 't', state: 's' } as const;
    let data = receive(EMPTY, frame({ roleSeq: 5, view: view({ clockMs: 9000 }), derived: [cue] }));
    data = receive(data, frame({ roleSeq: 4, view: view({ clockMs: 8000 }), derived: [cue] }));
    expect(data.frame?.view.clockMs).toBe(9000);
    expect(data.derived).toHaveLength(1);
  });

  it('samples the trend once a second, forgets after five minutes, and takes older points from a replay', () => {
    let data = EMPTY;
    for (let at = 0; at <= 400_000; at += 250)
      data = receive(data, frame({ roleSeq: at, view: view({ clockMs: at }) }));
    expect(data.trend.length).toBeLessThanOrEqual(301);
    expect(data.trend[0]!.atMs).toBeGreaterThanOrEqual(99_000);
    const filled = backfill(data, [trendPoint(view({ clockMs: 50_000 })), trendPoint(view({ clockMs: 399_000 }))]);
    expect(filled.trend[0]!.atMs).toBe(50_000);
    expect(filled.trend.length).toBe(data.trend.length + 1);
  });
});

describe('the say-now card', () => {
  const rateSaid = {
    finding: finding('vital-respiratoryRatePerMin', 'breathing', 'Breathing rate 38 /min', 'none'),
    atMs: 1000,
    seq: 1,
  };
  const say = (part: { findings: Finding[]; revealed: { finding: Finding; atMs: number; seq: number }[] }) =>
    sayLines({ ...part, trueVitals, revealed: part.revealed.length === 0 ? [] : [...part.revealed, rateSaid] });
  const wheeze = finding('wheeze', 'breathing', 'Widespread wheeze');
  it('says never said, then same, then changed with what is gone', () => {
    const never = say({ findings: [wheeze], revealed: [] });
    expect(never.map((each) => each.short).join('')).toBe('ABCDE');
    expect(never[1]).toMatchObject({ status: 'not-said' });
    expect(lineText(never[1]!)).toBe('Widespread wheeze. Breathing rate 38 a minute.');
    expect(lineText(never[0]!)).toBe('Nothing of note.');

    const revealed = [{ finding: wheeze, atMs: 1000, seq: 1 }];
    expect(say({ findings: [wheeze], revealed })[1]).toMatchObject({ status: 'said' });
    const quiet = finding('silent-chest', 'breathing', 'Almost no air entry', 'severe');
    const changed = say({ findings: [quiet], revealed });
    expect(changed[1]).toMatchObject({ status: 'changed', gone: ['Widespread wheeze'] });
    expect(changed[1]!.parts[0]!.status).toBe('new');
    expect(changedCount(changed)).toBe(1);
  });

  it('says the counted rates, and calls them news only when they moved', () => {
    const fast = { ...rateSaid, finding: { ...rateSaid.finding, text: 'Breathing rate 55 /min' } };
    const line = sayLines({ findings: [], revealed: [fast], trueVitals })[1]!;
    expect(line).toMatchObject({ status: 'changed', gone: [] });
    expect(sayLines({ findings: [], revealed: [rateSaid], trueVitals })[1]!.status).toBe('said');
    expect(
      lineText(sayLines({ findings: [], revealed: [], trueVitals: { ...trueVitals, pulseRatePerMin: 0 } })[2]!),
    ).toBe('No pulse.');
  });

  it('does not call a wobble of a digit news, but does call a graver grade news', () => {
    const rate = (n: number) => finding('effort', 'breathing', `Breathing ${n} a minute`);
    const revealed = [{ finding: rate(34), atMs: 1000, seq: 1 }];
    expect(say({ findings: [rate(35)], revealed })[1]!.status).toBe('said');
    expect(say({ findings: [rate(48)], revealed })[1]!.status).toBe('changed');
    // No edge to wobble across, as rounding to fives would have.
    expect(say({ findings: [rate(37)], revealed })[1]!.status).toBe('said');
    expect(say({ findings: [{ ...rate(34), grade: 'severe' }], revealed })[1]!.status).toBe('changed');
  });
});

describe('true beside shown', () => {
  const norms: AgeNorms = {
    heartRatePerMin: { low: 70, median: 90, high: 115 },
    respiratoryRatePerMin: { low: 18, median: 22, high: 27 },
    systolicLowMmHg: 84,
    systolicMedianMmHg: 99,
    systolicHighMmHg: 115,
    source: 'fixture',
  };
  const row = (id: string, part: Parameters<typeof view>[0] = {}) =>
    vitalRows(view(part), norms).find((each) => each.id === id)!;

  it('flags against age and says why nothing is shown', () => {
    expect(row('heartRatePerMin')).toMatchObject({
      trueText: '148',
      trueFlag: 'high',
      shownText: null,
      shownNote: 'no leads or probe on',
    });
    expect(row('systolicMmHg')).toMatchObject({ trueText: '78/40', trueFlag: 'low', shownNote: 'no cuff on' });
    expect(row('systolicMmHg', { shown: { ...shown, attached: ['bp-cuff'] } }).shownNote).toBe('not cycled yet');
    expect(row('spo2Percent').trueFlag).toBe('low');
  });

  it('judges a vital as it is printed', () => {
    const at = (spo2Percent: number) => row('spo2Percent', { trueVitals: { ...trueVitals, spo2Percent } });
    expect(at(93.6)).toMatchObject({ trueText: '94', trueFlag: null });
    expect(at(93.4)).toMatchObject({ trueText: '93', trueFlag: 'low' });
  });

  it('shows an old cuff reading as old, and as different from the truth', () => {
    const bp = { systolicMmHg: 102, diastolicMmHg: 60, meanMmHg: 74, takenAtMs: 20_000 };
    expect(row('systolicMmHg', { shown: { ...shown, attached: ['bp-cuff'], bloodPressure: bp } })).toMatchObject({
      shownText: '102/60',
      shownFlag: null,
      shownNote: '40 s ago',
      differs: true,
    });
  });

  it('marks what faculty hold, the pressure as one', () => {
    expect(row('systolicMmHg', { overridden: ['meanMmHg'] }).held).toBe(true);
    expect(row('spo2Percent', { overridden: ['meanMmHg'] }).held).toBe(false);
  });
});
