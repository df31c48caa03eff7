/**
 * The say-now card: one speakable line for each letter A to E from the live model, and what has changed since it was
 * last said. What was said is what an assessment revealed; nothing here tells learners anything by itself.
 */
import type { AbcdeId, Finding, TrueVitals } from '@breathline/patient';
import type { RunView } from '@breathline/engine';
import { sentence } from './format.ts';

export interface SayLine {
  readonly letter: AbcdeId;
  /** "A" … "E". */
  readonly short: string;
  readonly title: string;
  /** Pieces in order; `changed` ones are new or different since this letter was last said. */
  readonly parts: readonly { readonly id: string; readonly text: string; readonly changed: boolean }[];
  /** Said before and no longer so. */
  readonly gone: readonly string[];
  /** Run-clock ms this letter was last said; null = never. */
  readonly saidAtMs: number | null;
  readonly status: 'never-said' | 'changed' | 'same';
}

export const LETTERS: readonly { readonly id: AbcdeId; readonly short: string; readonly title: string }[] = [
  { id: 'airway', short: 'A', title: 'Airway' },
  { id: 'breathing', short: 'B', title: 'Breathing' },
  { id: 'circulation', short: 'C', title: 'Circulation' },
  { id: 'disability', short: 'D', title: 'Disability' },
  { id: 'exposure', short: 'E', title: 'Exposure' },
];

const NUMBER = /\d+(?:\.\d+)?/g;

/**
 * Would saying `now` tell the team nothing new after `before`? Same grade, same words, and each number within 3 or a
 * tenth: a rate of 35 after 34 is not news.
 */
export function saysTheSame(before: Finding, now: Finding): boolean {
  const words = (text: string) => text.toLowerCase().replace(NUMBER, '#');
  if (before.grade !== now.grade || words(before.text) !== words(now.text)) return false;
  const [then, here] = [before, now].map((each) => (each.text.match(NUMBER) ?? []).map(Number));
  return then!.every((value, at) => Math.abs(value - here![at]!) <= Math.max(3, value * 0.1));
}

/** Counted at the bedside without any device, and so part of what is said: id as the engine's own reveals have it. */
const COUNTED: readonly {
  readonly vital: 'respiratoryRatePerMin' | 'pulseRatePerMin';
  readonly letter: AbcdeId;
  readonly words: string;
}[] = [
  { vital: 'respiratoryRatePerMin', letter: 'breathing', words: 'Breathing rate' },
  { vital: 'pulseRatePerMin', letter: 'circulation', words: 'Pulse' },
];
const VITAL_PREFIX = 'vital-';

function counted(vitals: Readonly<TrueVitals>): readonly Finding[] {
  return COUNTED.map(({ vital, letter, words }) => ({
    id: `${VITAL_PREFIX}${vital}`,
    letter,
    text:
      vital === 'pulseRatePerMin' && vitals[vital] < 1 ? 'No pulse' : `${words} ${Math.round(vitals[vital])} a minute`,
    observable: false,
    grade: 'none',
  }));
}

/** What an assessment revealed of a counted vital, in the words it is said in, so that the two can be compared. */
function asSaid(finding: Finding): Finding {
  const spec = COUNTED.find((each) => finding.id === `${VITAL_PREFIX}${each.vital}`);
  const value = finding.text.match(NUMBER)?.[0];
  return spec && value !== undefined
    ? { ...finding, text: `${spec.words} ${Math.round(Number(value))} a minute` }
    : finding;
}

/** Lines for the card, always all five. */
export function sayLines(view: Pick<RunView, 'findings' | 'revealed' | 'trueVitals'>): readonly SayLine[] {
  const live = [...view.findings, ...counted(view.trueVitals)];
  return LETTERS.map(({ id, short, title }) => {
    const now = live.filter((finding) => finding.letter === id);
    const said = view.revealed.filter((each) => each.finding.letter === id);
    const latest = new Map<string, { finding: Finding; atMs: number }>();
    let saidAtMs: number | null = null;
    for (const each of said) {
      const before = latest.get(each.finding.id);
      if (!before || each.atMs >= before.atMs) latest.set(each.finding.id, each);
      if (saidAtMs === null || each.atMs > saidAtMs) saidAtMs = each.atMs;
    }
    // Only what the last look at this letter said can be "gone"; older looks were already superseded.
    const gone = [...latest.values()]
      .filter(
        ({ atMs, finding }) =>
          atMs === saidAtMs && !finding.id.startsWith(VITAL_PREFIX) && !now.some((each) => each.id === finding.id),
      )
      .map((each) => each.finding.text);
    const parts = now.map((finding) => {
      const before = latest.get(finding.id);
      return {
        id: finding.id,
        text: finding.text,
        changed: saidAtMs !== null && (before === undefined || !saysTheSame(asSaid(before.finding), finding)),
      };
    });
    const changed = parts.some((part) => part.changed) || gone.length > 0;
    return {
      letter: id,
      short,
      title,
      parts,
      gone,
      saidAtMs,
      status: saidAtMs === null ? 'never-said' : changed ? 'changed' : 'same',
    };
  });
}

/** A finding as it is spoken: a capital first, one full stop last. */
export function asSentence(text: string): string {
  const trimmed = text.trim();
  return /[.!?…]["']?$/.test(trimmed) ? sentence(trimmed) : `${sentence(trimmed)}.`;
}

/** The line as it is spoken: "Widespread wheeze. Breathing fast." */
export function lineText(line: SayLine): string {
  if (line.parts.length === 0) return 'Nothing of note.';
  return line.parts.map((part) => asSentence(part.text)).join(' ');
}

/** How many letters have something new to say. */
export function changedCount(lines: readonly SayLine[]): number {
  return lines.filter((line) => line.status === 'changed').length;
}
