/** The live run's drawers: moments to go again from, how a call stands, what waits. */
import { describe, expect, it } from 'vitest';
import type { Derived, LiveView, RunEvent, RunView } from '@breathline/engine';
import type { LogLine } from '@breathline/protocol';
import type { CallContact, Library, Scenario } from '@breathline/scenario';
import { callStands, kitErrands, underWay } from '../../src/lib/console/live/errands.ts';
import { ageTone, outstanding } from '../../src/lib/console/live/requests.ts';
import { TWIN_MS, twinOf, twinWords } from '../../src/lib/console/twins.ts';
import { nextSeat } from '../../src/lib/console/live/seats.ts';
import { isBounce, type Press } from '../../src/lib/console/live/bounce.ts';
import { keptMoments, windMoments } from '../../src/lib/console/live/takes.ts';
import { courseWords, errandName, partsHeard } from '../../src/lib/console/live/words.ts';

const line = (seq: number, take: number, atMs: number, body: object = { kind: 'note', text: '' }): LogLine => ({
  event: {
    seq,
    take,
    appliedAtMs: atMs,
    occurredAtMs: atMs,
    wallTime: '',
    by: { role: 'lead' },
    ...body,
  } as RunEvent,
  withdrawnBy: null,
});

const LIBRARY = {
  interventions: [
    { id: 'adrenaline-im', name: 'Adrenaline IM', kind: 'drug', unit: 'micrograms', group: 'circulation', search: [] },
  ],
  packs: [],
  hash: '',
} as unknown as Library;
const view = (over: object = {}): RunView =>
  ({
    clockMs: 400_000,
    threads: [{ stateTitle: 'Shock', sinceMs: 300_000 }],
    ...over,
  }) as unknown as RunView;

describe('one act that two people logged', () => {
  const given = (seq: number, atMs: number, over: object = {}): LogLine =>
    line(seq, 1, atMs, { kind: 'intervention', intervention: 'adrenaline-im', step: 'given', ...over });

  it('the later line is told of the earlier, never the other way round', () => {
    const log = [given(1, 20_000, { by: { role: 'logger' } }), given(2, 20_000)];
    expect(twinOf(log, 1)).toBeNull();
    const twin = twinOf(log, 2);
    expect(twin?.event.seq).toBe(1);
    expect(twinWords(twin!, (ms) => `0:${ms / 1_000}`)).toBe('logged twice? Also at 0:20 by the logger');
  });

  it('another act, another step, another take, one taken back or long ago is none', () => {
    for (const other of [
      given(1, 20_000, { intervention: 'oxygen-15' }),
      given(1, 20_000, { step: 'drawn-up' }),
      given(1, 20_000 - TWIN_MS - 100),
      { ...given(1, 20_000), withdrawnBy: 3 },
      { ...given(1, 20_000), event: { ...given(1, 20_000).event, take: 2 } },
    ])
      expect(twinOf([other, given(2, 20_000)], 2)).toBeNull();
    expect(twinOf([given(1, 20_000), { ...given(2, 20_000), withdrawnBy: 3 }], 2)).toBeNull();
  });
});

describe('moments to go again from', () => {
  const dose = line(3, 1, 350_000, { kind: 'intervention', intervention: 'adrenaline-im', step: 'given', amount: 150 });
  const said = line(4, 1, 380_000, { kind: 'intervention', intervention: 'adrenaline-im', step: 'said', amount: 150 });
  const mark = line(5, 1, 200_040, { kind: 'mark' });
  const named = line(6, 1, 210_000, { kind: 'mark-named', targetSeq: 5, label: 'Turned him' });

  it('are just before the last change of state and the last dose given, minutes ago, the start, and marks by name', () => {
    const moments = windMoments(view(), [dose, said, mark, named], LIBRARY);
    expect(moments.map((each) => [each.key, each.toMs])).toEqual([
      ['state', 299_900],
      ['dose', 349_900],
      ['back-1', 340_000],
      ['back-2', 280_000],
      ['back-5', 100_000],
      ['start', 0],
      ['mark-5', 200_000],
    ]);
    expect(moments.find((each) => each.key === 'mark-5')?.label).toBe('Mark: Turned him');
  });

  it('leave out what is not long enough ago, or withdrawn', () => {
    const early = windMoments(view({ clockMs: 30_000, threads: [] }), [], LIBRARY);
    expect(early.map((each) => each.key)).toEqual(['start']);
    const withdrawn = windMoments(view({ threads: [] }), [{ ...dose, withdrawnBy: 9 }], LIBRARY);
    expect(withdrawn.some((each) => each.key === 'dose')).toBe(false);
    expect(windMoments(view({ clockMs: 1_000, threads: [] }), [], LIBRARY)).toEqual([]);
  });

  it('lie on the engine’s grid and never before the start', () => {
    for (const moment of windMoments(view({ threads: [{ stateTitle: 'x', sinceMs: 50 }] }), [mark], LIBRARY)) {
      expect(moment.toMs % 100).toBe(0);
      expect(moment.toMs).toBeGreaterThanOrEqual(0);
    }
  });
});

describe('moments of a take that was left', () => {
  const scenario = {
    threads: [{ id: 'main', states: [{ id: 'shock', title: 'Shock', cues: [] }] }],
  } as unknown as Scenario;
  const dose = line(3, 1, 50_000, { kind: 'intervention', intervention: 'adrenaline-im', step: 'given', amount: 150 });
  const later = line(4, 1, 170_000, { kind: 'mark' });
  const wound = line(5, 2, 90_000, { kind: 'wound-back', toMs: 90_000, fromTake: 1, leftAtMs: 200_050 });
  const own = line(6, 2, 95_000, { kind: 'mark' });
  const derived: Derived[] = [
    {
      kind: 'state-entered',
      atMs: 150_000,
      thread: 'main',
      state: 'shock',
      from: 'well',
      because: '',
      forced: false,
      take: 1,
    },
  ];
  const one = { take: 1, fromTake: null, fromMs: 0, toMs: 200_050 };

  it('begin with where it was left, then its own states, doses and marks, not those of the take that goes on', () => {
    const moments = keptMoments(one, [dose, later, wound, own], derived, scenario, LIBRARY);
    expect(moments.map((each) => [each.key, each.toMs])).toEqual([
      ['end', 200_000],
      ['state', 149_900],
      ['dose', 49_900],
      ['back-1', 140_000],
      ['back-2', 80_000],
      ['start', 0],
      ['mark-4', 170_000],
    ]);
    expect(moments.find((each) => each.key === 'state')?.label).toBe('Before “Shock”');
    expect(moments.find((each) => each.key === 'back-1')?.label).toBe('1 min before its end');
  });

  it('have its start, however short it was', () => {
    const short = keptMoments({ ...one, toMs: 900 }, [], [], scenario, LIBRARY);
    expect(short.map((each) => [each.key, each.toMs])).toEqual([
      ['end', 900],
      ['start', 0],
    ]);
  });

  it('never lie past its end', () => {
    for (const moment of keptMoments({ ...one, toMs: 60_000 }, [dose, later], derived, scenario, LIBRARY)) {
      expect(moment.toMs).toBeLessThanOrEqual(60_000);
    }
  });
});

describe('a thumb that bounces', () => {
  const press = (atMs: number, x: number | null, on = 'ring'): Press => ({
    atMs,
    place: x === null ? null : { x, y: 10 },
    on,
  });

  it('is one tap: twice in one place within 0.4 s, even where another button has come', () => {
    expect(isBounce(press(1_000, 50), press(1_250, 54))).toBe(true);
    expect(isBounce(press(1_000, 50, 'ring'), press(1_250, 54, 'answers'))).toBe(true);
    expect(isBounce(press(1_000, null), press(1_030, null))).toBe(true);
  });

  it('is not two taps that were meant: later, elsewhere, or another key', () => {
    expect(isBounce(null, press(1_000, 50))).toBe(false);
    expect(isBounce(press(1_000, 50), press(1_400, 50))).toBe(false);
    expect(isBounce(press(1_000, 50), press(1_100, 90))).toBe(false);
    expect(isBounce(press(1_000, null), press(1_100, null, 'answers'))).toBe(false);
  });
});

const DOCTOR: CallContact = {
  id: 'doctor',
  title: 'The doctor on call',
  picksUp: 'The registrar answers.',
  answersAfterMs: 20_000,
  asks: [],
  does: 'Comes.',
  arrivesAfterMs: 120_000,
};
type Errand = LiveView['errands'][number];
const errand = (seq: number, over: Partial<Errand>): Errand => ({
  seq,
  errand: 'call',
  what: 'doctor',
  sentAtMs: 0,
  dueAtMs: 20_000,
  endedAtMs: null,
  state: 'under-way',
  ...over,
});
const coming = (seq: number, over: Partial<Errand> = {}): Errand =>
  errand(seq, { errand: 'kit', what: DOCTOR.title, dueAtMs: 140_000, ...over });
const scenario = { calls: [DOCTOR] } as unknown as Scenario;

describe('a call', () => {
  const at = (errands: readonly Errand[], nowMs = 5_000) => callStands({ errands }, DOCTOR, nowMs);

  it('rings, is answered, and whoever comes, comes', () => {
    expect(at([])).toEqual({ at: 'idle' });
    expect(at([errand(1, {}), coming(2)])).toEqual({ at: 'ringing', seq: 1, leftMs: 15_000 });
    expect(at([errand(1, { state: 'came', endedAtMs: 20_000 }), coming(2)], 50_000)).toEqual({
      at: 'coming',
      seq: 2,
      leftMs: 90_000,
    });
    expect(at([errand(1, { state: 'came' }), coming(2, { state: 'came', endedAtMs: 100_000 })], 110_000)).toEqual({
      at: 'here',
      seq: 2,
      sinceMs: 100_000,
    });
  });

  it('that failed may be made again, and the second counts', () => {
    const failed = errand(1, { state: 'failed' });
    expect(at([failed])).toEqual({ at: 'failed', seq: 1 });
    expect(at([failed, coming(2, { state: 'failed' }), errand(3, {})]).at).toBe('ringing');
  });

  it('answered by someone who has not set out leaves that open; one who never comes is just answered', () => {
    expect(at([errand(1, { state: 'came' })]).at).toBe('willing');
    expect(at([errand(1, { state: 'came' }), coming(2, { state: 'failed' })]).at).toBe('willing');
    const { arrivesAfterMs: _, ...advice } = DOCTOR;
    expect(callStands({ errands: [errand(1, { state: 'came' })] }, advice, 0).at).toBe('answered');
  });

  it('keeps people apart from kit, and nobody is on the way while their phone rings', () => {
    const trolley = errand(3, { errand: 'kit', what: 'Resus trolley', dueAtMs: 10_000 });
    const errands = [errand(1, {}), coming(2), trolley];
    expect(kitErrands({ errands }, scenario)).toEqual([trolley]);
    expect(underWay({ errands }, scenario).map((each) => each.seq)).toEqual([3, 1]);
    expect(errandName(scenario, errands[0]!)).toBe('The doctor on call');
  });
});

describe('requests, seats and words', () => {
  it('what was not had stands oldest first, and ages', () => {
    const request = (seq: number, atMs: number, metAtMs: number | null) =>
      ({ seq, from: 'learners', what: 'x', atMs, metAtMs, answer: null }) as const;
    const requests = [request(2, 9_000, null), request(1, 5_000, null), request(3, 1_000, 2_000)];
    expect(outstanding({ requests }).map((each) => each.seq)).toEqual([1, 2]);
    expect([0, 59_999, 60_000, 119_999, 120_000].map(ageTone)).toEqual(['plain', 'plain', 'warn', 'warn', 'danger']);
  });

  it('seats are numbered, and a free number is taken again', () => {
    const seat = (name: string) => ({ seat: name, teamRole: 'x', sinceMs: 0 });
    expect(nextSeat([])).toBe('Seat 1');
    expect(nextSeat([seat('Seat 1'), seat('Seat 3')])).toBe('Seat 2');
  });

  it('says a course and a handover in words', () => {
    expect(courseWords({ direction: 'worse', pace: 'slow' })).toBe('worse, slowly');
    expect(courseWords({ direction: 'hold', pace: 'fast' })).toBe('held as it is');
    const none = { situation: false, background: false, assessment: false, recommendation: false };
    expect(partsHeard(none)).toBe('no part of it');
    expect(partsHeard({ ...none, situation: true, recommendation: true })).toBe('Situation, Recommendation');
  });
});
