/**
 * The three moments of a poor run are the ones a clinician would choose, with the reason beside each. One or more poor
 * rehearsals of every shipped scenario; what is given here is a teacher's judgement (common practice, no source).
 */
import { describe, expect, it } from 'vitest';
import { buildTimeline, reviewRun, scoreRun } from '@breathline/debrief';
import { threeMoments } from '../../src/lib/debrief/guide/moments.ts';
import { headline } from '../../src/lib/debrief/headline.ts';
import { aRun } from '../../../../tests/reference/a-run.ts';

type Wanted = readonly [title: RegExp, because: string];

const POOR: Readonly<Record<string, Readonly<Record<string, readonly Wanted[]>>>> = {
  'asthma-after-a-cold': {
    'oxygen and nothing else': [
      [/^It could be seen/, 'the signs were there from the start'],
      [/first bronchodilator/, 'oxygen alone opens no airway'],
      [/senior|tiring/, 'nobody said how ill she was becoming'],
    ],
  },
  'blue-at-the-bus-stop': {
    'fifteen litres and left': [
      [/^Against the guideline: oxygen, non-rebreathe mask left on/, 'the rich oxygen itself did the harm'],
      [/blood gas/, 'the gas would have shown it'],
      [/turned down/, 'it could still have been turned down'],
    ],
    'oxygen taken right off': [
      [/^Against the guideline: oxygen, non-rebreathe mask/, 'the first harm'],
      [/^Against the guideline: oxygen off/, 'the second, opposite one'],
    ],
  },
  'cannot-lie-down': {
    'laid flat and given fluid': [
      [/^Against the guideline: laid flat/, 'flat, her lungs flood'],
      [/^Against the guideline: crystalloid/, 'fluid into a failing heart'],
      [/circulation stopped/, 'what came of both'],
    ],
  },
  'cashew-cookery-club': {
    'antihistamine and steroid only': [
      [/^Given first: no antihistamine/, 'given in place of adrenaline'],
      [/first adrenaline/, 'what was left out'],
      [/circulation stopped/, 'what came of it'],
    ],
    'ten times the dose': [
      [/^First adrenaline, wrong dose: ten times the dose/, 'never a dose in time alone'],
      [/Systolic pressure/, 'what came of it'],
    ],
  },
  'croup-at-midnight': {
    'spatula in the throat': [
      [/^Against the guideline: throat looked into/, 'looking closes the throat'],
      [/nebulised adrenaline/, 'what was left out'],
      [/circulation stopped/, 'what came of it'],
    ],
  },
  'fell-off-a-ladder': {
    'a picture first': [
      [/^Against the guideline: chest X-ray/, 'the picture cost the minutes'],
      [/chest decompressed/, 'what was left out'],
      [/circulation stopped/, 'what came of it'],
    ],
  },
  'first-peanut-toast': {
    'taken for a wheezy cold': [
      [/^It could be seen/, 'a fixed idea is talked about from its first minute'],
      [/first adrenaline/, 'what was left out'],
      [/circulation stopped/, 'what came of it'],
    ],
  },
  'grape-at-the-party': {
    'a finger first': [
      [/^Against the guideline: blind finger sweep/, 'a finger drives it deeper'],
      [/back blows/, 'what was left out'],
      [/circulation stopped/, 'what came of it'],
    ],
    'three minutes late': [
      [/^It could be seen/, 'when the cough failed'],
      [/^First back blows, 2 min 41 s late/, 'the step, though seconds from the arrest'],
      [/circulation stopped/, 'what came of the wait'],
    ],
  },
  'hot-and-fast': {
    'fluid late': [
      [/^It could be seen/, 'shock was there to see'],
      [/^First fluid bolus, .* late/, 'the step that mattered'],
    ],
  },
  'six-weeks-old-off-feeds': {
    'nebulisers and steroid': [
      [/^Against the guideline: salbutamol/, 'what a guideline asks to leave alone'],
      [/pause answered/, 'what was left out'],
      [/circulation stopped/, 'what came of it'],
    ],
  },
  'sorbet-before-the-coach': {
    'the second wave watched and not treated': [
      [/^First adrenaline/, 'the first wave went well: begin there'],
      [/second intramuscular adrenaline/, 'the second dose never came'],
      [/circulation stopped/, 'what came of it'],
    ],
  },
  'tea-in-the-marquee': {
    'a push into the vein': [
      [/^First adrenaline$/, 'the right dose came first'],
      [
        /^Against the guideline: adrenaline, intravenous bolus.*circulation stopped/,
        'the push and what came of it, together',
      ],
    ],
  },
  'tight-since-sunday': {
    'nebulisers late, then a tube': [
      [/^It could be seen/, 'the signs were there from the start'],
      [/^First bronchodilator, .* late/, 'the step that mattered'],
      [/says aloud/, 'named only when she was spent'],
    ],
  },
  'wants-to-go-home': {
    'one small dose and left': [
      [/airway and breaths/, 'breaths came first, and well'],
      [/^Against the guideline: sent home/, 'naloxone wears off before the opioid'],
      [/naloxone again/, 'what was left out'],
    ],
  },
  'wasp-sting-orchard': {
    'stood up while shocked': [
      [/first adrenaline/, 'what was left out'],
      [/^Against the guideline: stood up.*circulation stopped/, 'standing empties the heart, within seconds'],
    ],
  },
};

function told(id: string, rehearsal: string) {
  const run = aRun(id, rehearsal);
  const card = scoreRun(run);
  return { run, card, moments: threeMoments(card, reviewRun(run, { card }), run) };
}

describe('three moments', () => {
  for (const [id, rehearsals] of Object.entries(POOR)) {
    for (const [name, wanted] of Object.entries(rehearsals)) {
      it(`${id}, ${name}`, { timeout: 60_000 }, () => {
        const { card, moments } = told(id, name);
        const titles = moments.map(({ title }) => title);
        for (const [title, because] of wanted) {
          expect(
            titles.some((one) => title.test(one)),
            `${String(title)}: ${because}; found ${titles.join(' | ')}`,
          ).toBe(true);
        }
        expect(moments.length).toBe(3);
        expect(moments.map(({ atMs }) => atMs)).toEqual(moments.map(({ atMs }) => atMs).sort((a, b) => a - b));
        for (const { atMs, ask } of moments) {
          expect(atMs).toBeLessThanOrEqual(card.clocks.endMs);
          expect(ask).toMatch(/\?$/);
        }
      });
    }
  }

  it('a run that went well is told from its key step, in fifteen scenarios', { timeout: 240_000 }, () => {
    for (const id of Object.keys(POOR)) {
      const { run, card, moments } = told(id, 'textbook');
      const { key } = buildTimeline(run, card);
      expect(key, id).not.toBeNull();
      expect(key?.toMs, id).not.toBeNull();
      expect(key?.fault ?? null, id).toBeNull();
      const label = key!.label.toLowerCase();
      expect(
        moments.some(({ title }) => title.toLowerCase().includes(label)),
        id,
      ).toBe(true);
      expect(headline(card, key).toLowerCase(), id).toContain(label);
    }
    expect(Object.keys(POOR)).toHaveLength(15);
  });
});
