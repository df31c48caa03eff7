import type { ResultWord } from '@breathline/debrief';
import type { IconName } from './icons.ts';

/** A result word plus "unverified", which marks a source no named clinician has checked. */
export type StatusId = ResultWord | 'unverified';

export interface StatusLook {
  readonly word: string;
  readonly icon: IconName;
  /** Stem of the colour tokens: `--status-<token>` and `--status-<token>-wash`. */
  readonly token: 'met' | 'early' | 'late' | 'missed' | 'not-due' | 'not-recorded' | 'unverified';
}

/** Every result said in a word and an icon; colour comes third. */
export const STATUS: Readonly<Record<StatusId, StatusLook>> = {
  met: { word: 'Met', icon: 'check', token: 'met' },
  early: { word: 'Early', icon: 'early', token: 'early' },
  late: { word: 'Late', icon: 'late', token: 'late' },
  missed: { word: 'Missed', icon: 'missed', token: 'missed' },
  'not-due': { word: 'Not due', icon: 'not-due', token: 'not-due' },
  'not-recorded': { word: 'Not recorded', icon: 'not-recorded', token: 'not-recorded' },
  censored: { word: 'Run ended first', icon: 'cut-off', token: 'not-due' },
  'given-unverified': { word: 'Given, dose unverified', icon: 'eye-off', token: 'unverified' },
  'given-wrong-dose': { word: 'Given, dose wrong', icon: 'error', token: 'missed' },
  'contraindicated-given': { word: 'Given, should not be', icon: 'forbidden', token: 'missed' },
  'order-kept': { word: 'In order', icon: 'order', token: 'met' },
  'order-broken': { word: 'Out of order', icon: 'order', token: 'missed' },
  unverified: { word: 'Source unverified', icon: 'question', token: 'unverified' },
};
