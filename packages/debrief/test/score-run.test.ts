import { describe, expect, it } from 'vitest';
import type { Condition } from '@breathline/scenario';
import { DebriefError, scoreRun } from '../src/index.ts';
import {
  adrenaline,
  answer,
  build,
  end,
  FIRST_ADRENALINE,
  give,
  LOW_PRESSURE,
  ORDER,
  pack,
  s,
  SECOND_ADRENALINE,
  target,
  CHECKED,
  UNCHECKED,
  WHEEZE,
  type Line,
  type Plan,
} from './build-run.ts';

const result = (plan: Plan, id: string) => {
  const found = scoreRun(build(plan)).results.find((one) => one.target.id === id);
  if (!found) throw new Error(`no target ${id}`);
  return found;
};

describe('a run scored by hand', () => {
  // Wheeze from 1:00. Help at 1:30; adrenaline 300 micrograms at 2:40 (100 s after it could have been seen, target
  // 120 s); antihistamine at 4:00; second adrenaline at 7:50 (310 s after the first: 10 s late, fade 300 to 600 s).
  const run = build({
    pack: pack({ targets: [FIRST_ADRENALINE, SECOND_ADRENALINE, ORDER] }),
    lines: [
      give(s(90), 'call-help'),
      adrenaline(s(140), { step: 'said' }),
      adrenaline(s(150), { step: 'drawn-up' }),
      adrenaline(s(160)),
      give(s(240), 'chlorphenamine-iv', { amount: 5 }),
      adrenaline(s(470)),
    ],
  });
  const card = scoreRun(run);

  it('starts the clock when it could have been seen, though nobody looked', () => {
    expect(card.clocks).toMatchObject({
      arrivalMs: 0,
      couldHaveSeenMs: s(60),
      didSeeMs: null,
      saidMs: s(90),
      firstAdrenalineMs: s(160),
      endMs: s(1200),
    });
    expect(card.clocks.couldHaveSeenBecause).toBe('Moderate wheeze: wheeze moderate at 1:00');
  });

  it('gives each line its result, times and credit', () => {
    expect(card.results.map((one) => [one.target.id, one.result, one.takenMs, one.latenessMs, one.credit])).toEqual([
      ['first-adrenaline', 'met', s(100), s(-20), 1],
      ['second-adrenaline', 'late', s(310), s(10), 290 / 300],
      ['adrenaline-before-antihistamine', 'order-kept', s(180), null, 1],
    ]);
    // (4 x 1 + 3 x 290/300 + 1 x 1) / 8 = 7.9 / 8
    expect(card.score.fraction).toBeCloseTo(7.9 / 8, 12);
    expect(card.criticalFailures).toEqual([]);
  });

  it('carries evidence with seq, time and words, the preparation included', () => {
    expect(card.results[0]?.evidence.map((one) => [one.seq, one.atMs, one.text])).toEqual([
      [null, s(60), 'From when it could have been seen: Moderate wheeze: wheeze moderate at 1:00'],
      [3, s(140), 'Adrenaline IM asked for'],
      [4, s(150), 'Adrenaline IM drawn up'],
      [5, s(160), 'Adrenaline IM, 300 micrograms'],
    ]);
  });
});

describe('recognition clocks', () => {
  it('did-see waits for someone to look', () => {
    const card = scoreRun(build({ lines: [{ at: s(200), kind: 'assessment', intervention: 'look-breathing' }] }));
    expect(card.clocks).toMatchObject({ couldHaveSeenMs: s(60), didSeeMs: s(200) });
  });

  it('did-see reads what the monitor showed', () => {
    const card = scoreRun(
      build({
        at: (t) => ({ vitals: { spo2Percent: t >= s(30) ? 90 : 98 }, shown: { spo2Percent: t >= s(100) ? 91 : null } }),
      }),
    );
    expect(card.clocks).toMatchObject({ couldHaveSeenMs: s(30), didSeeMs: s(100) });
    expect(card.clocks.didSeeBecause).toContain('SpO₂ 91 %');
  });

  it('an examination before the sign came shows nothing', () => {
    const card = scoreRun(build({ lines: [{ at: s(20), kind: 'assessment', intervention: 'look-breathing' }] }));
    expect(card.clocks.didSeeMs).toBeNull();
  });

  it('never starts on something true that nobody could see', () => {
    const hidden = pack({
      recognition: [
        {
          id: 'x',
          says: 'x',
          when: { kind: 'vital', vital: 'paco2MmHg', op: 'above', limit: { value: 50 }, forMs: 0 },
          source: UNCHECKED,
        },
      ],
    });
    expect(
      scoreRun(build({ pack: hidden, at: () => ({ vitals: { paco2MmHg: 80 } }) })).clocks.couldHaveSeenMs,
    ).toBeNull();
  });

  it('waits for a condition to hold as long as it says', () => {
    const held = pack({ recognition: [{ id: 'x', says: 'x', when: { ...WHEEZE, forMs: s(15) }, source: UNCHECKED }] });
    expect(scoreRun(build({ pack: held })).clocks.couldHaveSeenMs).toBe(s(75));
  });

  it('not looking lengthens the time and never resets it', () => {
    const blind = result({ lines: [adrenaline(s(300))] }, 'first-adrenaline');
    const seen = result(
      { lines: [{ at: s(250), kind: 'assessment', intervention: 'look-breathing' }, adrenaline(s(300))] },
      'first-adrenaline',
    );
    expect(blind.takenMs).toBe(s(240));
    expect(seen.takenMs).toBe(blind.takenMs);
  });
});

describe('results', () => {
  it('nothing logged is not recorded, is asked about, and fails no one', () => {
    const card = scoreRun(build());
    expect(card.results[0]).toMatchObject({ result: 'not-recorded', credit: null });
    expect(card.toReconcile).toEqual([{ target: 'first-adrenaline', question: 'First adrenaline into the muscle' }]);
    expect(card.criticalFailures).toEqual([]);
    expect(card.score.fraction).toBeNull();
  });

  it('unsure stays not recorded; only "not done" is a miss', () => {
    expect(result({ lines: [answer('first-adrenaline', 'unsure')] }, 'first-adrenaline').result).toBe('not-recorded');
    const card = scoreRun(build({ lines: [answer('first-adrenaline', 'not-done')] }));
    expect(card.results[0]).toMatchObject({ result: 'missed', credit: 0 });
    expect(card.criticalFailures.map((one) => one.target)).toEqual(['first-adrenaline']);
    expect(card.toReconcile).toEqual([]);
  });

  it('the last answer stands', () => {
    const lines = [answer('first-adrenaline', 'not-done'), answer('first-adrenaline', 'unsure')];
    expect(result({ lines }, 'first-adrenaline').result).toBe('not-recorded');
  });

  it('done with a time is timed, its dose unverified', () => {
    const card = scoreRun(build({ lines: [answer('first-adrenaline', 'done', s(150))] }));
    expect(card.results[0]).toMatchObject({ result: 'given-unverified', takenMs: s(90), credit: null });
    expect(card.clocks.firstAdrenalineMs).toBe(s(150));
  });

  it('done without a time is enough for a line that has none; of a dose nobody then saw it', () => {
    const talked = target({ id: 'talked-to-family' });
    const dosed = target({ id: 'dosed', interventions: ['adrenaline-im'], doseRule: 'adrenaline-im-dose' });
    const timed = target({ id: 'called', dueMs: s(60) });
    const plan = {
      pack: pack({ targets: [talked, dosed, timed] }),
      lines: [talked, dosed, timed].map(({ id }) => answer(id, 'done')),
    };
    expect(result(plan, talked.id)).toMatchObject({ result: 'met', credit: 1, actualMs: null });
    expect(result(plan, dosed.id)).toMatchObject({ result: 'given-unverified', credit: null });
    expect(result(plan, timed.id)).toMatchObject({ result: 'not-recorded', credit: null });
  });

  it('a dose nobody saw is given, unverified; its time still shows', () => {
    const one = result({ lines: [adrenaline(s(400), { doseSeen: false })] }, 'first-adrenaline');
    expect(one).toMatchObject({ result: 'given-unverified', latenessMs: s(220), credit: null });
  });

  it('the log outranks what was said afterwards', () => {
    const lines = [adrenaline(s(100)), answer('first-adrenaline', 'not-done')];
    expect(result({ lines }, 'first-adrenaline').result).toBe('met');
  });

  it('asked for is not given', () => {
    expect(result({ lines: [adrenaline(s(100), { step: 'said' })] }, 'first-adrenaline').result).toBe('not-recorded');
  });

  it('the run ended before it was due: censored, not failed, not asked', () => {
    const card = scoreRun(build({ lines: [end(s(179))] }));
    expect(card.results[0]).toMatchObject({ result: 'censored', credit: null, dueMs: s(180) });
    expect(card.toReconcile).toEqual([]);
  });

  it('never recognisable means never due', () => {
    expect(result({ at: () => ({}) }, 'first-adrenaline').result).toBe('not-due');
    // A team that treats before the signs are clear has left nothing undone.
    expect(result({ at: () => ({}), lines: [adrenaline(s(100))] }, 'first-adrenaline')).toMatchObject({
      result: 'met',
      actualMs: s(100),
      credit: 1,
    });
  });

  it('withdrawn events do not count; a withdrawn withdrawal does not withdraw', () => {
    const undone = [adrenaline(s(100)), { at: s(101), kind: 'event-withdrawn', targetSeq: 2 } as const];
    expect(result({ lines: undone }, 'first-adrenaline').result).toBe('not-recorded');
    const redone = [...undone, { at: s(102), kind: 'event-withdrawn', targetSeq: 3 } as const];
    expect(result({ lines: redone }, 'first-adrenaline').result).toBe('met');
  });

  it('a dose said afterwards to have been seen counts as one that was; its line is one, at its own time', () => {
    const logged = adrenaline(s(100), { doseSeen: false });
    const seen = [logged, { at: s(130), kind: 'act-amended', targetSeq: 2, doseSeen: true } as const];
    const [unseen, amended, fromTheStart] = [[logged], seen, [adrenaline(s(100))]].map((lines) =>
      result({ lines }, 'first-adrenaline'),
    );
    expect(amended).toEqual(fromTheStart);
    expect(amended?.dose).not.toEqual(unseen?.dose);
  });

  it('other takes do not count', () => {
    expect(result({ lines: [{ ...adrenaline(s(100)), take: 2 }] }, 'first-adrenaline').result).toBe('not-recorded');
  });

  it('paused time is left out, should the clock ever run through a pause', () => {
    const lines = [
      { at: s(70), kind: 'run-paused', why: 'faculty' } as const,
      { at: s(130), kind: 'run-resumed' } as const,
      adrenaline(s(240)),
    ];
    expect(result({ lines }, 'first-adrenaline')).toMatchObject({ takenMs: s(120), latenessMs: 0, result: 'met' });
  });

  it('marks as cued only what the cue could have prompted, while it could have', () => {
    const cued = (cue: string, at: number, act: Line) => {
      const one = pack({ targets: [FIRST_ADRENALINE, target({ id: 'oxygen-nrb', dueMs: s(600) })] });
      const card = scoreRun(build({ lines: [{ at, kind: 'cue-spoken', cue }, act], pack: one }));
      return card.results.filter((result) => result.cued).map((result) => result.target.id);
    };
    expect(cued('hint', s(80), adrenaline(s(100)))).toEqual(['first-adrenaline']);
    // Before the signs were clear it prompts just as well.
    expect(cued('hint', s(50), adrenaline(s(70)))).toEqual(['first-adrenaline']);
    expect(cued('story', s(80), adrenaline(s(100)))).toEqual([]);
    // A prompt that says of nothing what it is about marks nothing; one about adrenaline does not mark oxygen.
    expect(cued('vague', s(80), adrenaline(s(100)))).toEqual([]);
    expect(cued('hint', s(80), give(s(100), 'oxygen-nrb'))).toEqual([]);
    // Long after, and before, it prompted nothing; a scenario may say for how long.
    expect(cued('hint', s(80), adrenaline(s(140)))).toEqual(['first-adrenaline']);
    expect(cued('hint', s(80), adrenaline(s(141)))).toEqual([]);
    expect(cued('hint', s(80), adrenaline(s(79)))).toEqual([]);
    expect(cued('slow-hint', s(80), adrenaline(s(260)))).toEqual(['first-adrenaline']);
    expect(cued('slow-hint', s(80), adrenaline(s(261)))).toEqual([]);
  });

  it('a device put on counts as its intervention', () => {
    const oximeter = pack({ targets: [target({ id: 'oximeter', clock: 'arrival', dueMs: s(60) })] });
    const lines = [{ at: s(50), kind: 'device-attached', device: 'oximeter' } as const];
    expect(result({ pack: oximeter, lines }, 'oximeter').result).toBe('met');
  });
});

describe('repeat doses', () => {
  const repeat = pack({ targets: [SECOND_ADRENALINE] });
  const at = (t: number) => ({ signs: { wheeze: t >= s(60) ? 2 : 0 } });
  const two = (first: number, second: number) => [adrenaline(s(first)), adrenaline(s(second))];

  it.each([
    [100, 300, 'early'],
    [100, 340, 'met'],
    [100, 400, 'met'],
    [100, 401, 'late'],
  ] as const)('first at %d s, second at %d s: %s', (first, second, word) => {
    expect(result({ pack: repeat, at, lines: two(first, second) }, 'second-adrenaline').result).toBe(word);
  });

  it('is not due when the problem has gone', () => {
    const gone = (t: number) => ({ signs: { wheeze: t >= s(60) && t < s(200) ? 2 : 0 } });
    expect(result({ pack: repeat, at: gone, lines: [adrenaline(s(100))] }, 'second-adrenaline').result).toBe('not-due');
  });

  it('falls due later when the problem comes back', () => {
    const back = (t: number) => ({ signs: { wheeze: (t >= s(60) && t < s(200)) || t >= s(600) ? 2 : 0 } });
    const one = result({ pack: repeat, at: back, lines: two(100, 630) }, 'second-adrenaline');
    expect(one).toMatchObject({ result: 'late', dueMs: s(600), latenessMs: s(30) });
  });

  it('still counts the dose that cured it', () => {
    const cured = (t: number) => ({ signs: { wheeze: t >= s(60) && t < s(395) ? 2 : 0 } });
    expect(result({ pack: repeat, at: cured, lines: two(100, 390) }, 'second-adrenaline').result).toBe('met');
  });

  it('counts a dose given too soon while the problem was there, though it then went', () => {
    const cured = (t: number) => ({ signs: { wheeze: t >= s(60) && t < s(310) ? 2 : 0 } });
    expect(result({ pack: repeat, at: cured, lines: two(100, 300) }, 'second-adrenaline').result).toBe('early');
    expect(result({ pack: repeat, at: cured, lines: two(100, 320) }, 'second-adrenaline').result).toBe('not-due');
  });

  it('is not due without a first dose, and censored when the run stops short', () => {
    expect(result({ pack: repeat, at }, 'second-adrenaline').result).toBe('not-due');
    expect(result({ pack: repeat, at, lines: [adrenaline(s(100)), end(s(399))] }, 'second-adrenaline').result).toBe(
      'censored',
    );
  });
});

describe('order and must-not', () => {
  const order = pack({ targets: [FIRST_ADRENALINE, ORDER] });
  const antihistamine = (at: number) => give(at, 'chlorphenamine-iv', { amount: 5 });

  it('broken when the antihistamine came first, and stands out', () => {
    const card = scoreRun(build({ pack: order, lines: [antihistamine(s(80)), adrenaline(s(100))] }));
    expect(card.results[1]).toMatchObject({ result: 'order-broken', credit: 0 });
    expect(card.criticalFailures.map((one) => one.target)).toEqual([ORDER.id]);
  });

  it('kept after, at the same moment, and with none at all', () => {
    for (const lines of [
      [adrenaline(s(100)), antihistamine(s(101))],
      [antihistamine(s(100)), adrenaline(s(100))],
      [adrenaline(s(100))],
    ])
      expect(result({ pack: order, lines }, ORDER.id).result).toBe('order-kept');
  });

  it('can not be told while adrenaline is unrecorded; broken once the team say it was not given', () => {
    expect(result({ pack: order, lines: [antihistamine(s(80))] }, ORDER.id).result).toBe('not-recorded');
    const lines = [antihistamine(s(80)), answer('first-adrenaline', 'not-done')];
    expect(result({ pack: order, lines }, ORDER.id).result).toBe('order-broken');
  });

  it('a repeat dose said not to be done does not mean that the first was not', () => {
    const both = pack({ targets: [FIRST_ADRENALINE, SECOND_ADRENALINE, ORDER] });
    const lines = [antihistamine(s(80)), answer('second-adrenaline', 'not-done')];
    expect(result({ pack: both, lines }, ORDER.id).result).toBe('not-recorded');
  });

  it('a timed line out of order earns nothing however quick', () => {
    const salbutamol = target({ id: 'salbutamol-neb', dueMs: s(600), mustFollow: 'adrenaline-im' });
    const lines = [give(s(70), 'salbutamol-neb', { amount: 5 }), adrenaline(s(100))];
    expect(result({ pack: pack({ targets: [salbutamol] }), lines }, 'salbutamol-neb')).toMatchObject({
      result: 'order-broken',
      credit: 0,
    });
  });

  it('a must-not counts only while its condition holds, and earns nothing by being avoided', () => {
    const stood = pack({
      targets: [target({ id: 'stand-up', contraindicated: true, onlyIf: LOW_PRESSURE, critical: true })],
    });
    const at = (t: number) => ({ vitals: { systolicMmHg: t >= s(200) ? 70 : 100 } });
    expect(result({ pack: stood, at, lines: [give(s(100), 'stand-up')] }, 'stand-up')).toMatchObject({
      result: 'met',
      credit: null,
    });
    expect(result({ pack: stood, at, lines: [give(s(300), 'stand-up')] }, 'stand-up')).toMatchObject({
      result: 'contraindicated-given',
      credit: 0,
    });
  });

  it('a must-not that outlasts the run is not called kept: the run ended first', () => {
    const within = { kind: 'given', interventions: ['adrenaline-im'], times: 1, minDoseShare: 0 } as const;
    const line = (withinMs: number) =>
      pack({
        targets: [
          target({
            id: 'stand-up',
            contraindicated: true,
            onlyIf: { kind: 'all', of: [{ ...within, withinMs }] },
          }),
        ],
      });
    const lines = [give(s(30), 'adrenaline-im'), end(s(500))];
    expect(result({ pack: line(s(600)), lines }, 'stand-up')).toMatchObject({
      result: 'censored',
      because: expect.stringContaining('this holds until 10:30') as string,
    });
    expect(result({ pack: line(s(470)), lines }, 'stand-up').result).toBe('met');
    const stood = [lines[0]!, give(s(90), 'stand-up'), lines[1]!];
    expect(result({ pack: line(s(600)), lines: stood }, 'stand-up').result).toBe('contraindicated-given');
  });

  it('oxygen put on in time and left on more than five minutes after it is ruled out was not avoided', () => {
    const rich: Condition = { kind: 'vital', vital: 'spo2Percent', op: 'above', limit: { value: 92 }, forMs: 0 };
    const line = target({ id: 'no-rich', interventions: ['oxygen-nrb'], contraindicated: true, onlyIf: rich });
    const plan = {
      pack: pack({ targets: [line] }),
      at: (t: number) => ({ vitals: { spo2Percent: t > s(60) ? 97 : 85 } }),
    };
    const on = give(s(30), 'oxygen-nrb');
    // Ruled out from 61 s; the run stands till 500 s.
    expect(result({ ...plan, lines: [on, end(s(350))] }, 'no-rich').result).toBe('met');
    expect(result({ ...plan, lines: [on, end(s(500))] }, 'no-rich')).toMatchObject({
      result: 'contraindicated-given',
      because: 'Oxygen by non-rebreathe mask left on for 7 min 19 s from 1:01, while it was ruled out',
    });
  });
});

describe('doses in the score', () => {
  it('counts a dose logged in milligrams as what it is, in conditions too', () => {
    const given = (share: number): Condition => ({
      kind: 'given',
      interventions: ['adrenaline-im'],
      times: 1,
      minDoseShare: share,
    });
    const inMg = { amount: 0.3, unit: 'mg', volumeMl: null };
    const dueIf = (share: number, part: Parameters<typeof adrenaline>[1]) => {
      const call = target({ id: 'call', dueMs: s(600), onlyIf: given(share) });
      return result({ pack: pack({ targets: [call] }), lines: [adrenaline(s(100), part)] }, 'call').result;
    };
    expect(dueIf(0.9, inMg)).toBe(dueIf(0.9, {}));
    expect(dueIf(0.9, {})).not.toBe(dueIf(1.1, {}));
    expect(dueIf(1.1, inMg)).toBe(dueIf(1.1, {}));
    // The syringe is believed over the tap, as in the dose check.
    expect(dueIf(0.9, { amount: 300, volumeMl: 0.03 })).toBe(dueIf(1.1, {}));
  });
  it('a tenfold dose in time earns nothing and stands out', () => {
    const card = scoreRun(build({ lines: [adrenaline(s(100), { amount: 3000, volumeMl: 3 })] }));
    expect(card.results[0]).toMatchObject({ result: 'given-wrong-dose', credit: 0 });
    expect(card.criticalFailures[0]?.text).toContain('ten times the dose');
  });
  it('a dose a little off keeps half, and the arithmetic says so', () => {
    const one = result({ lines: [adrenaline(s(100), { amount: 350, volumeMl: 0.35 })] }, 'first-adrenaline');
    expect(one.credit).toBe(0.5);
    expect(one.arithmetic).toContain('× 0.5 for the dose = 0.50');
  });
});

describe('a line no named clinician has checked', () => {
  const unchecked = pack({
    targets: [{ ...FIRST_ADRENALINE, source: UNCHECKED }, target({ id: 'call-help', clock: 'arrival', dueMs: s(60) })],
  });

  it('tells the result but counts for nothing and fails no one', () => {
    const card = scoreRun(build({ pack: unchecked, lines: [adrenaline(s(900)), give(s(30), 'call-help')] }));
    expect(card.results[0]).toMatchObject({ result: 'late', credit: null, creditIfCounted: 0, unverifiedSource: true });
    expect(card.criticalFailures).toEqual([]);
    expect(card.forDiscussion?.map((one) => one.target)).toEqual(['first-adrenaline']);
    expect(card.score.fraction).toBe(1);
    expect(card.score.arithmetic).toContain('1 left out because no named clinician has checked their source');
  });
});

describe('danger, objectives, packs', () => {
  it('adds up the seconds in danger from the true values', () => {
    const card = scoreRun(
      build({
        lines: [end(s(100))],
        at: (t) => ({
          vitals: {
            spo2Percent: t >= s(10) && t < s(40) ? 85 : 97,
            systolicMmHg: t >= s(90) ? 80 : 100,
            arrested: t >= s(95) ? 1 : 0,
          },
        }),
      }),
    );
    // 7 years: low systolic is 70 + 2 x 7 = 84 mmHg (paediatric advanced life support rule).
    expect(card.danger).toEqual({
      below90PercentMs: s(30),
      belowPressureLimitMs: s(10),
      pressureLimitMmHg: 84,
      arrestMs: s(5),
      saturation: { belowPercent: 90, belowMs: s(30), abovePercent: null, aboveMs: 0 },
    });
  });

  it('objectives: seen, not seen, not known', () => {
    const objectives = [
      { id: 'a', says: 'a', seenBy: { target: 'first-adrenaline' } },
      { id: 'b', says: 'b', seenBy: { state: 'settled' } },
      { id: 'c', says: 'c', seenBy: { question: 'Did they share a plan?' } },
    ];
    const of = (lines: Plan['lines']) =>
      scoreRun(build({ lines, scenario: { objectives } })).objectives.map((one) => one.result);
    expect(of([adrenaline(s(100))])).toEqual(['seen', 'not-seen', 'not-known']);
    expect(of([])).toEqual(['not-known', 'not-seen', 'not-known']);
    const tenfold = scoreRun(
      build({ lines: [adrenaline(s(100), { amount: 3000, volumeMl: 3 })], scenario: { objectives } }),
    );
    expect(tenfold.objectives[0]?.because).toContain('ten times the dose');
    // Late by a line nobody has checked: not known, and why stands beside the time.
    const late = (source: typeof UNCHECKED, given = adrenaline(s(900))) =>
      scoreRun(
        build({
          lines: [given],
          pack: pack({ targets: [{ ...FIRST_ADRENALINE, source }] }),
          scenario: { objectives },
        }),
      ).objectives[0];
    expect(late(UNCHECKED)).toMatchObject({
      result: 'not-known',
      because: expect.stringMatching(/late.*\. No named clinician has checked that line/) as string,
    });
    expect(late(UNCHECKED, adrenaline(s(100), { amount: 3000, volumeMl: 3 }))?.because).toMatch(
      /ten times the dose\. No named clinician/,
    );
    expect(tenfold.objectives[1]?.because).toMatch(/^The state “.+” was not reached$/);
    expect(late(CHECKED)).toMatchObject({
      result: 'not-seen',
      because: expect.not.stringMatching(/clinician/) as string,
    });
    expect(of([answer('first-adrenaline', 'not-done')])).toEqual(['not-seen', 'not-seen', 'not-known']);
  });

  it('an unknown pack is a plain error that names the packs there are', () => {
    const attempt = () => scoreRun(build(), { packId: 'nope' });
    expect(attempt).toThrow(DebriefError);
    try {
      attempt();
    } catch (error) {
      expect(error).toMatchObject({ code: 'unknown-pack', hint: 'Packs in this run: test-pack.' });
    }
  });

  it('a run with no track and no end still makes a card', () => {
    const card = scoreRun({ ...build({ toMs: 0 }), track: [], events: [] });
    expect(card.results[0]?.result).toBe('not-due');
  });
});
