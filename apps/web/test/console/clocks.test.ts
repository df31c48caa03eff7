import { describe, expect, it } from 'vitest';
import {
  adrenalineClock,
  doseAges,
  handingBack,
  heroState,
  problemsPersist,
  lastAssessmentMs,
} from '../../src/lib/console/clocks.ts';
import { clampAgo, backdateText, nextBackdate } from '../../src/lib/console/backdate.ts';
import { clockText, spanText, spokenDuration } from '../../src/lib/console/format.ts';
import { given, library, line, pack } from './sample.ts';

const dose = (seq: number, atMs: number) => ({ seq, intervention: 'adrenaline-im', atMs, amount: 300 });

describe('since the last adrenaline', () => {
  it('runs from the latest dose and takes the repeat from the chosen pack', () => {
    const at = (nowMs: number) => adrenalineClock([dose(3, 60_000)], library, pack, nowMs);
    expect(adrenalineClock([], library, pack, 99_000).status).toBe('none-given');
    expect(at(120_000)).toMatchObject({
      sinceLastMs: 60_000,
      status: 'too-soon',
      mayFromMs: 300_000,
      dueAtMs: 360_000,
    });
    expect(at(300_000).status).toBe('may-repeat');
    expect(at(360_000).status).toBe('due');
    expect(at(540_000).status).toBe('overdue');
  });

  it('says how old every dose is, the newest to the second, the others to the minute', () => {
    const ages = (...agoMs: number[]) => doseAges(agoMs.map((each) => ({ agoMs: each })));
    expect(ages()).toBe('');
    expect(ages(65_000)).toBe('1:05');
    expect(ages(1_265_000, 965_000, 665_000, 365_000, 65_000)).toBe('1:05 · 6 · 11 · 16 · 21\u00a0min');
    expect(ages(45_000, 20_000)).toBe('0:20 · 0:45');
    expect(ages(359_999, 45_000, 20_000)).toBe('0:20 · 0:45 · 5\u00a0min');
  });

  it('orders doses logged late by when they happened, and ignores other drugs', () => {
    const clock = adrenalineClock(
      [dose(9, 50_000), { seq: 4, intervention: 'salbutamol-neb', atMs: 70_000, amount: 5 }, dose(5, 20_000)],
      library,
      pack,
      80_000,
    );
    expect(clock.doses.map((each) => [each.number, each.seq, each.agoMs])).toEqual([
      [1, 5, 60_000],
      [2, 9, 30_000],
    ]);
  });

  it('has no due time when the pack gives none', () => {
    expect(adrenalineClock([dose(1, 0)], library, undefined, 900_000)).toMatchObject({
      dueAtMs: null,
      status: 'too-soon',
    });
  });
});

describe('said, drawn up, given', () => {
  const ids = new Set(['adrenaline-im']);
  it('steps on, allows a skipped step, starts again for the second dose', () => {
    expect(heroState([], ids).next).toBe('said');
    expect(heroState([given(1, 'said', 1000)], ids)).toMatchObject({ doseNumber: 1, saidAtMs: 1000, next: 'drawn-up' });
    expect(heroState([given(1, 'drawn-up', 1000)], ids).next).toBe('given');
    expect(heroState([given(1, 'said', 1000), given(2, 'given', 2000)], ids)).toMatchObject({
      doseNumber: 2,
      saidAtMs: null,
      next: 'said',
    });
  });

  it('counts nothing withdrawn', () => {
    expect(heroState([given(1, 'said', 1000), given(2, 'given', 2000, 3)], ids)).toMatchObject({
      doseNumber: 1,
      next: 'drawn-up',
    });
  });
});

describe('other clocks', () => {
  it('finds the last assessment that stands', () => {
    const look = { kind: 'assessment', intervention: 'reassess-a-to-e' } as const;
    const part = { kind: 'assessment', intervention: 'listen' } as const;
    expect(lastAssessmentMs([line(1, look, 5000), line(2, look, 9000, 3)], library)).toBe(5000);
    expect(lastAssessmentMs([line(1, look, 5000), line(2, part, 9000)], library)).toBe(5000);
    expect(lastAssessmentMs([], library)).toBeNull();
  });

  it('knows which held vitals are on their way back', () => {
    const hold = { kind: 'vital-overridden', vital: 'spo2Percent', to: 80, overMs: 0 } as const;
    const release = { kind: 'vital-released', vital: 'spo2Percent', overMs: 30_000 } as const;
    expect([...handingBack([line(1, hold, 0), line(2, release, 1000)])]).toEqual(['spo2Percent']);
    expect(handingBack([line(1, release, 0), line(2, hold, 1000)]).size).toBe(0);
    expect(handingBack([line(1, release, 0, 2)]).size).toBe(0);
  });

  it('writes times plainly', () => {
    expect(clockText(65_900)).toBe('1:05');
    expect(clockText(3_661_000)).toBe('1:01:01');
    expect(spanText(20_000)).toBe('20 s');
    expect(spanText(150_000)).toBe('2 min 30 s');
    expect(spokenDuration(61_000)).toBe('1 minute 1 second');
  });

  it('backdates no further than the start of the run', () => {
    expect(backdateText(20_000)).toBe('20 s ago');
    expect(backdateText(0)).toBe('now');
    expect(nextBackdate(120_000)).toBe(0);
    expect(clampAgo(120_000, 30_000)).toBe(30_000);
  });
});

describe('whether a repeat is asked for at all', () => {
  const finding = (letter: 'breathing' | 'exposure', grade: 'mild' | 'moderate') =>
    ({ id: 'x', letter, grade, text: 'x', observable: true }) as const;
  const view = (findings: readonly ReturnType<typeof finding>[], systolicMmHg = 104) =>
    ({ findings, trueVitals: { systolicMmHg } }) as unknown as Parameters<typeof problemsPersist>[0];

  it('a moderate breathing problem or a low pressure for the age asks; a rash or a mild wheeze does not', () => {
    expect(problemsPersist(view([finding('breathing', 'moderate')]), 7)).toBe(true);
    expect(problemsPersist(view([finding('breathing', 'mild'), finding('exposure', 'moderate')]), 7)).toBe(false);
    // Below 70 mmHg plus twice the age in years (7 years: 84) is low (World Allergy Organization 2020, after Sampson 2006).
    expect(problemsPersist(view([], 80), 7)).toBe(true);
    expect(problemsPersist(view([], 80), 2)).toBe(false);
  });
});
