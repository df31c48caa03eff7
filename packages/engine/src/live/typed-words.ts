/**
 * The fields of a log line that hold words a person typed, by kind of line. A name may be among them: a store keeps them
 * apart so that they can be erased, and a file "without typed words" leaves them out. A new kind with typed words belongs here.
 */
import type { EventKind } from '../types.ts';

export const TYPED_WORDS: Readonly<Partial<Record<EventKind, readonly string[]>>> = {
  'run-ended': ['why'],
  intervention: ['note', 'givenBy'],
  assessment: ['note', 'doneBy'],
  note: ['text'],
  mark: ['label'],
  'mark-named': ['label'],
  'act-amended': ['doneBy'],
  'event-withdrawn': ['why'],
  'other-action': ['text', 'givenBy'],
  'wound-back': ['why'],
  comment: ['text'],
  'request-made': ['what'],
  'family-with': ['who'],
  'errand-sent': ['sentBy'],
  'system-problem': ['text'],
  handover: ['to', 'text'],
  happening: ['text'],
  'conclusion-spoken': ['next'],
  'line-adjusted': ['reason'],
  'debrief-note': ['text'],
};
