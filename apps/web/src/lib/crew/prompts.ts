/** A prompt sheet's lines: what is due now for the parts this phone plays, and what happened lately. Pure. */
import type { CrewFrame } from '@breathline/protocol';

type Prompt = CrewFrame['prompts'][number];

/**
 * A part by one name, wherever a scenario writes it: a cue "by: club leader" is a line of the family's "Club leader". Two
 * names for one part would keep its lines from the phone that plays it.
 */
export function partName(by: string): string {
  const words = by.trim();
  return words.charAt(0).toUpperCase() + words.slice(1);
}

/** The parts that speak in this scenario so far, in the order they came up. */
export function partsOf(prompts: readonly Prompt[]): readonly string[] {
  return [...new Set(prompts.map((each) => partName(each.by)))];
}

/**
 * Due and not spoken, longest due first. `parts` empty: all of them. `spoken`: cues tapped on this phone and on their way.
 */
export function dueNow(
  prompts: readonly Prompt[],
  parts: readonly string[],
  spoken: ReadonlySet<string>,
): readonly Prompt[] {
  return prompts
    .filter(
      (each) =>
        each.spokenAtMs === null && !spoken.has(each.cue) && (parts.length === 0 || parts.includes(partName(each.by))),
    )
    .toSorted((a, b) => a.dueAtMs - b.dueAtMs);
}

/** How long a happening stays at the top of the sheet, ms of the run clock. */
export const FRESH_MS = 90_000;

/** What happened within `FRESH_MS`, newest first. */
export function fresh(happenings: CrewFrame['happenings'], nowMs: number): CrewFrame['happenings'] {
  return happenings.filter((each) => nowMs - each.atMs < FRESH_MS).toReversed();
}

/** Letters in the order a team goes through them. */
const LETTERS = ['airway', 'breathing', 'circulation', 'disability', 'exposure'] as const;

/** How the patient is, one line a letter: "A", the word it stands for, and what there is to act or say. */
export function byLetter(
  lines: CrewFrame['lines'],
): readonly { readonly letter: string; readonly word: string; readonly text: string }[] {
  return LETTERS.flatMap((word) => {
    const texts = lines.filter((line) => line.letter === word).map((line) => line.text);
    return texts.length === 0 ? [] : [{ letter: word.charAt(0).toUpperCase(), word, text: texts.join(' ') }];
  });
}
