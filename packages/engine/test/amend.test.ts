import { describe, expect, it } from 'vitest';
import fc from 'fast-check';
import { amendedEvents, doerOf, isAmendable, replay, withAmendment } from '../src/index.ts';
import type { EventBody } from '../src/index.ts';
import { give, logOf, REACTION, START } from './fixtures.ts';
import { started } from './helpers.ts';

const DOSE = give('adrenaline-im', 300, 'micrograms');
const CALL: EventBody = { kind: 'errand-sent', errand: 'call', what: 'anaesthetist', delayMs: 60_000 };
const LOOK: EventBody = { kind: 'assessment', intervention: 'look-breathing' };
const OTHER: EventBody = { kind: 'other-action', text: 'Fanned her', effect: 'none' };
const ACTS = [DOSE, CALL, LOOK, OTHER];
const NOBODYS: readonly EventBody[] = [{ kind: 'mark' }, START, { kind: 'note', text: 'x' }];

describe('what is added to an act', () => {
  it('leaves the patient as they were, bit for bit, and takes nothing back', () => {
    const { run, put } = started(REACTION);
    run.advanceTo(20_000);
    const seq = put(DOSE);
    run.advanceTo(24_000);
    put({ kind: 'act-amended', targetSeq: seq, doneBy: 'Nurse one', doseSeen: true });
    run.advanceTo(120_000);
    const plain = replay(
      REACTION,
      logOf([
        [0, START],
        [20_000, DOSE],
      ]),
      { untilMs: 120_000 },
    );
    expect(run.hash()).toBe(plain.hash());
    expect(run.withdrawn()).toEqual(new Set());
    expect(run.view().doses).toHaveLength(1);
  });

  it('is one line with its seat, as said last; taken off, the line is as it was logged', () => {
    for (const act of ACTS) {
      const said = (...seats: (string | null)[]) =>
        amendedEvents(
          logOf([
            [0, START],
            [5_000, act],
            ...seats.map((doneBy, at): [number, EventBody] => [
              6_000 + at,
              { kind: 'act-amended', targetSeq: 2, doneBy },
            ]),
          ]),
        );
      expect(said('Nurse one', 'Nurse two').map(({ kind }) => kind)).toEqual(['run-started', act.kind]);
      expect(said('Nurse one', 'Nurse two').map(doerOf)).toEqual([undefined, 'Nurse two']);
      expect(said('Nurse one', null)).toEqual(said());
    }
  });

  it('says of each act only what can be said of it', () => {
    for (const act of ACTS) expect(isAmendable(act, {})).toBe(true);
    expect(ACTS.filter((act) => isAmendable(act, { doseSeen: true }))).toEqual([DOSE]);
    for (const body of NOBODYS) {
      expect(isAmendable(body, {})).toBe(false);
      expect(withAmendment(body, { doneBy: 'Nurse one', doseSeen: true })).toEqual(body);
    }
  });

  it('changes no other line, whichever act it is about', () => {
    fc.assert(
      fc.property(
        fc.array(fc.constantFrom(...ACTS, ...NOBODYS), { minLength: 1, maxLength: 12 }),
        fc.array(fc.record({ targetSeq: fc.integer({ min: 1, max: 14 }), doneBy: fc.constantFrom('A', 'B', null) })),
        (bodies, words) => {
          const acts = bodies.map((body, at): [number, EventBody] => [at * 1000, body]);
          const added = words.map((word, at): [number, EventBody] => [20_000 + at, { kind: 'act-amended', ...word }]);
          const plain = logOf(acts);
          const read = amendedEvents(logOf([...acts, ...added]));
          expect(read).toHaveLength(plain.length);
          plain.forEach((event, at) => {
            const last = words.findLast((word) => word.targetSeq === event.seq);
            expect(read[at]).toEqual(last === undefined ? event : withAmendment(event, last));
          });
        },
      ),
    );
  });
});
