/** What happened around the patient leaves its mark on the timeline, in words; settings of screens leave none. */
import { describe, expect, it } from 'vitest';
import type { LiveEventBody, RunEvent } from '@breathline/engine';
import type { Scenario } from '@breathline/scenario';
import { liveMarks } from '../src/timeline-live.ts';

const scenario = {
  family: [
    {
      who: 'Mother',
      says: '',
      history: [{ id: 'asthma', ifAsked: 'asthma', says: 'A blue inhaler.' }],
      worries: [{ id: 'voice', says: 'His voice is odd.', why: '' }],
    },
  ],
  calls: [{ id: 'doctor', title: 'The doctor on call' }],
  exhibits: [{ id: 'film', title: 'Chest X-ray' }],
  behaviours: [{ id: 'loop', says: 'Orders are read back' }],
} as unknown as Scenario;

/** One of each kind, and the mark it leaves: kind and full text; null = none. */
const EACH: { readonly [K in LiveEventBody['kind']]: readonly [Extract<LiveEventBody, { kind: K }>, string | null] } = {
  'course-steered': [
    { kind: 'course-steered', direction: 'worse', pace: 'slow' },
    'steering 1:05 Faculty made the patient worse, slowly',
  ],
  'course-released': [{ kind: 'course-released' }, 'steering 1:05 Faculty handed the patient back'],
  'other-action': [
    { kind: 'other-action', text: 'Loosened his collar', effect: 'helps' },
    'act 1:05 Loosened his collar, it helped',
  ],
  'wound-back': [{ kind: 'wound-back', toMs: 0, fromTake: 1 }, 'steering 1:05 Take 2 began, from take 1'],
  'speed-changed': [{ kind: 'speed-changed', factor: 0.5 }, 'steering 1:05 Clock at 0.5×'],
  'behaviour-ticked': [
    { kind: 'behaviour-ticked', behaviour: 'loop', seen: 'partly' },
    'note 1:05 Orders are read back: seen in part, observer',
  ],
  comment: [{ kind: 'comment', text: 'Two voices', about: 'change' }, 'note 1:05 Two voices, would change'],
  'request-made': [{ kind: 'request-made', from: 'learners', what: 'weight' }, 'cue 1:05 Team asked for: weight'],
  'request-met': [{ kind: 'request-met', targetSeq: 90, answer: 'refused' }, 'cue 1:05 X-ray: refused'],
  'family-distress': [{ kind: 'family-distress', level: 3 }, 'cue 1:05 Family in the way'],
  'family-history-told': [
    { kind: 'family-history-told', item: 'asthma' },
    'cue 1:05 Told when asked: “A blue inhaler.”',
  ],
  'family-worry': [
    { kind: 'family-worry', item: 'voice', step: 'dismissed' },
    'cue 1:05 Worry dismissed: “His voice is odd.”',
  ],
  'family-with': [{ kind: 'family-with', who: null }, 'cue 1:05 Nobody with the family'],
  'errand-sent': [
    { kind: 'errand-sent', errand: 'call', what: 'doctor', delayMs: 0 },
    'call 1:05 Rang The doctor on call, simulated',
  ],
  'errand-ended': [{ kind: 'errand-ended', targetSeq: 91, how: 'failed' }, 'act 1:05 Resus trolley: did not come'],
  'system-problem': [
    { kind: 'system-problem', category: 'layout', text: 'face down', photo: 'p' },
    'note 1:05 System problem: layout, face down, photograph kept',
  ],
  'seat-changed': [
    { kind: 'seat-changed', seat: 'Seat 2', teamRole: 'Airway', change: 'joined' },
    'note 1:05 Airway joined, Seat 2',
  ],
  handover: [
    {
      kind: 'handover',
      to: 'the ward',
      parts: { situation: true, background: true, assessment: false, recommendation: true },
      readBack: 'part',
    },
    'act 1:05 Handover to the ward, 3 of 4 parts heard, read back in part',
  ],
  'sound-changed': [{ kind: 'sound-changed', volumePercent: 20, pulseTone: true, alarms: true }, null],
  'sound-played': [{ kind: 'sound-played', sound: 'crying-child' }, 'cue 1:05 Sound: crying child'],
  'alarm-paused': [{ kind: 'alarm-paused', forMs: 1 }, null],
  'alarm-limit': [{ kind: 'alarm-limit', vital: 'spo2Percent', low: 90, high: null }, null],
  'learner-controls': [{ kind: 'learner-controls', cuff: true, silence: true, probes: true }, null],
  'exhibit-shown': [{ kind: 'exhibit-shown', exhibit: 'film' }, 'note 1:05 Shown: Chest X-ray'],
  'exhibit-hidden': [{ kind: 'exhibit-hidden', exhibit: 'film' }, null],
  listening: [{ kind: 'listening', on: true }, null],
  happening: [{ kind: 'happening', what: 'kit-failure', device: 'bp-cuff' }, 'cue 1:05 Kit failed, bp cuff'],
  'findings-said': [
    { kind: 'findings-said', said: [], unasked: ['airway', 'exposure'] },
    'note 1:05 Findings said without being asked, airway, exposure',
  ],
  'arrest-decided': [{ kind: 'arrest-decided', allow: false }, 'steering 1:05 Faculty held off an arrest'],
};

const event = (seq: number, body: LiveEventBody): RunEvent => ({
  ...body,
  seq,
  take: 2,
  appliedAtMs: 66_000,
  occurredAtMs: 65_000,
  wallTime: '',
  by: { role: 'lead' },
});
const EARLIER = [
  event(90, { kind: 'request-made', from: 'learners', what: 'X-ray' }),
  event(91, { kind: 'errand-sent', errand: 'kit', what: 'Resus trolley', delayMs: 0 }),
];

describe('marks of the live run', () => {
  it.each(Object.entries(EACH))('%s', (_, [body, expected]) => {
    const marks = liveMarks(event(100, body), scenario, EARLIER);
    expect(marks.map((mark) => `${mark.kind} ${mark.text}`)).toEqual(expected === null ? [] : [expected]);
    for (const mark of marks) expect(mark).toMatchObject({ seq: 100, atMs: 65_000, warn: false, nth: null });
  });

  it('leave none where the words were erased, or what they answer is not there', () => {
    expect(liveMarks(event(1, { kind: 'comment', text: '' }), scenario, [])).toEqual([]);
    expect(liveMarks(event(1, { kind: 'request-met', targetSeq: 7, answer: 'given' }), scenario, [])).toEqual([]);
    expect(liveMarks(event(1, { kind: 'errand-ended', targetSeq: 7, how: 'came' }), scenario, [])).toEqual([]);
  });
});
