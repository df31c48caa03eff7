/** Winding back and going again: earlier takes stay, the new one is what it would have been, live and in a replay. */
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import {
  buildExport,
  checkExport,
  createRun,
  effectiveEvents,
  EngineError,
  exportOfTake,
  replay,
  replayTrack,
  whatIf,
  type EventBody,
  type RunEvent,
  type Simulation,
} from '../src/index.ts';
import { give, logOf, REACTION, START } from './fixtures.ts';
import { started } from './helpers.ts';

type Put = ReturnType<typeof started>['put'];

/** Winds back at the present moment; the new take is one more than any before. */
function wind(run: Simulation, put: Put, toMs: number, fromTake = run.take): number {
  const take = run.take + 1;
  const leftAtMs = run.clockMs;
  return put({ kind: 'wound-back', toMs, fromTake, leftAtMs }, { take, appliedAtMs: toMs, occurredAtMs: toMs });
}

const inTake = (run: Simulation, put: Put) => (body: EventBody) => put(body, { take: run.take });
const single = (entries: Parameters<typeof logOf>[0], untilMs: number): Simulation =>
  replay(REACTION, logOf(entries), { untilMs });
/** The state without the numbers of events, which differ between a log with takes and one without. */
const patientOf = (run: Simulation) => ({
  vitals: run.view().trueVitals,
  states: run.trackRow().states,
  shown: run.view().shown,
});

describe('winding back', () => {
  it('puts the clock back to its own pace, in a take that is gone back to as well', () => {
    const { run, put } = started(REACTION);
    put({ kind: 'speed-changed', factor: 4 });
    run.advanceTo(60_000);
    expect(run.view().live!.speed).toBe(4);
    wind(run, put, 30_000);
    expect(run.view().live!.speed).toBe(1);
    inTake(run, put)({ kind: 'speed-changed', factor: 2 });
    expect(run.view().live!.speed).toBe(2);
    wind(run, put, 60_000, 1);
    expect(run.view().live!.speed).toBe(1);
  });

  it('goes on from the moment as if the rest had never been', () => {
    const { run, put } = started(REACTION);
    run.advanceTo(60_000);
    put(give('oxygen', null));
    run.advanceTo(120_000);
    put(give('adrenaline-im', 300, 'micrograms'));
    run.advanceTo(200_000);
    wind(run, put, 93_400);
    expect(run.clockMs).toBe(93_400);
    expect(run.take).toBe(2);
    expect(run.phase).toBe('running');
    expect(run.view().doses.map((dose) => dose.intervention)).toEqual(['oxygen']);
    run.advanceTo(240_000);
    const without = single(
      [
        [0, START],
        [60_000, give('oxygen', null)],
      ],
      240_000,
    );
    expect(patientOf(run)).toEqual(patientOf(without));
    expect(run.view().live!.takes).toEqual([
      { take: 1, fromTake: null, fromMs: 0, toMs: 200_000 },
      { take: 2, fromTake: 1, fromMs: 93_400, toMs: 240_000 },
    ]);
  });

  it('keeps what earlier takes derived and showed, marked by take', () => {
    const { run, put } = started(REACTION);
    run.advanceTo(150_000);
    const [track, derived] = [[...run.track], [...run.derived]];
    wind(run, put, 60_000);
    run.advanceTo(90_000);
    expect(run.track.slice(0, track.length)).toEqual(track);
    expect(run.derived.slice(0, derived.length)).toEqual(derived);
    expect(run.derived[derived.length]).toEqual({ kind: 'take-began', atMs: 60_000, take: 2, fromTake: 1 });
    const later = run.track.slice(track.length);
    expect(later.map((row) => row.atMs)).toEqual(Array.from({ length: 30 }, (_, i) => 61_000 + i * 1000));
    expect(later.every((row) => row.take === 2)).toBe(true);
    for (const row of later) expect(row.true).toEqual(track[row.atMs / 1000]!.true);
  });

  it('from the third take to a moment of the first; undo in a take leaves the others alone', () => {
    const { run, put } = started(REACTION);
    run.advanceTo(100_000);
    const early = inTake(run, put)(give('oxygen', null));
    run.advanceTo(180_000);
    wind(run, put, 120_000);
    inTake(run, put)(give('adrenaline-im', 300, 'micrograms'));
    run.advanceTo(260_000);
    wind(run, put, 200_000);
    run.advanceTo(230_000);
    expect(run.view().doses).toHaveLength(2);
    wind(run, put, 150_000, 1);
    expect(run.view().doses.map((dose) => dose.seq)).toEqual([early]);
    run.advanceTo(170_000);
    inTake(run, put)({ kind: 'event-withdrawn', targetSeq: early });
    run.advanceTo(200_000);
    expect(patientOf(run)).toEqual(patientOf(single([[0, START]], 200_000)));
    expect(run.withdrawn()).toEqual(new Set([early]));
    expect(effectiveEvents(run.events, 1).map((event) => event.seq)).toContain(early);
    expect(effectiveEvents(run.events, 3).map((event) => event.seq)).toContain(early);
    expect(effectiveEvents(run.events, 4).map((event) => event.seq)).not.toContain(early);
  });

  it('what was withdrawn before stays withdrawn, and can be brought back', () => {
    const { run, put } = started(REACTION);
    run.advanceTo(50_000);
    put(give('adrenaline-im', 300, 'micrograms'));
    run.advanceTo(100_000);
    const undo = put({ kind: 'event-withdrawn', targetSeq: 2 });
    run.advanceTo(150_000);
    wind(run, put, 80_000);
    run.advanceTo(90_000);
    expect(run.view().doses).toEqual([]);
    inTake(run, put)({ kind: 'event-withdrawn', targetSeq: undo });
    expect(run.view().doses.map((dose) => dose.seq)).toEqual([2]);
    run.advanceTo(130_000);
    const kept = single(
      [
        [0, START],
        [50_000, give('adrenaline-im', 300, 'micrograms')],
      ],
      130_000,
    );
    expect(patientOf(run)).toEqual(patientOf(kept));
  });

  it('opens a run again that had ended, and goes on from a pause', () => {
    const { run, put } = started(REACTION);
    run.advanceTo(60_000);
    put({ kind: 'run-ended', why: 'time' });
    wind(run, put, 60_000);
    expect(run.phase).toBe('running');
    run.advanceTo(70_000);
    inTake(run, put)({ kind: 'run-paused', why: 'discuss' });
    expect(run.view().pausedWhy).toBe('discuss');
    wind(run, put, 70_000);
    expect(run.view()).toMatchObject({ phase: 'running', pausedWhy: null, take: 3 });
    run.advanceTo(80_000);
    expect(replay(REACTION, run.events, { untilMs: 80_000 }).hash()).toBe(run.hash());
  });

  it('is refused, with nothing changed, where it can not be', () => {
    const { run, put } = started(REACTION);
    run.advanceTo(60_000);
    const code = (act: () => unknown): string => {
      const before = run.hash();
      try {
        act();
      } catch (error) {
        expect(run.hash()).toBe(before);
        expect((error as EngineError).hint).toBeTruthy();
        return (error as EngineError).code;
      }
      return 'none';
    };
    expect(code(() => wind(run, put, 70_000))).toBe('take-not-possible');
    expect(code(() => wind(run, put, 30_000, 2))).toBe('take-not-possible');
    expect(
      code(() =>
        put({ kind: 'wound-back', toMs: 10_000, fromTake: 1 }, { take: 3, appliedAtMs: 10_000, occurredAtMs: 0 }),
      ),
    ).toBe('take-not-possible');
    expect(code(() => put({ kind: 'mark' }, { take: 2 }))).toBe('take-unknown');
    put({ kind: 'real-emergency-stop' });
    expect(code(() => wind(run, put, 30_000))).toBe('take-not-possible');
    put({ kind: 'real-emergency-cleared' });
    put({ kind: 'run-resumed' });
    put({ kind: 'run-paused', why: 'someone-not-all-right' });
    expect(code(() => wind(run, put, 30_000))).toBe('take-not-possible');
    const ready = createRun(REACTION);
    expect(() => ready.apply({ ...logOf([[0, { kind: 'wound-back', toMs: 0, fromTake: 1 }]])[0]!, take: 2 })).toThrow(
      EngineError,
    );
  });

  it('something said of an earlier take is kept there and changes nothing here', () => {
    const { run, put } = started(REACTION);
    run.advanceTo(60_000);
    const given = put(give('oxygen', null));
    run.advanceTo(100_000);
    wind(run, put, 80_000);
    run.advanceTo(120_000);
    const before = run.hash();
    put({ kind: 'event-withdrawn', targetSeq: given }, { take: 1, appliedAtMs: 100_000, occurredAtMs: 100_000 });
    expect(run.hash()).toBe(before);
    expect(effectiveEvents(run.events, 1).map((event) => event.seq)).not.toContain(given);
    expect(effectiveEvents(run.events, 2).map((event) => event.seq)).toContain(given);
    expect(replay(REACTION, run.events, { untilMs: 120_000 }).hash()).toBe(before);
    wind(run, put, 90_000, 1);
    expect(run.view().doses).toEqual([]);
  });

  it('takes well under 100 ms in a run of an hour', () => {
    const { run, put } = started(REACTION);
    for (let minute = 1; minute <= 60; minute++) {
      run.advanceTo(minute * 60_000);
      put({ kind: 'mark' });
    }
    const times: number[] = [];
    for (const toMs of [3_599_900, 1_800_000, 29_900]) {
      const from = performance.now();
      wind(run, put, toMs, 1);
      times.push(performance.now() - from);
    }
    // A wide margin for a busy machine; some 5 ms on an idle one.
    expect(Math.min(...times)).toBeLessThan(100);
  });
});

describe('a log of several takes', () => {
  const acts = fc.array(
    fc.record({
      waitMs: fc.integer({ min: 1, max: 400 }).map((n) => n * 100),
      what: fc.oneof(
        {
          weight: 5,
          arbitrary: fc.constantFrom<EventBody>(
            give('oxygen', null),
            give('adrenaline-im', 300, 'micrograms'),
            { kind: 'device-attached', device: 'oximeter' },
            { kind: 'course-steered', direction: 'better', pace: 'fast' },
            { kind: 'course-released' },
            { kind: 'errand-sent', errand: 'kit', what: 'bag', delayMs: 20_000 },
            { kind: 'mark' },
            { kind: 'run-ended', why: 'x' },
            { kind: 'happening', what: 'kit-failure', device: 'oximeter' },
          ),
        },
        { weight: 2, arbitrary: fc.constant('undo' as const) },
        { weight: 2, arbitrary: fc.constant('wind' as const) },
      ),
      pick: fc.double({ min: 0, max: 1, noNaN: true }),
      pick2: fc.double({ min: 0, max: 1, noNaN: true }),
    }),
    { minLength: 1, maxLength: 14 },
  );

  /** Plays acts live; undo takes back any event so far, wind goes to any moment of any take. */
  function play(
    list: readonly { waitMs: number; what: EventBody | 'undo' | 'wind'; pick: number; pick2: number }[],
  ): Simulation {
    const { run, put } = started(REACTION);
    const reached = new Map<number, number>();
    for (const { waitMs, what, pick, pick2 } of list) {
      run.advanceTo(run.clockMs + waitMs);
      if (what === 'wind') {
        reached.set(run.take, run.clockMs);
        const from = 1 + Math.floor(pick * 0.999 * run.take);
        wind(run, put, Math.floor((pick2 * reached.get(from)!) / 100) * 100, from);
      } else if (what === 'undo') {
        inTake(run, put)({ kind: 'event-withdrawn', targetSeq: 1 + Math.floor(pick * 0.999 * run.events.length) });
      } else inTake(run, put)(what);
    }
    run.advanceTo(run.clockMs + 10_000);
    return run;
  }

  it('replays to the same state, track and facts, in any order of the lines, with snapshots or without', () => {
    fc.assert(
      fc.property(acts, (list) => {
        const run = play(list);
        const again = replay(REACTION, [...run.events].reverse(), { untilMs: run.clockMs });
        expect(again.hash()).toBe(run.hash());
        expect(again.track).toEqual(run.track);
        expect(again.derived).toEqual(run.derived);
        expect(again.view()).toEqual(run.view());
        expect(again.withdrawn()).toEqual(run.withdrawn());
        const slow = replay(REACTION, run.events, { untilMs: run.clockMs, keepSnapshots: false });
        expect(slow.hash()).toBe(run.hash());
      }),
      { numRuns: 40 },
    );
  });

  it('each take equals the log of what counts in it, played as one', () => {
    fc.assert(
      fc.property(acts, (list) => {
        const run = play(list);
        for (const { take } of run.view().live!.takes) {
          const effective = effectiveEvents(run.events, take);
          expect(new Set(effective.map((event) => event.seq)).size).toBe(effective.length);
          const own = replay(REACTION, run.events, { take, ...(take === run.take ? { untilMs: run.clockMs } : {}) });
          // The same events without the takes: winding back itself only opens the run again.
          const flat = effective
            .filter(
              (event) => event.kind !== 'event-withdrawn' && event.kind !== 'wound-back' && event.kind !== 'run-ended',
            )
            .map((event): RunEvent => ({ ...event, take: 1 }));
          if (effective.some((event) => event.kind === 'run-ended')) continue;
          const plain = replay(REACTION, flat, { untilMs: own.clockMs });
          expect(patientOf(own)).toEqual(patientOf(plain));
        }
      }),
      { numRuns: 25 },
    );
  });

  it('goes out and comes back whole; one take of it reads as a run of its own', () => {
    const { run, put } = started(REACTION);
    run.advanceTo(60_000);
    put(give('oxygen', null));
    run.advanceTo(120_000);
    wind(run, put, 90_000);
    run.advanceTo(100_000);
    inTake(run, put)(give('adrenaline-im', 300, 'micrograms'));
    run.advanceTo(180_000);
    inTake(run, put)({ kind: 'run-ended', why: 'done' });
    const parts = { runId: 'r', createdAt: '2026-01-01T00:00:00.000Z', definition: REACTION, events: run.events };
    const out = buildExport({ ...parts, derived: run.derived, track: run.track });
    expect(out.scoredTake).toBe(2);
    const back = checkExport(JSON.parse(JSON.stringify(out)));
    expect(back.track).toEqual(out.track);
    expect(buildExport(parts).track).toEqual(out.track);
    expect(buildExport(parts).derived).toEqual(out.derived);
    const second = exportOfTake(back);
    expect(second.track.map((row) => row.atMs)).toEqual(Array.from({ length: 181 }, (_, i) => i * 1000));
    expect(second.events.map((event) => event.kind)).toEqual([
      'run-started',
      'intervention',
      'wound-back',
      'intervention',
      'run-ended',
    ]);
    const first = exportOfTake(back, 1);
    expect(first.track).toHaveLength(121);
    expect(first.events).toHaveLength(2);
    expect(replayTrack(REACTION, back.events, { untilMs: 180_000 })).toEqual(second.track);
    expect(replayTrack(REACTION, back.events, { take: 1 })).toEqual(first.track);
    expect(exportOfTake(first, 1)).toEqual(first);
  });

  it('what if asks about the scored take', () => {
    const { run, put } = started(REACTION);
    run.advanceTo(60_000);
    const lost = put(give('saline', 230, 'mL'));
    run.advanceTo(120_000);
    wind(run, put, 50_000);
    run.advanceTo(100_000);
    const dose = inTake(run, put)(give('adrenaline-im', 300, 'micrograms'));
    run.advanceTo(600_000);
    inTake(run, put)({ kind: 'run-ended', why: 'done' });
    const out = buildExport({ runId: 'r', createdAt: '', definition: REACTION, events: run.events });
    const same = whatIf(out, [], { uncertain: [] });
    expect(same.identical).toBe(true);
    expect(same.base.track).toEqual(exportOfTake(out).track);
    const later = whatIf(out, [{ kind: 'move', seq: dose, byMs: 120_000 }], { uncertain: [] });
    expect(later.alternative.outcomes.lowestSystolicMmHg).toBeLessThan(later.base.outcomes.lowestSystolicMmHg + 0.001);
    expect(() => whatIf(out, [{ kind: 'drop', seq: lost }])).toThrow('another take');
  });
});
