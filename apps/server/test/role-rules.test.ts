import { describe, expect, it } from 'vitest';
import { ARREST_ITEM } from '@breathline/engine';
import type { EventBody, EventKind, LearnerControls, RunEvent } from '@breathline/engine';
import { BODY_SCHEMAS, EVENT_FIELDS, STEERING_KINDS, fits, type Role } from '@breathline/protocol';
import { mayLog, type RoleContext } from '../src/services/role-rules.ts';

type Bodies = { readonly [K in EventKind]: Extract<EventBody, { kind: K }> };

/** One sound body of each kind; a new kind does not compile until it stands here. */
const SAMPLES: Bodies = {
  'run-started': { kind: 'run-started' },
  'run-paused': { kind: 'run-paused', why: 'faculty' },
  'run-resumed': { kind: 'run-resumed' },
  'run-ended': { kind: 'run-ended', why: 'x' },
  'real-emergency-stop': { kind: 'real-emergency-stop' },
  'real-emergency-cleared': { kind: 'real-emergency-cleared' },
  intervention: { kind: 'intervention', intervention: 'adrenaline-im', step: 'given', amount: null, doseSeen: false },
  'intervention-stopped': { kind: 'intervention-stopped', intervention: 'oxygen' },
  assessment: { kind: 'assessment', intervention: 'look' },
  'device-attached': { kind: 'device-attached', device: 'ecg' },
  'device-removed': { kind: 'device-removed', device: 'ecg' },
  'cuff-pressed': { kind: 'cuff-pressed' },
  'cuff-interval': { kind: 'cuff-interval', everyMs: null },
  'cue-spoken': { kind: 'cue-spoken', cue: 'throat' },
  'state-forced': { kind: 'state-forced', thread: 'main', state: 'settled' },
  'faculty-flag': { kind: 'faculty-flag', label: 'x' },
  'vital-overridden': { kind: 'vital-overridden', vital: 'spo2Percent', to: 80, overMs: 0 },
  'vital-released': { kind: 'vital-released', vital: 'spo2Percent', overMs: 0 },
  note: { kind: 'note', text: 'x' },
  mark: { kind: 'mark' },
  'mark-named': { kind: 'mark-named', targetSeq: 1, label: 'x' },
  'act-amended': { kind: 'act-amended', targetSeq: 1, doneBy: 'x' },
  reconciled: { kind: 'reconciled', target: 'x', answer: 'done' },
  'prebrief-item': { kind: 'prebrief-item', item: 'x', done: true },
  'event-withdrawn': { kind: 'event-withdrawn', targetSeq: 1 },
  'course-steered': { kind: 'course-steered', direction: 'worse', pace: 'fast' },
  'course-released': { kind: 'course-released' },
  'other-action': { kind: 'other-action', text: 'x', effect: 'none' },
  'wound-back': { kind: 'wound-back', toMs: 0, fromTake: 1 },
  'speed-changed': { kind: 'speed-changed', factor: 2 },
  'behaviour-ticked': { kind: 'behaviour-ticked', behaviour: 'x', seen: 'seen' },
  comment: { kind: 'comment', text: 'x' },
  'request-made': { kind: 'request-made', from: 'family', what: 'x' },
  'request-met': { kind: 'request-met', targetSeq: 1, answer: 'given' },
  'family-distress': { kind: 'family-distress', level: 1 },
  'family-history-told': { kind: 'family-history-told', item: 'x' },
  'family-worry': { kind: 'family-worry', item: 'x', step: 'voiced' },
  'family-with': { kind: 'family-with', who: null },
  'errand-sent': { kind: 'errand-sent', errand: 'kit', what: 'x', delayMs: 0 },
  'errand-ended': { kind: 'errand-ended', targetSeq: 1, how: 'came' },
  'system-problem': { kind: 'system-problem', category: 'kit' },
  'seat-changed': { kind: 'seat-changed', seat: 'x', teamRole: 'x', change: 'joined' },
  handover: {
    kind: 'handover',
    to: 'x',
    parts: { situation: true, background: true, assessment: true, recommendation: true },
    readBack: 'full',
  },
  'sound-changed': { kind: 'sound-changed', volumePercent: 10, pulseTone: true, alarms: true },
  'sound-played': { kind: 'sound-played', sound: 'x' },
  'alarm-paused': { kind: 'alarm-paused', forMs: 60_000 },
  'alarm-limit': { kind: 'alarm-limit', vital: 'spo2Percent', low: 90, high: null },
  'learner-controls': { kind: 'learner-controls', cuff: true, silence: true, probes: true },
  'exhibit-shown': { kind: 'exhibit-shown', exhibit: 'x' },
  'exhibit-hidden': { kind: 'exhibit-hidden', exhibit: 'x' },
  listening: { kind: 'listening', on: true },
  happening: { kind: 'happening', what: 'phone' },
  'arrest-decided': { kind: 'arrest-decided', allow: true },
  'findings-said': { kind: 'findings-said', said: [], unasked: [] },
  'conclusion-spoken': { kind: 'conclusion-spoken', says: 'same' },
  'observation-chosen': { kind: 'observation-chosen', hours: 6, from: 'resolution' },
  'line-adjusted': { kind: 'line-adjusted', target: 'x', result: 'met', reason: 'x' },
  'circumstance-told': { kind: 'circumstance-told', circumstance: 'x', answer: 'yes' },
  'objective-judged': { kind: 'objective-judged', objective: 'x', answer: 'met' },
  'debrief-note': { kind: 'debrief-note', column: 'plus', text: 'x' },
  'debrief-phase': { kind: 'debrief-phase', phase: 'analysis' },
};

/**
 * Who may log each kind as it stands in `SAMPLES`, beside faculty: l logger, o observer, p participant, m a monitor that
 * faculty let press all it can. Written out by hand, apart from the table under test.
 */
const MAY: Readonly<Record<EventKind, string>> = {
  'run-started': '',
  'run-paused': '',
  'run-resumed': '',
  'run-ended': '',
  'real-emergency-stop': 'lopm',
  'real-emergency-cleared': '',
  intervention: 'l',
  'intervention-stopped': 'l',
  assessment: 'l',
  'device-attached': 'lm',
  'device-removed': 'l',
  'cuff-pressed': 'lm',
  'cuff-interval': 'l',
  'cue-spoken': 'lp',
  'state-forced': '',
  'faculty-flag': '',
  'vital-overridden': '',
  'vital-released': '',
  note: 'l',
  mark: 'lo',
  'mark-named': 'l',
  'act-amended': '',
  reconciled: 'l',
  'prebrief-item': 'l',
  'event-withdrawn': '',
  'course-steered': '',
  'course-released': '',
  'other-action': 'l',
  'wound-back': '',
  'speed-changed': '',
  'behaviour-ticked': 'lo',
  comment: 'lop',
  'request-made': 'lp',
  'request-met': 'l',
  'family-distress': 'lp',
  'family-history-told': 'lp',
  'family-worry': 'lp',
  'family-with': 'lp',
  'errand-sent': 'l',
  'errand-ended': 'l',
  'system-problem': 'lop',
  'seat-changed': 'l',
  handover: 'l',
  'sound-changed': '',
  'sound-played': '',
  'alarm-paused': 'm',
  'alarm-limit': '',
  'learner-controls': '',
  'exhibit-shown': '',
  'exhibit-hidden': '',
  listening: '',
  happening: '',
  'arrest-decided': '',
  'findings-said': 'l',
  'conclusion-spoken': 'l',
  'observation-chosen': 'l',
  'line-adjusted': '',
  'circumstance-told': 'l',
  'objective-judged': '',
  'debrief-note': 'l',
  'debrief-phase': '',
};

const OTHERS = { logger: 'l', observer: 'o', participant: 'p', monitor: 'm' } as const;
type Other = keyof typeof OTHERS;
const others = Object.keys(OTHERS) as Other[];
const kinds = Object.keys(EVENT_FIELDS) as EventKind[];

const line = (seq: number, body: EventBody, by: RunEvent['by']): RunEvent => ({
  ...body,
  seq,
  take: 1,
  appliedAtMs: 0,
  occurredAtMs: 0,
  wallTime: '',
  by,
});

/** A log whose only line is the lead's. */
const context = (may: Partial<LearnerControls> = {}, log: RunEvent[] = []): RoleContext => ({
  log: log.length > 0 ? log : [line(1, { kind: 'mark' }, { role: 'lead', seat: 'desk' })],
  seat: 'mine',
  learnersMay: () => ({ cuff: false, silence: false, probes: false, ...may }),
});
const ALL_OPEN = { cuff: true, silence: true, probes: true };

it('covers every kind there is, with bodies that are sound', () => {
  expect(Object.keys(SAMPLES).sort()).toEqual([...kinds].sort());
  for (const kind of kinds) expect([kind, fits(BODY_SCHEMAS[kind], SAMPLES[kind])]).toEqual([kind, true]);
});

describe.each(kinds)('%s', (kind) => {
  it('may be logged by faculty, by those it is written for, and by nobody else', () => {
    const may = (role: Role) => mayLog(role, SAMPLES[kind], context(ALL_OPEN));
    expect(may('faculty')).toBe(true);
    expect(others.filter(may)).toEqual(others.filter((role) => MAY[kind].includes(OTHERS[role])));
  });
});

describe('what depends on more than the kind', () => {
  it('nobody but faculty steers', () => {
    for (const kind of STEERING_KINDS)
      expect(others.filter((role) => mayLog(role, SAMPLES[kind], context(ALL_OPEN)))).toEqual([]);
  });

  it('a monitor may press only what faculty let it, each by itself; silence no longer than two minutes', () => {
    const press = (may: Partial<LearnerControls>) =>
      kinds.filter((kind) => mayLog('monitor', SAMPLES[kind], context(may)));
    expect(press({})).toEqual(['real-emergency-stop']);
    expect(press({ cuff: true })).toEqual(['real-emergency-stop', 'cuff-pressed']);
    expect(press({ probes: true })).toEqual(['real-emergency-stop', 'device-attached']);
    expect(press({ silence: true })).toEqual(['real-emergency-stop', 'alarm-paused']);
    expect(mayLog('monitor', { kind: 'alarm-paused', forMs: 120_001 }, context(ALL_OPEN))).toBe(false);
  });

  it('a logger ticks the prebrief, but for whether the heart may stop by itself', () => {
    const tick = { kind: 'prebrief-item', item: ARREST_ITEM, done: true } as const;
    expect(mayLog('logger', tick, context())).toBe(false);
    expect(mayLog('logger', { ...tick, item: 'say:room' }, context())).toBe(true);
    expect(mayLog('faculty', tick, context())).toBe(true);
  });

  it('all of the crew may pause because someone is not all right, and for no other reason', () => {
    for (const why of ['faculty', 'discuss', 'server-restart', 'real-emergency', 'someone-not-all-right'] as const)
      for (const role of ['logger', 'observer', 'participant'] as const)
        expect(mayLog(role, { kind: 'run-paused', why }, context())).toBe(why === 'someone-not-all-right');
    expect(mayLog('monitor', { kind: 'run-paused', why: 'someone-not-all-right' }, context())).toBe(false);
  });

  it('an undo, the naming of a mark and words added to an act reach one’s own line only: the same seat in the same part', () => {
    for (const role of ['logger', 'observer', 'participant'] as const) {
      const by = (seat: string, other: RunEvent['by']['role'] = role) =>
        context({}, [line(1, { kind: 'mark' }, { role: other, seat })]);
      const undo = { kind: 'event-withdrawn', targetSeq: 1 } as const;
      expect(mayLog(role, undo, by('mine'))).toBe(true);
      expect(mayLog(role, undo, by('theirs'))).toBe(false);
      expect(mayLog(role, undo, by('mine', 'lead'))).toBe(false);
      expect(mayLog(role, { ...undo, targetSeq: 7 }, by('mine'))).toBe(false);
    }
    const named = { kind: 'mark-named', targetSeq: 1, label: 'x' } as const;
    const mark = (role: RunEvent['by']['role'], seat: string) =>
      context({}, [line(1, { kind: 'mark' }, { role, seat })]);
    expect(mayLog('observer', named, mark('observer', 'mine'))).toBe(true);
    expect(mayLog('observer', named, mark('observer', 'theirs'))).toBe(false);
    expect(mayLog('observer', named, mark('logger', 'mine'))).toBe(false);
    const amended = { kind: 'act-amended', targetSeq: 1, doneBy: 'Nurse one' } as const;
    expect(mayLog('logger', amended, mark('logger', 'mine'))).toBe(true);
    expect(mayLog('logger', amended, mark('logger', 'theirs'))).toBe(false);
    expect(mayLog('logger', amended, mark('lead', 'mine'))).toBe(false);
  });

  it('a participant may ask as the family, and send no phone call and no kit failure', () => {
    for (const what of ['phone', 'family-question', 'kit-failure', 'other'] as const)
      expect(mayLog('participant', { kind: 'happening', what }, context())).toBe(what === 'family-question');
  });
});
