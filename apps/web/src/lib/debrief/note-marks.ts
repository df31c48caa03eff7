/** Points of the debrief that are about a moment, as marks of the timeline. Pure. */
import { clockText, type TimelineMark, type TimelineModel } from '@breathline/debrief';
import type { DebriefColumn } from '@breathline/engine';
import type { Board } from './guide/board.ts';

/** How each kind of point is called where it stands alone. */
export const COLUMN_WORDS: Readonly<Record<DebriefColumn, string>> = {
  reaction: 'Said',
  moment: 'Note',
  plus: 'Went well',
  delta: 'Would change',
  'take-home': 'Take home',
};
const COLUMNS = Object.keys(COLUMN_WORDS) as DebriefColumn[];

/** The picture with the group's points on its axis, beside the notes of the run itself. */
export function withNotes(model: TimelineModel, { notes }: Board): TimelineModel {
  const marks = COLUMNS.flatMap((column) =>
    notes[column].flatMap(({ seq, text, aboutMs }): TimelineMark[] => {
      if (aboutMs === null) return [];
      const label = `${COLUMN_WORDS[column]}: ${text}`;
      return [
        { seq, atMs: aboutMs, kind: 'note', label, text: `${clockText(aboutMs)} ${label}`, nth: null, warn: false },
      ];
    }),
  );
  if (marks.length === 0) return model;
  return { ...model, notes: [...model.notes, ...marks].sort((a, b) => a.atMs - b.atMs) };
}
