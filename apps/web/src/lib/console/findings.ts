/**
 * The say-now card: one speakable line for each letter A to E from the live model, and what has changed since it was
 * last said. What was said is what an assessment revealed; nothing here tells learners anything by itself.
 */
import type { AbcdeId, Finding } from '@breathline/patient';
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

/** Numbers inside findings ("rate about 32") wobble; a change of a digit or two in the ones is not news. */
function gist(finding: Finding): string {
  return `${finding.grade} ${finding.text.toLowerCase().replace(/\d+(\.\d+)?/g, (digits) => String(Math.round(Number(digits) / 5)))}`;
}

/** Lines for the card, always all five. */
export function sayLines(view: Pick<RunView, 'findings' | 'revealed'>): readonly SayLine[] {
  return LETTERS.map(({ id, short, title }) => {
    const now = view.findings.filter((finding) => finding.letter === id);
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
      .filter((each) => each.atMs === saidAtMs && !now.some((finding) => finding.id === each.finding.id))
      .map((each) => each.finding.text);
    const parts = now.map((finding) => {
      const before = latest.get(finding.id);
      return {
        id: finding.id,
        text: finding.text,
        changed: saidAtMs !== null && (before === undefined || gist(before.finding) !== gist(finding)),
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

/** The line as one speakable sentence: "Widespread wheeze, breathing fast." */
export function lineText(line: SayLine): string {
  if (line.parts.length === 0) return 'Nothing of note.';
  const joined = line.parts.map((part) => part.text.replace(/[.\s]+$/, '')).join('; ');
  return `${sentence(joined)}.`;
}

/** How many letters have something new to say. */
export function changedCount(lines: readonly SayLine[]): number {
  return lines.filter((line) => line.status === 'changed').length;
}
