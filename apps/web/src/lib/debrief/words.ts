/** Short phrases of the debrief screens. */
import { durationText, type TargetResult } from '@breathline/debrief';

/** "1 min 40 s" */
export const gapText = (ms: number): string => durationText(ms);

/** "20 s in hand", "1 min 10 s late", "just in time". */
export function latenessText(ms: number): string {
  if (ms === 0) return 'just in time';
  return ms > 0 ? `${durationText(ms)} late` : `${durationText(ms)} in hand`;
}

/** Of a line of the score: its gap; time in hand is no comfort where the dose was wrong, and too soon is not in hand. */
export function lineGapText({ result, latenessMs }: Pick<TargetResult, 'result' | 'latenessMs'>): string {
  if (latenessMs === null) return '–';
  if (result === 'early') return 'too soon';
  const wrong = result === 'given-wrong-dose' || result === 'contraindicated-given';
  return wrong && latenessMs <= 0 ? '–' : latenessText(latenessMs);
}

/** With its first letter upper case. */
export const sentence = (text: string): string => text.charAt(0).toUpperCase() + text.slice(1);

const VERIFIED: Readonly<Record<string, string>> = {
  primary: 'seen on the publisher’s own page',
  mirror: 'seen on a copy of the document',
  secondary: 'seen in a summary by others',
  'from-memory': 'from memory, not looked up',
  teaching: 'a teaching value, not a guideline’s',
  arithmetic: 'worked out from another value',
};

/** How a source's number was seen, in words. */
export const verifiedText = (verified: string): string => VERIFIED[verified] ?? verified;

const TIME_STATUS: Readonly<Record<string, string>> = {
  guideline: 'The time is the guideline’s own.',
  interval: 'The time is the guideline’s repeat interval.',
  teaching: 'The time is a teaching target, not a guideline value.',
};

export const timeStatusText = (status: string): string => TIME_STATUS[status] ?? '';
