import { describe, expect, it } from 'vitest';
import {
  buildExport,
  EngineError,
  outcomesOf,
  whatIf,
  type EventBody,
  type TrackRow,
  type WhatIfEdit,
} from '../src/index.ts';
import { give, logOf, REACTION, START, TREATED } from './fixtures.ts';

const harsh = {
  ...REACTION,
  patient: { illness: [{ disease: 'anaphylaxis', pattern: 'venom', severity: 1, tempo: 2 }] },
};
const run = buildExport({ runId: 'r', createdAt: '', definition: REACTION, events: TREATED });
const NONE = { uncertain: [] };
const adrenaline = TREATED.find(
  (event) => event.kind === 'intervention' && event.intervention === 'adrenaline-im',
)!.seq;

const refused = (edits: WhatIfEdit[]): string => {
  try {
    whatIf(run, edits, NONE);
  } catch (error) {
    if (error instanceof EngineError) return error.code;
  }
  return 'accepted';
};

describe('what if', () => {
  it('with no edits gives the same course to the last bit', () => {
    const same = whatIf(run, []);
    expect(same.identical).toBe(true);
    expect(same.base.hash).toBe(same.alternative.hash);
    expect(same.base.track).toEqual(run.track);
    expect(same.differences.every((each) => each.change === 0 || each.change === null)).toBe(true);
  });

  it('a later first dose is worse, by a range over the uncertain constants', () => {
    const events = logOf([
      [0, START],
      [60_000, give('adrenaline-im', 500, 'micrograms')],
      [900_000, { kind: 'run-ended', why: 'done' }],
    ]);
    const severe = buildExport({ runId: 's', createdAt: '', definition: harsh, events });
    const late = whatIf(severe, [{ kind: 'move', seq: 2, byMs: 480_000 }], {
      uncertain: ['adrenaline-potency', 'leak-size'],
    });
    const lowest = late.differences.find((each) => each.id === 'lowestSystolicMmHg')!;
    expect(lowest.change).toBeLessThan(0);
    expect(lowest.changeRange![0]).toBeLessThanOrEqual(lowest.change!);
    expect(lowest.changeRange![1]).toBeGreaterThanOrEqual(lowest.change!);
    expect(late.uncertainConstants).toBe(2);
    expect(late.identical).toBe(false);
    expect(late.events.find((event) => event.seq === 2)!.appliedAtMs).toBe(540_000);
  });

  it('drops and re-doses without touching the rest', () => {
    const without = whatIf(run, [{ kind: 'drop', seq: adrenaline }], NONE);
    expect(without.events).toHaveLength(TREATED.length - 1);
    const tenth = whatIf(run, [{ kind: 'dose', seq: adrenaline, amount: 30 }], NONE);
    expect(tenth.events.find((event) => event.seq === adrenaline)).toMatchObject({ amount: 30 });
    expect(tenth.alternative.hash).not.toBe(tenth.base.hash);
    expect(run.events).toBe(TREATED);
  });

  it('keeps later acts and marks those that no longer fit', () => {
    const end = TREATED.at(-1)!.seq;
    const early = whatIf(run, [{ kind: 'move', seq: end, byMs: -400_000 }], NONE);
    expect(early.oddActs.map((act) => act.seq)).toEqual(
      TREATED.filter((event) => event.appliedAtMs > 200_000 && event.seq !== end).map((event) => event.seq),
    );
    const cue = TREATED.find((event) => event.kind === 'cue-spoken')!.seq;
    const soon = whatIf(run, [{ kind: 'move', seq: cue, byMs: -30_000 }], NONE);
    expect(soon.oddActs).toMatchObject([{ seq: cue, why: expect.stringContaining('not due') as string }]);
  });

  it('refuses edits that cannot be', () => {
    expect(refused([{ kind: 'drop', seq: 999 }])).toBe('edit-unknown-event');
    expect(refused([{ kind: 'drop', seq: 1 }])).toBe('edit-not-allowed');
    expect(refused([{ kind: 'move', seq: adrenaline, byMs: -1e9 }])).toBe('edit-not-allowed');
    expect(refused([{ kind: 'move', seq: adrenaline, byMs: NaN }])).toBe('edit-not-allowed');
    expect(refused([{ kind: 'dose', seq: 2, amount: 3 }])).toBe('edit-not-allowed');
    expect(refused([{ kind: 'dose', seq: adrenaline, amount: -3 }])).toBe('edit-not-allowed');
    expect(refused([{ kind: 'move', seq: adrenaline, byMs: 1e15 }])).toBe('edit-not-allowed');
  });

  it('does not bring back by a move what was taken back', () => {
    const events = logOf([
      [0, START],
      [60_000, give('adrenaline-im', 500, 'micrograms')],
      [90_000, { kind: 'event-withdrawn', targetSeq: 2 }],
      [300_000, { kind: 'run-ended', why: 'done' }],
    ]);
    const undone = buildExport({ runId: 'u', createdAt: '', definition: REACTION, events });
    expect(() => whatIf(undone, [{ kind: 'move', seq: 2, byMs: 120_000 }], NONE)).toThrow('was taken back');
  });

  it('keeps the strength of a dose, so that its volume follows the amount', () => {
    const drawn = (amount: number | null): EventBody =>
      ({ ...give('adrenaline-im', 300, 'micrograms'), amount, volumeMl: 0.3, concentration: '1 mg/mL' }) as EventBody;
    const events = logOf([
      [0, START],
      [60_000, drawn(300)],
      [120_000, drawn(null)],
      [300_000, { kind: 'run-ended', why: 'done' }],
    ]);
    const run = buildExport({ runId: 'v', createdAt: '', definition: REACTION, events });
    const edits: WhatIfEdit[] = [2, 3].map((seq) => ({ kind: 'dose', seq, amount: 600 }));
    const [, first, second] = whatIf(run, edits, NONE).events;
    expect(first).toMatchObject({ amount: 600, volumeMl: 0.6 });
    expect(second).toMatchObject({ amount: 600 });
    expect(second).not.toHaveProperty('volumeMl');
  });

  it('shows what too much does, not only how soon the illness went', () => {
    const ten = whatIf(run, [{ kind: 'dose', seq: adrenaline, amount: 5000 }], NONE);
    const highest = ten.differences.find((each) => each.id === 'highestSystolicMmHg')!;
    expect(highest.change).toBeGreaterThan(20);
  });

  it('sums up a course by hand-countable arithmetic', () => {
    const row = (atMs: number, spo2Percent: number, systolicMmHg: number, arrested = 0): TrackRow =>
      ({
        atMs,
        true: { ...run.track[0]!.true, spo2Percent, systolicMmHg, arrested, consciousnessFraction: spo2Percent / 100 },
        shown: run.track[0]!.shown,
        states: { t: 'x' },
        signs: run.track[0]!.signs,
      }) as TrackRow;
    const track = [row(0, 97, 100), row(1000, 89, 100), row(2000, 85, 70), row(3000, 95, 70, 1), row(4000, 95, 100)];
    const rest = Array.from({ length: 70 }, (_, i) => row(5000 + i * 1000, 96, 100));
    expect(outcomesOf([...track, ...rest], 84)).toMatchObject({
      msBelow90Percent: 2000,
      msBelowPressureLimit: 2000,
      lowestSpo2Percent: 85,
      lowestSystolicMmHg: 70,
      highestSystolicMmHg: 100,
      lowestConsciousnessFraction: 0.85,
      arrestAtMs: 3000,
      arrestMs: 1000,
      recoveryAtMs: 4000,
    });
    expect(outcomesOf(track, 84).recoveryAtMs).toBeNull();
  });
});
