/**
 * The say-now card: one speakable line for each letter A to E from the live model, and what has changed since it was
 * last said. What was said is what an assessment revealed; nothing here tells learners anything by itself.
 */
import { GRADES, type AbcdeId, type Finding, type TrueVitals } from '@breathline/patient';
import type { RunView } from '@breathline/engine';
import { sentence } from './format.ts';

/** `unsaid`: never said. `new`: came up since the letter was last looked at. `changed`: said before in other words. */
export type PartStatus = 'said' | 'changed' | 'new' | 'unsaid';

export interface SayLine {
  readonly letter: AbcdeId;
  /** "A" … "E". */
  readonly short: string;
  readonly title: string;
  readonly parts: readonly { readonly id: string; readonly text: string; readonly status: PartStatus }[];
  /** Said before and no longer so. */
  readonly gone: readonly string[];
  /** Run-clock ms this letter was last said before now; null = never. */
  readonly saidAtMs: number | null;
  /** Run-clock ms of the look that is still to be answered; null when there is none. */
  readonly lookedAtMs: number | null;
  /** `say-now`: the team has just looked, and what they find has not been said yet. */
  readonly status: 'not-said' | 'say-now' | 'changed' | 'said';
}

/** What faculty said aloud at one moment, asked for or not. */
export interface Told {
  readonly atMs: number;
  readonly findings: readonly Finding[];
}

/** What the card needs to know beside the view. All may be left out. */
export interface SayContext {
  /** Run clock now, ms: a look is answered within `ANSWER_MS`, or is taken to have been. */
  readonly nowMs?: number;
  readonly told?: Told | null;
  /** Did the look logged as event `seq` take in the whole of this letter? */
  readonly wholeLook?: (seq: number, letter: AbcdeId) => boolean;
}

/** A look not marked as answered for this long is taken to have been answered. Chosen here. */
export const ANSWER_MS = 30_000;

export const LETTERS: readonly { readonly id: AbcdeId; readonly short: string; readonly title: string }[] = [
  { id: 'airway', short: 'A', title: 'Airway' },
  { id: 'breathing', short: 'B', title: 'Breathing' },
  { id: 'circulation', short: 'C', title: 'Circulation' },
  { id: 'disability', short: 'D', title: 'Disability' },
  { id: 'exposure', short: 'E', title: 'Exposure' },
];

/** "A, C": letters as they are spoken. */
export function shortLetters(letters: readonly AbcdeId[]): string {
  return LETTERS.filter(({ id }) => letters.includes(id))
    .map(({ short }) => short)
    .join(', ');
}

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

interface Said {
  readonly finding: Finding;
  readonly atMs: number;
  readonly whole: boolean;
}

/** Lines for the card, always all five. */
export function sayLines(
  view: Pick<RunView, 'findings' | 'revealed' | 'trueVitals'>,
  { nowMs = Infinity, told = null, wholeLook = () => true }: SayContext = {},
): readonly SayLine[] {
  const live = [...view.findings, ...counted(view.trueVitals)];
  return LETTERS.map(({ id, short, title }) => {
    const now = live.filter((finding) => finding.letter === id);
    const looks = view.revealed.filter((each) => each.finding.letter === id);
    const last = looks.reduce<{ atMs: number; seq: number } | null>(
      (latest, each) => (latest === null || each.atMs >= latest.atMs ? each : latest),
      null,
    );
    const answered = last === null || nowMs - last.atMs > ANSWER_MS || (told !== null && told.atMs >= last.atMs);
    const said: Said[] = looks
      .filter((each) => answered || each.seq !== last.seq)
      .map(({ finding, atMs, seq }) => ({ finding, atMs, whole: wholeLook(seq, id) }));
    for (const finding of told?.findings ?? [])
      if (told && finding.letter === id) said.push({ finding, atMs: told.atMs, whole: true });

    const latest = new Map<string, Said>();
    for (const each of said) {
      const before = latest.get(each.finding.id);
      if (!before || each.atMs >= before.atMs) latest.set(each.finding.id, each);
    }
    const saidAtMs = said.length === 0 ? null : Math.max(...said.map((each) => each.atMs));
    const wasWhole = said.some((each) => each.whole);
    // Only what the last look at this letter said can be "gone"; older looks were already superseded.
    const gone = [...latest.values()]
      .filter(
        ({ atMs, finding }) =>
          atMs === saidAtMs && !finding.id.startsWith(VITAL_PREFIX) && !now.some((each) => each.id === finding.id),
      )
      .map((each) => each.finding.text);
    const parts = now.map((finding) => {
      const before = latest.get(finding.id);
      const status: PartStatus =
        before === undefined
          ? wasWhole && !finding.id.startsWith(VITAL_PREFIX)
            ? 'new'
            : 'unsaid'
          : saysTheSame(asSaid(before.finding), finding)
            ? 'said'
            : 'changed';
      return { id: finding.id, text: finding.text, status };
    });
    const changed = parts.some((part) => part.status === 'changed' || part.status === 'new') || gone.length > 0;
    return {
      letter: id,
      short,
      title,
      parts,
      gone,
      saidAtMs,
      lookedAtMs: answered ? null : last.atMs,
      status: !answered ? 'say-now' : saidAtMs === null ? 'not-said' : changed ? 'changed' : 'said',
    };
  });
}

/** All that could be said now, in the form `Told` keeps. */
export function sayable(view: Pick<RunView, 'findings' | 'trueVitals'>): readonly Finding[] {
  return [...view.findings, ...counted(view.trueVitals)];
}

/** How a passer-by would find the patient: at most this many signs. */
const LOOKS_MOST = 3;

/**
 * The patient at a glance, from the live model: the worst of what can be seen, or that there is little to see. Where a
 * state's own words say otherwise, this is what is so.
 */
export function looksLine(findings: readonly Finding[]): string {
  const seen = findings.filter((finding) => finding.observable);
  const worst = seen
    .filter((finding) => finding.grade !== 'none')
    .sort((a, b) => GRADES.indexOf(b.grade) - GRADES.indexOf(a.grade))
    .slice(0, LOOKS_MOST);
  const shown = worst.length > 0 ? worst : seen.slice(0, 1);
  return shown.length === 0
    ? 'Nothing to see from the end of the bed.'
    : shown.map((each) => asSentence(each.text)).join(' ');
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

/** How many letters have something to say: looked at just now, or changed since they were last said. */
export function changedCount(lines: readonly SayLine[]): number {
  return lines.filter((line) => line.status === 'changed' || line.status === 'say-now').length;
}
