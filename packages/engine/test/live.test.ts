/** What stands around the patient, folded from the log: calls, family, requests, seats, sound, devices that fail, time away. */
import { describe, expect, it } from 'vitest';
import {
  LEARNERS_MAY_AT_START,
  replay,
  SOUND_AT_START,
  type EventBody,
  type LiveView,
  type RunEvent,
} from '../src/index.ts';
import { definitionOf, REACTION, scenarioOf, state, thread } from './fixtures.ts';
import { started } from './helpers.ts';

const live = (run: { view(): { live?: LiveView } }): LiveView => run.view().live!;
const CALM = definitionOf(
  scenarioOf([thread('t', [state('a')])], {
    family: [
      { who: 'mother', says: '', distress: 1 },
      { who: 'brother', says: '', distress: 2 },
    ],
  }),
);

describe('the live view', () => {
  it('starts empty, with the family as upset as the scenario says', () => {
    const { run } = started(CALM);
    expect(live(run)).toEqual({
      speed: 1,
      course: null,
      takes: [{ take: 1, fromTake: null, fromMs: 0, toMs: 0 }],
      requests: [],
      errands: [],
      family: { distress: 2, told: [], worries: [], with: null },
      seats: [],
      behaviours: [],
      sound: SOUND_AT_START,
      playing: [],
      alarm: { pausedUntilMs: null, limits: [] },
      learnersMay: LEARNERS_MAY_AT_START,
      exhibits: [],
      listening: false,
      happenings: [],
      systemProblems: [],
      handover: null,
      arrest: 'not-asked',
    });
  });

  it('errands come by their delay from when they were sent, unless somebody ends them', () => {
    const { run, put } = started(CALM);
    run.advanceTo(10_000);
    const call = put({ kind: 'errand-sent', errand: 'call', what: 'senior', delayMs: 30_000 }, { occurredAtMs: 4_050 });
    const bag = put({ kind: 'errand-sent', errand: 'kit', what: 'bag', delayMs: 60_000 });
    const lost = put({ kind: 'errand-sent', errand: 'kit', what: 'fridge key', delayMs: 5_000 });
    run.advanceTo(12_000);
    put({ kind: 'errand-ended', targetSeq: lost, how: 'failed' });
    put({ kind: 'errand-ended', targetSeq: 99, how: 'came' });
    run.advanceTo(20_000);
    expect(live(run).errands.map((errand) => errand.state)).toEqual(['under-way', 'under-way', 'failed']);
    put({ kind: 'errand-ended', targetSeq: bag, how: 'came' });
    run.advanceTo(60_000);
    expect(live(run).errands.map(({ state, endedAtMs }) => [state, endedAtMs])).toEqual([
      ['came', 34_050],
      ['came', 20_000],
      ['failed', 12_000],
    ]);
    const told = run.derived.filter((fact) => fact.kind === 'errand-came');
    expect(told).toEqual([
      { kind: 'errand-came', atMs: 20_000, seq: bag, what: 'bag' },
      { kind: 'errand-came', atMs: 34_100, seq: call, what: 'senior' },
    ]);
    expect(replay(CALM, run.events, { untilMs: 60_000 }).derived).toEqual(run.derived);
  });

  it('an errand taken back never comes; wound back to before it came, it comes again', () => {
    const { run, put } = started(CALM);
    const gone = put({ kind: 'errand-sent', errand: 'call', what: 'ward', delayMs: 10_000 });
    put({ kind: 'errand-sent', errand: 'call', what: 'senior', delayMs: 20_000 });
    run.advanceTo(5_000);
    put({ kind: 'event-withdrawn', targetSeq: gone });
    run.advanceTo(40_000);
    put({ kind: 'wound-back', toMs: 15_000, fromTake: 1 }, { take: 2, appliedAtMs: 15_000, occurredAtMs: 15_000 });
    expect(live(run).errands.map((errand) => errand.state)).toEqual(['under-way']);
    run.advanceTo(40_000);
    const told = run.derived.flatMap((fact) =>
      fact.kind === 'errand-came' ? [[fact.what, fact.atMs, fact.take ?? 1]] : [],
    );
    expect(told).toEqual([
      ['senior', 20_000, 1],
      ['senior', 20_000, 2],
    ]);
  });

  it('follows every other kind, and undo', () => {
    const { run, put } = started(CALM);
    run.advanceTo(10_000);
    const asked = put({ kind: 'request-made', from: 'learners', what: 'chest film' });
    put({ kind: 'request-made', from: 'family', what: 'a drink' });
    put({ kind: 'family-distress', level: 3 });
    put({ kind: 'family-history-told', item: 'nuts' });
    put({ kind: 'family-worry', item: 'quiet', step: 'voiced' });
    put({ kind: 'family-with', who: 'nurse 2' });
    put(
      { kind: 'behaviour-ticked', behaviour: 'closes-loops', seen: 'partly' },
      { by: { role: 'observer', seat: 'o1' } },
    );
    put(
      { kind: 'behaviour-ticked', behaviour: 'closes-loops', seen: 'not-seen' },
      { by: { role: 'observer', seat: 'o2' } },
    );
    put(
      { kind: 'behaviour-ticked', behaviour: 'closes-loops', seen: 'seen', rating: 4 },
      { by: { role: 'observer', seat: 'o1' } },
    );
    put({ kind: 'sound-changed', volumePercent: 20, pulseTone: false, alarms: true });
    put({ kind: 'alarm-paused', forMs: 30_000 });
    put({ kind: 'alarm-limit', vital: 'spo2Percent', low: 90, high: null });
    put({ kind: 'alarm-limit', vital: 'spo2Percent', low: 92, high: null });
    put({ kind: 'learner-controls', cuff: false, silence: true, probes: true });
    put({ kind: 'exhibit-shown', exhibit: 'film' });
    put({ kind: 'exhibit-shown', exhibit: 'ecg' });
    put({ kind: 'listening', on: true });
    put({ kind: 'happening', what: 'phone' });
    put({ kind: 'system-problem', category: 'kit', text: 'no small mask' });
    put({
      kind: 'handover',
      to: 'ward',
      parts: { situation: true, background: true, assessment: false, recommendation: true },
      readBack: 'part',
    });
    put({ kind: 'speed-changed', factor: 2 });
    put({ kind: 'seat-changed', seat: 's1', teamRole: 'leader', change: 'joined' });
    put({ kind: 'seat-changed', seat: 's2', teamRole: 'airway', change: 'joined' });
    put({ kind: 'seat-changed', seat: 's3', teamRole: 'drugs', change: 'joined' });
    put({ kind: 'course-steered', direction: 'worse', pace: 'slow' });
    run.advanceTo(25_000);
    put({ kind: 'request-met', targetSeq: asked, answer: 'refused' });
    put({ kind: 'exhibit-hidden', exhibit: 'film' });
    put({ kind: 'family-worry', item: 'quiet', step: 'heeded' });
    put({ kind: 'seat-changed', seat: 's1', teamRole: 'airway', change: 'swapped', withSeat: 's2' });
    put({ kind: 'seat-changed', seat: 's3', teamRole: 'drugs', change: 'left' });
    const view = live(run);
    expect(view.requests).toMatchObject([
      { what: 'chest film', atMs: 10_000, metAtMs: 25_000, answer: 'refused' },
      { what: 'a drink', metAtMs: null, answer: null },
    ]);
    expect(view.family).toEqual({
      distress: 3,
      told: [{ item: 'nuts', atMs: 10_000 }],
      worries: [{ item: 'quiet', step: 'heeded', atMs: 25_000 }],
      with: 'nurse 2',
    });
    expect(view.behaviours).toEqual([
      {
        behaviour: 'closes-loops',
        ticks: [
          { seat: 'o1', seen: 'seen', rating: 4, atMs: 10_000 },
          { seat: 'o2', seen: 'not-seen', atMs: 10_000 },
        ],
      },
    ]);
    expect(view.sound).toEqual({ volumePercent: 20, pulseTone: false, alarms: true });
    expect(view.alarm).toEqual({ pausedUntilMs: 40_000, limits: [{ vital: 'spo2Percent', low: 92, high: null }] });
    expect(view.learnersMay).toEqual({ cuff: false, silence: true, probes: true });
    expect(view.exhibits).toEqual([{ exhibit: 'ecg', sinceMs: 10_000 }]);
    expect(view.listening).toBe(true);
    expect(view.happenings).toMatchObject([{ what: 'phone' }]);
    expect(view.systemProblems).toMatchObject([{ category: 'kit', text: 'no small mask' }]);
    expect(view.handover).toMatchObject({ to: 'ward', readBack: 'part' });
    expect(view.speed).toBe(2);
    expect(view.seats).toEqual([
      { seat: 's1', teamRole: 'airway', sinceMs: 25_000 },
      { seat: 's2', teamRole: 'leader', sinceMs: 25_000 },
    ]);
    expect(view.course).toEqual({ direction: 'worse', pace: 'slow', sinceMs: 10_000 });
    for (const event of [...run.events]) {
      if (event.kind !== 'run-started') put({ kind: 'event-withdrawn', targetSeq: event.seq });
    }
    const { run: fresh } = started(CALM);
    fresh.advanceTo(25_000);
    expect(live(run)).toEqual(live(fresh));
  });

  it('winding back takes the story along and leaves the room as it is', () => {
    const { run, put } = started(CALM);
    run.advanceTo(20_000);
    put({ kind: 'exhibit-shown', exhibit: 'film' });
    put({ kind: 'family-distress', level: 3 });
    put({ kind: 'sound-changed', volumePercent: 0, pulseTone: false, alarms: false });
    put({ kind: 'seat-changed', seat: 's1', teamRole: 'leader', change: 'joined' });
    const wrong = put({ kind: 'system-problem', category: 'phone' });
    put({ kind: 'system-problem', category: 'drug' });
    put({ kind: 'learner-controls', cuff: false, silence: false, probes: false });
    put({ kind: 'event-withdrawn', targetSeq: wrong });
    put({ kind: 'wound-back', toMs: 10_000, fromTake: 1 }, { take: 2, appliedAtMs: 10_000, occurredAtMs: 10_000 });
    const view = live(run);
    expect(view.exhibits).toEqual([]);
    expect(view.family.distress).toBe(2);
    expect(view.sound.volumePercent).toBe(0);
    expect(view.learnersMay.cuff).toBe(false);
    expect(view.seats).toEqual([{ seat: 's1', teamRole: 'leader', sinceMs: 10_000 }]);
    expect(view.systemProblems.map((problem) => problem.category)).toEqual(['drug']);
  });

  it('keeps the last twenty sounds, and the alarm pause ends by itself or at once', () => {
    const { run, put } = started(CALM);
    for (let i = 0; i < 25; i++) put({ kind: 'sound-played', sound: `s${i}` });
    expect(live(run).playing.map((sound) => sound.sound)).toEqual(Array.from({ length: 20 }, (_, i) => `s${i + 5}`));
    put({ kind: 'alarm-paused', forMs: 30_000 });
    expect(live(run).alarm.pausedUntilMs).toBe(30_000);
    put({ kind: 'alarm-paused', forMs: 0 });
    expect(live(run).alarm.pausedUntilMs).toBeNull();
    put({ kind: 'alarm-paused', forMs: 30_000 });
    run.advanceTo(30_000);
    expect(live(run).alarm.pausedUntilMs).toBeNull();
  });
});

describe('a device that fails', () => {
  const fail = (device: 'oximeter' | 'bp-cuff' | 'ecg'): EventBody => ({
    kind: 'happening',
    what: 'kit-failure',
    device,
  });

  it('shows nothing and measures nothing until it is attached again', () => {
    const { run, put } = started(REACTION);
    for (const device of ['oximeter', 'ecg', 'bp-cuff', 'capnography'] as const)
      put({ kind: 'device-attached', device });
    put({ kind: 'cuff-pressed' });
    run.advanceTo(60_000);
    expect(run.view().shown.faulty).toBeUndefined();
    for (const device of ['oximeter', 'bp-cuff'] as const) put(fail(device));
    run.advanceTo(90_000);
    const { shown, wave } = run.view();
    expect(shown).toMatchObject({
      spo2Percent: null,
      pulsePerMin: null,
      bloodPressure: null,
      faulty: ['oximeter', 'bp-cuff'],
      oximeterMessage: 'sensor fault',
      plethFraction: 0,
    });
    expect(shown.attached).toContain('oximeter');
    expect(shown.heartRatePerMin).not.toBeNull();
    expect(wave.pulsed).toBeNull();
    put({ kind: 'cuff-pressed' });
    expect(run.derived.at(-1)).toMatchObject({ kind: 'reading', device: 'bp-cuff', value: null });
    put({ kind: 'device-attached', device: 'oximeter' });
    put({ kind: 'device-removed', device: 'bp-cuff' });
    run.advanceTo(120_000);
    expect(run.view().shown.spo2Percent).toBeGreaterThan(50);
    expect(run.view().shown.faulty).toBeUndefined();
    expect(replay(REACTION, run.events, { untilMs: 120_000 }).hash()).toBe(run.hash());
  });

  it('is nothing to a device that is not on', () => {
    const { run, put } = started(REACTION);
    const before = run.hash();
    put(fail('ecg'));
    expect(run.hash()).toBe(before);
  });
});

describe('time away', () => {
  it('is lived through at once when faculty let it count, in a log without gaps', () => {
    const { run, put } = started(REACTION);
    run.advanceTo(30_000);
    put({ kind: 'run-paused', why: 'server-restart' });
    put({ kind: 'run-resumed', gapMs: 45_000 });
    expect(run.clockMs).toBe(75_000);
    expect(run.track).toHaveLength(76);
    const later = put({ kind: 'mark' });
    run.advanceTo(100_000);
    const straight = replay(
      REACTION,
      run.events.filter((event: RunEvent) => event.seq === 1),
      { untilMs: 100_000 },
    );
    expect(run.view().trueVitals).toEqual(straight.view().trueVitals);
    put({ kind: 'event-withdrawn', targetSeq: later });
    expect(replay(REACTION, run.events, { untilMs: 100_000 }).hash()).toBe(run.hash());
  });

  it('not at all when they do not', () => {
    const { run, put } = started(REACTION);
    run.advanceTo(30_000);
    put({ kind: 'run-paused', why: 'discuss' });
    expect(run.view().pausedWhy).toBe('discuss');
    put({ kind: 'run-resumed' });
    expect(run.clockMs).toBe(30_000);
  });
});
