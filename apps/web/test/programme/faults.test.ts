/** First doses that were not adequate, said in one plain sentence whatever may be counted of them. */
import { expect, it } from 'vitest';
import type { ShownFaults } from '@breathline/debrief';
import { faultsText } from '../../src/lib/programme/words.ts';

const found = (part: Partial<ShownFaults>): ShownFaults => ({
  of: 16,
  count: null,
  interval: null,
  hidden: null,
  kinds: [],
  ...part,
});

it.each([
  [found({ of: 0, count: 0 }), ''],
  [found({ count: 0 }), 'In none of 16 runs was the first adrenaline other than adequate.'],
  [
    found({ count: 6, kinds: [{ says: 'wrong dose', count: 6 }] }),
    'In 6 of 16 runs the first adrenaline was not adequate: wrong dose 6.',
  ],
  [
    found({ hidden: 'few', kinds: [{ says: 'wrong dose', count: null }] }),
    'In fewer than 5 of 16 runs the first adrenaline was not adequate: wrong dose.',
  ],
  [
    found({
      count: 6,
      kinds: [
        { says: 'wrong dose', count: null },
        { says: 'wrong route', count: null },
      ],
    }),
    'In 6 of 16 runs the first adrenaline was not adequate: wrong dose, wrong route (the kinds are not counted apart, as one is small).',
  ],
  [
    found({ hidden: 'kept-back' }),
    'Of 16 runs, those in which the first adrenaline was not adequate: not shown: a count under 5 could be worked out from it.',
  ],
] as const)('%#', (faults, says) => expect(faultsText(faults)).toBe(says));
