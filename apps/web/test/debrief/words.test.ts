/** A difference goes the way its numbers go, with a range and before there is one; a gap never comforts where it should not. */
import { describe, expect, it } from 'vitest';
import { buildExport, whatIf, type Difference, type RunEvent } from '@breathline/engine';
import { aRun } from '../../../../tests/reference/a-run.ts';
import { changeText, courseText, valueText } from '../../src/lib/debrief/whatif/words.ts';
import { lineGapText } from '../../src/lib/debrief/words.ts';

const one = (change: number, changeRange: readonly [number, number] | null = null): Difference => ({
  id: 'msBelow90Percent',
  says: 'Time below',
  unit: 'ms',
  base: 300_000,
  alternative: 300_000 + change,
  change,
  changeRange,
  baseRange: null,
  alternativeRange: null,
  happens: { base: 1, alternative: 1, of: 1 },
});

/** An outcome that one course alone has; `still`: in how many of five courses each has it. */
const alone = (part: Partial<Difference>, still: readonly [base: number, alternative: number]): Difference => ({
  ...one(0),
  id: 'arrestAtMs',
  unit: 'run-clock ms',
  base: null,
  alternative: null,
  change: null,
  happens: { base: still[0], alternative: still[1], of: 5 },
  ...part,
});

describe('a difference in words', () => {
  it.each([
    [one(-120_000), '2 min less'],
    [one(120_000), '2 min more'],
    [one(-120_000, [-120_000, -120_000]), '2 min less'],
    [one(-120_000, [-240_000, -120_000]), '2 to 4 min less'],
    [one(120_000, [120_000, 240_000]), '2 to 4 min more'],
    [one(-60_000, [-60_000, 400]), 'up to 1 min less'],
    [one(60_000, [-400, 60_000]), 'up to 1 min more'],
    [one(1_000, [-60_000, 120_000]), 'between 1 min less and 2 min more'],
    [one(400), 'no difference'],
    [alone({ base: 781_000 }, [5, 0]), 'no longer happens in the what-if'],
    [alone({ base: 781_000 }, [5, 2]), 'no longer happens; with some constants of the model it still does'],
    [alone({ alternative: 781_000 }, [0, 5]), 'only in the what-if'],
    [alone({ alternative: 781_000 }, [1, 5]), 'only in the what-if; in the run with some constants of the model'],
    [
      alone({ id: 'recoveryAtMs', base: 90_000, without: { alternative: 'never-in-danger' } }, [5, 0]),
      'never in danger',
    ],
    [
      alone({ id: 'recoveryAtMs', base: 90_000, without: { alternative: 'in-danger-at-the-end' } }, [5, 0]),
      'still in danger at the end',
    ],
    [
      alone({ id: 'recoveryAtMs', alternative: 90_000, without: { base: 'in-danger-at-the-end' } }, [0, 5]),
      'out of danger in the what-if alone',
    ],
  ])('%#', (difference, says) => expect(changeText(difference)).toBe(says));
});

it('a moment is the second it falls in, as every other screen writes it', () => {
  expect(valueText(1_082_600, 'run-clock ms')).toBe('18:02');
});

it('what was done in an arrest that the right dose prevents is kept and marked; the arrest is gone in words too', () => {
  const run = aRun('cashew-cookery-club', 'a tenth of the dose');
  const [dose, end] = [
    run.events.find((event) => event.kind === 'intervention' && event.intervention === 'adrenaline-im')!,
    run.events.at(-1)!,
  ];
  const at = { appliedAtMs: 790_000, occurredAtMs: 790_000 };
  const compressions = { ...dose, ...at, intervention: 'cpr-started', amount: null, seq: end.seq } as RunEvent;
  const events = [...run.events.slice(0, -1), compressions, { ...end, seq: end.seq + 1 }];
  const arrested = buildExport({ runId: 'cpr', createdAt: run.createdAt, definition: run.definition, events });
  const right = whatIf(arrested, [{ kind: 'dose', seq: dose.seq, amount: 300 }], { uncertain: [] });
  expect(right.oddActs.map(({ seq }) => seq)).toEqual([compressions.seq]);
  expect(right.oddActs[0]!.why).toContain('has a pulse');
  const arrest = right.differences.find(({ id }) => id === 'arrestAtMs')!;
  expect(changeText(arrest)).toBe('no longer happens in the what-if');
  expect(courseText(arrest, 'alternative')).toBe('never');
  // Nothing changed: nothing is odd.
  expect(whatIf(arrested, [], { uncertain: [] }).oddActs).toEqual([]);
});

it.each([
  ['met', -40_000, '40 s in hand'],
  ['late', 70_000, '1 min 10 s late'],
  ['early', -220_000, 'too soon'],
  ['given-wrong-dose', -70_000, '–'],
  ['given-wrong-dose', 70_000, '1 min 10 s late'],
  ['missed', null, '–'],
] as const)('the gap of a line that is %s by %s ms', (result, latenessMs, says) =>
  expect(lineGapText({ result, latenessMs })).toBe(says),
);
