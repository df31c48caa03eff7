import { describe, expect, it } from 'vitest';
import fc from 'fast-check';
import type { RunEvent, RunExport } from '@breathline/engine';
import { scoreRun } from '../src/index.ts';
import type { Scorecard } from '../src/index.ts';
import {
  adrenaline,
  answer,
  build,
  end,
  events,
  FIRST_ADRENALINE,
  give,
  ORDER,
  pack,
  s,
  SECOND_ADRENALINE,
  target,
  type Line,
} from './build-run.ts';

const PACK = pack({
  targets: [
    FIRST_ADRENALINE,
    SECOND_ADRENALINE,
    ORDER,
    target({ id: 'oxygen-nrb', dueMs: s(120), limitMs: s(400), weight: 2 }),
    target({
      id: 'salbutamol-neb',
      clock: 'first-dose',
      clockIntervention: 'adrenaline-im',
      dueMs: s(300),
      mustFollow: 'adrenaline-im',
    }),
    target({ id: 'call-help', clock: 'arrival', dueMs: s(90), limitMs: s(300), weight: 2 }),
  ],
});
const END = s(1200);

/** A time on the run clock in whole steps of 100 ms. */
const time = (toMs = END - 1000) => fc.integer({ min: 0, max: Math.floor(toMs / 100) }).map((step) => step * 100);

const line: fc.Arbitrary<Line> = time().chain((at) =>
  fc.constantFrom<Line>(
    adrenaline(at),
    adrenaline(at, { amount: 150, volumeMl: 0.15 }),
    adrenaline(at, { doseSeen: false }),
    adrenaline(at, { step: 'said' }),
    give(at, 'chlorphenamine-iv', { amount: 5 }),
    give(at, 'salbutamol-neb', { amount: 5 }),
    give(at, 'oxygen-nrb', { flowLPerMin: 15 }),
    give(at, 'call-help'),
    { at, kind: 'assessment', intervention: 'look-breathing' },
    { at, kind: 'device-attached', device: 'oximeter' },
    { at, kind: 'cue-spoken', cue: 'hint' },
    { at, kind: 'note', text: 'note' },
    { at, kind: 'mark' },
  ),
);
const lines = fc.array(line, { maxLength: 25 });
const byTime = (all: readonly Line[]): Line[] => [...all].sort((a, b) => a.at - b.at);
const score = (all: readonly Line[]): Scorecard => scoreRun(build({ pack: PACK, lines: byTime(all) }));
const of = (card: Scorecard, id: string) => card.results.find((one) => one.target.id === id);

describe('laws of the score', () => {
  it('a later critical step never earns more on its own line', () => {
    fc.assert(
      fc.property(lines, time(), time(), (others, one, two) => {
        const rest = others.filter((other) => other.kind !== 'intervention' || other.intervention !== 'adrenaline-im');
        const [early, late] = one <= two ? [one, two] : [two, one];
        const before = of(score([...rest, adrenaline(early)]), 'first-adrenaline');
        const after = of(score([...rest, adrenaline(late)]), 'first-adrenaline');
        expect(after?.credit ?? 0).toBeLessThanOrEqual(before?.credit ?? 0);
      }),
      { numRuns: 60 },
    );
  });

  it('the whole score never rises when a critical step, and what hangs on it, comes later', () => {
    // The steps keep their spacing: moving the first dose alone would shorten the gap to the second.
    fc.assert(
      fc.property(
        lines,
        time(s(400)),
        fc.integer({ min: 1, max: 4000 }),
        fc.integer({ min: 1, max: 3000 }),
        (others, at, gap, later) => {
          const rest = others.filter(
            (other) =>
              other.kind !== 'intervention' ||
              (other.intervention !== 'adrenaline-im' && other.intervention !== 'salbutamol-neb'),
          );
          const chain = (first: number) => [
            ...rest,
            adrenaline(first),
            adrenaline(first + gap * 100),
            give(first + 1000, 'salbutamol-neb', { amount: 5 }),
          ];
          const before = score(chain(at)).score.fraction ?? 0;
          const after = score(chain(at + later * 100)).score.fraction ?? 0;
          expect(after).toBeLessThanOrEqual(before + 1e-12);
        },
      ),
      { numRuns: 60 },
    );
  });

  it('shifting a dose by 120 s shifts its lateness by exactly 120 s', () => {
    fc.assert(
      fc.property(time(END - s(200)), (at) => {
        const before = of(score([adrenaline(at)]), 'first-adrenaline');
        const after = of(score([adrenaline(at + s(120))]), 'first-adrenaline');
        expect((after?.latenessMs ?? 0) - (before?.latenessMs ?? 0)).toBe(s(120));
      }),
      { numRuns: 60 },
    );
  });

  it('cutting the log before a due time censors it', () => {
    // Could have been seen at 60 s, due 120 s later.
    fc.assert(
      fc.property(fc.integer({ min: 601, max: 1799 }), fc.boolean(), (step, saidNotDone) => {
        const cut = [end(step * 100), ...(saidNotDone ? [answer('first-adrenaline', 'not-done')] : [])];
        const card = scoreRun(build({ pack: PACK, lines: cut, toMs: step * 100 }));
        expect(of(card, 'first-adrenaline')).toMatchObject({ result: 'censored', credit: null });
        expect(card.criticalFailures).toEqual([]);
      }),
      { numRuns: 60 },
    );
  });

  it('is unaffected by events at or after the end', () => {
    fc.assert(
      fc.property(lines, lines, time(s(100)), (inside, outside, after) => {
        const within = [...byTime(inside), end(END)];
        const beyond = outside.map((one) => ({ ...one, at: END + after }));
        const run = (all: readonly Line[]) => scoreRun(build({ pack: PACK, lines: all }));
        expect(run([...within, ...beyond])).toEqual(run(within));
      }),
      { numRuns: 60 },
    );
  });

  it('does not depend on the order or numbering of simultaneous events', () => {
    fc.assert(
      fc.property(lines, fc.integer(), time(), (all, salt, moment) => {
        // Crowd half of the events into one moment, then shuffle those among themselves.
        const crowded = byTime(all.map((one, index) => (index % 2 === 0 ? { ...one, at: moment } : one)));
        const shuffled = crowded
          .map((one, index) => ({ one, key: (index * 7919 + Math.abs(salt)) % 101 }))
          .sort((a, b) => a.one.at - b.one.at || a.key - b.key)
          .map(({ one }) => one);
        expect(withoutSeq(score(shuffled))).toEqual(withoutSeq(score(crowded)));
      }),
      { numRuns: 80 },
    );
  });

  it('two different doses at one moment score alike whichever was numbered first', () => {
    fc.assert(
      fc.property(
        time(s(400)),
        fc.shuffledSubarray([300, 150, 600, 3000], { minLength: 2 }).filter((all) => new Set(all).size === all.length),
        (at, amounts) => {
          const doses = amounts.map((amount) => adrenaline(at, { amount, volumeMl: amount / 1000 }));
          expect(withoutSeq(score([...doses].reverse()))).toEqual(withoutSeq(score(doses)));
        },
      ),
      { numRuns: 40 },
    );
  });

  it('does not depend on the order of the array', () => {
    fc.assert(
      fc.property(lines, (all) => {
        const run = build({ pack: PACK, lines: byTime(all) });
        expect(scoreRun({ ...run, events: [...run.events].reverse() })).toEqual(scoreRun(run));
      }),
      { numRuns: 40 },
    );
  });

  it('is the same every time, and never changes what it reads', () => {
    fc.assert(
      fc.property(lines, (all) => {
        const run = deepFreeze(build({ pack: PACK, lines: byTime(all) }));
        expect(scoreRun(run)).toEqual(scoreRun(JSON.parse(JSON.stringify(run)) as RunExport));
      }),
      { numRuns: 20 },
    );
  });

  it('keeps every credit and the score between 0 and 1, and its words finite', () => {
    fc.assert(
      fc.property(lines, (all) => {
        const card = score(all);
        for (const one of card.results) {
          if (one.credit !== null) expect(one.credit >= 0 && one.credit <= 1).toBe(true);
          expect(JSON.stringify(one)).not.toMatch(/NaN|undefined/);
        }
        if (card.score.fraction !== null) expect(card.score.fraction >= 0 && card.score.fraction <= 1).toBe(true);
      }),
      { numRuns: 60 },
    );
  });

  it('withdrawing an event equals never having logged it', () => {
    fc.assert(
      fc.property(
        lines.filter((all) => all.length > 0),
        fc.nat(),
        (all, which) => {
          const sorted = byTime(all);
          const index = which % sorted.length;
          const victim = events(sorted)[index + 1] as RunEvent;
          const undone = [...sorted, { at: END - 100, kind: 'event-withdrawn', targetSeq: victim.seq } as const];
          const never = sorted.filter((_, position) => position !== index);
          expect(withoutSeq(score(undone))).toEqual(withoutSeq(score(never)));
        },
      ),
      { numRuns: 60 },
    );
  });
});

/** Everything but event numbers, with evidence of one moment in a fixed order. */
function withoutSeq(card: Scorecard): unknown {
  return JSON.parse(JSON.stringify(card, (key, value: unknown) => (key === 'seq' ? undefined : value)));
}

function deepFreeze<T>(value: T): T {
  if (typeof value === 'object' && value !== null && !Object.isFrozen(value)) {
    Object.freeze(value);
    for (const inner of Object.values(value)) deepFreeze(inner);
  }
  return value;
}
