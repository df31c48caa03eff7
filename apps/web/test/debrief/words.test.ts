/** A difference goes the way its numbers go, with a range and before there is one; a gap never comforts where it should not. */
import { describe, expect, it } from 'vitest';
import type { Difference } from '@breathline/engine';
import { changeText } from '../../src/lib/debrief/whatif/words.ts';
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
  ])('%#', (difference, says) => expect(changeText(difference)).toBe(says));
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
