/** Laws of a run that hold for any legal log. */
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import {
  buildExport,
  checkExport,
  createRun,
  replay,
  VITALS,
  VITAL_IDS,
  whatIf,
  type EventBody,
  type RunEvent,
} from '@breathline/engine';
import { give, INTERVENTIONS, logOf, REACTION, START } from '../../packages/engine/test/fixtures.ts';

const DEVICES = ['oximeter', 'ecg', 'bp-cuff', 'capnography', 'thermometer', 'glucose-meter'] as const;
const STATES = ['arrival', 'tiring', 'settling'];
const HORIZON_MS = 120_000;

const intervention = fc.constantFrom(...INTERVENTIONS.map((item) => item.id));
const amount = fc.oneof(
  fc.constant(null),
  fc.double({ min: 0, max: 5000, noNaN: true }),
  fc.constantFrom(-300, 0, NaN, Infinity, 1e9),
);

/** Anything a person may do, absurd amounts included; clock control is added apart. */
const body: fc.Arbitrary<EventBody> = fc.oneof(
  { weight: 4, arbitrary: fc.tuple(intervention, amount).map(([id, dose]) => give(id, dose)) },
  intervention.map((id): EventBody => ({ kind: 'intervention-stopped', intervention: id })),
  intervention.map((id): EventBody => ({ kind: 'assessment', intervention: id })),
  {
    weight: 3,
    arbitrary: fc.constantFrom(...DEVICES).map((device): EventBody => ({ kind: 'device-attached', device })),
  },
  fc.constantFrom(...DEVICES).map((device): EventBody => ({ kind: 'device-removed', device })),
  fc.constant<EventBody>({ kind: 'cuff-pressed' }),
  fc.option(fc.integer({ min: -5, max: 300_000 })).map((everyMs): EventBody => ({ kind: 'cuff-interval', everyMs })),
  fc.constantFrom('throat', 'sleepy', 'nothing').map((cue): EventBody => ({ kind: 'cue-spoken', cue })),
  fc.constantFrom(...STATES, 'limbo').map((state): EventBody => ({ kind: 'state-forced', thread: 'illness', state })),
  {
    weight: 2,
    arbitrary: fc
      .tuple(fc.constantFrom(...VITAL_IDS), fc.double({ min: -50, max: 400 }), fc.integer({ min: 0, max: 30_000 }))
      .map(([vital, to, overMs]): EventBody => ({ kind: 'vital-overridden', vital, to, overMs })),
  },
  fc
    .tuple(fc.constantFrom(...VITAL_IDS), fc.integer({ min: 0, max: 30_000 }))
    .map(([vital, overMs]): EventBody => ({ kind: 'vital-released', vital, overMs })),
  fc.constant<EventBody>({ kind: 'note', text: 'x' }),
  fc.constant<EventBody>({ kind: 'run-paused', why: 'faculty' }),
);

const step = fc.integer({ min: 0, max: HORIZON_MS / 100 }).map((n) => n * 100);

/** A legal log: started, in time order, every pause resumed, some acts withdrawn later, some told late. */
const log: fc.Arbitrary<RunEvent[]> = fc
  .array(
    fc.record({ at: step, body, lag: fc.integer({ min: 0, max: 40_000 }), undoAfter: fc.option(step, { freq: 4 }) }),
    {
      maxLength: 14,
    },
  )
  .map((acts) => {
    const entries: { at: number; body: EventBody; occurred: number; target?: object; of?: object }[] = [
      { at: 0, body: START, occurred: 0 },
    ];
    for (const { at, body: act, lag, undoAfter } of [...acts].sort((a, b) => a.at - b.at)) {
      const entry = { at, body: act, occurred: Math.max(0, at - lag) };
      entries.push(entry);
      if (act.kind === 'run-paused') entries.push({ at, body: { kind: 'run-resumed' }, occurred: at });
      else if (undoAfter !== null) {
        const undo = Math.min(HORIZON_MS, at + undoAfter);
        entries.push({ at: undo, body: { kind: 'event-withdrawn', targetSeq: 0 }, occurred: undo, of: entry });
      }
    }
    entries.sort((a, b) => a.at - b.at);
    const numbers = new Map<object, number>(entries.map((entry, index) => [entry, index + 1]));
    return logOf(
      entries.map((entry) => {
        const target = entry.of === undefined ? undefined : numbers.get(entry.of);
        const act = target === undefined ? entry.body : { ...entry.body, targetSeq: target };
        return [entry.at, act as EventBody, entry.occurred] as const;
      }),
    );
  });

const RUNS = { numRuns: 40 };

describe('laws of a run', () => {
  it('the same log replays identically, tick by tick', () => {
    fc.assert(
      fc.property(log, (events) => {
        const hashes = (): string[] => {
          const all: string[] = [];
          replay(REACTION, events, { untilMs: HORIZON_MS, onTick: (run) => all.push(run.hash()) });
          return all;
        };
        expect(hashes()).toEqual(hashes());
      }),
      RUNS,
    );
  });

  it('one long advance equals many short ones', () => {
    fc.assert(
      fc.property(
        log,
        fc.array(fc.integer({ min: 100, max: 20_000 }), { minLength: 1, maxLength: 20 }),
        (events, strides) => {
          const whole = createRun(REACTION);
          for (const event of events) whole.apply(event);
          whole.advanceTo(HORIZON_MS);
          const parts = createRun(REACTION);
          for (const event of events) parts.apply(event);
          for (let i = 0; parts.clockMs + 100 <= HORIZON_MS; i++) {
            parts.advanceTo(Math.min(HORIZON_MS, parts.clockMs + strides[i % strides.length]!));
          }
          expect(parts.hash()).toBe(whole.hash());
          expect(parts.derived).toEqual(whole.derived);
          expect(parts.track).toEqual(whole.track);
        },
      ),
      RUNS,
    );
  });

  it('one 5 s advance equals fifty of 100 ms', () => {
    fc.assert(
      fc.property(log, (events) => {
        const once = createRun(REACTION);
        const often = createRun(REACTION);
        for (const event of events) {
          once.apply(event);
          often.apply(event);
        }
        for (let at = 5000; at <= 60_000; at += 5000) {
          once.advanceTo(at);
          for (let step = at - 4900; step <= at; step += 100) often.advanceTo(step);
          expect(often.hash()).toBe(once.hash());
        }
      }),
      { numRuns: 20 },
    );
  });

  it('an undo gives the future of the log without the event', () => {
    fc.assert(
      fc.property(log, step, fc.nat(), (events, undoAt, which) => {
        const candidates = events.filter(
          (event) =>
            event.appliedAtMs <= undoAt &&
            !['run-started', 'run-paused', 'run-resumed', 'event-withdrawn'].includes(event.kind) &&
            // An act already withdrawn by the log would be withdrawn twice.
            !events.some((other) => other.kind === 'event-withdrawn' && other.targetSeq === event.seq),
        );
        const target = candidates[which % Math.max(1, candidates.length)];
        fc.pre(target !== undefined);
        const undo = {
          ...logOf([[undoAt, { kind: 'event-withdrawn', targetSeq: target!.seq }]])[0]!,
          seq: events.length + 1,
        };
        const undone = replay(REACTION, [...events, undo], { untilMs: HORIZON_MS });
        const without = replay(
          REACTION,
          events.filter((event) => event !== target),
          { untilMs: HORIZON_MS },
        );
        expect(undone.hash()).toBe(without.hash());
        const again = {
          ...logOf([[undoAt, { kind: 'event-withdrawn', targetSeq: undo.seq }]])[0]!,
          seq: events.length + 2,
        };
        const restored = replay(REACTION, [...events, undo, again], { untilMs: HORIZON_MS });
        expect(restored.hash()).toBe(replay(REACTION, events, { untilMs: HORIZON_MS }).hash());
      }),
      RUNS,
    );
  });

  it('no vital leaves physical bounds or becomes NaN, true or shown', () => {
    fc.assert(
      fc.property(log, (events) => {
        replay(REACTION, events, {
          untilMs: HORIZON_MS,
          onTick: (run) => {
            if (run.clockMs % 1000 !== 0) return;
            const { true: vitals, shown } = run.track.at(-1)!;
            for (const vital of VITAL_IDS) {
              const { low, high } = VITALS[vital];
              const value = vitals[vital];
              if (!(value >= low - 1e-9 && value <= high + 1e-9)) {
                throw new Error(`${vital} is ${value} at ${run.clockMs} ms, outside ${low} to ${high}`);
              }
            }
            expect(vitals.systolicMmHg).toBeGreaterThanOrEqual(vitals.meanMmHg - 1e-9);
            expect(vitals.meanMmHg).toBeGreaterThanOrEqual(vitals.diastolicMmHg - 1e-9);
            for (const value of Object.values(shown)) {
              if (typeof value === 'number') expect(Number.isFinite(value)).toBe(true);
            }
            if (shown.spo2Percent !== null) expect(shown.spo2Percent).toBeLessThanOrEqual(100);
            if (!shown.attached.includes('oximeter')) expect(shown.spo2Percent).toBeNull();
            if (!shown.attached.includes('bp-cuff')) expect(shown.bloodPressure).toBeNull();
          },
        });
      }),
      RUNS,
    );
  });

  it('an exported run reads back the same, and what-if without edits is identical', () => {
    fc.assert(
      fc.property(log, (events) => {
        // JSON has no NaN or Infinity; a log that was ever on disk has none either.
        const stored = JSON.parse(JSON.stringify(events)) as RunEvent[];
        const exported = buildExport({ runId: 'r', createdAt: '', definition: REACTION, events: stored });
        const back = checkExport(JSON.stringify(exported));
        expect(back).toEqual(exported);
        expect(replay(back.definition, back.events).hash()).toBe(replay(REACTION, stored).hash());
        expect(whatIf(back, []).identical).toBe(true);
      }),
      { numRuns: 20 },
    );
  });

  it('a snapshot taken anywhere goes on as the run itself', () => {
    fc.assert(
      fc.property(log, step, (events, at) => {
        const run = createRun(REACTION);
        for (const event of events) run.apply(event);
        run.advanceTo(at);
        const other = createRun(REACTION);
        other.restore(run.snapshot());
        run.advanceTo(HORIZON_MS);
        other.advanceTo(HORIZON_MS);
        expect(other.hash()).toBe(run.hash());
        expect(other.derived).toEqual(run.derived);
      }),
      RUNS,
    );
  });
});
