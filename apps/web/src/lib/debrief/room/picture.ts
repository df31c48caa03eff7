/** What the room's own screen may show: only what is shared. Made here and sent whole; the room asks no server for anything. Pure. */
import type { TimelineMark, TimelineModel } from '@breathline/debrief';
import type { MonitorFrame } from '@breathline/protocol';
import type { Moment } from '../guide/moments.ts';
import type { Board } from '../guide/board.ts';
import type { Window } from '../layout.ts';
import type { OtherLines } from '../whatif/lines.ts';

/** A what-if that faculty have shared: its lines, and its outcomes in words. */
export interface SharedWhatIf {
  readonly lines: OtherLines;
  readonly says: readonly string[];
}

export type RoomShown =
  /** Nothing but the case's name: people first, or covered on purpose. */
  | { readonly kind: 'nothing' }
  | {
      readonly kind: 'timeline';
      readonly model: TimelineModel;
      readonly whatIf: SharedWhatIf | null;
      /** Of the ten-minute version; empty otherwise. */
      readonly moments: readonly { readonly atMs: number; readonly title: string; readonly ask: string }[];
    }
  | { readonly kind: 'replay'; readonly model: TimelineModel }
  | {
      readonly kind: 'words';
      readonly columns: readonly { readonly title: string; readonly notes: readonly string[] }[];
    };

export interface RoomPicture {
  /** What learners were told the case was called. */
  readonly title: string;
  readonly shown: RoomShown;
}

/** Where the room looks on the timeline. */
export interface RoomLook {
  readonly window: Window | null;
  readonly cursorMs: number | null;
}

/** From the faculty's page to the room's. */
export type ToRoom =
  | { readonly t: 'picture'; readonly picture: RoomPicture }
  | { readonly t: 'look'; readonly look: RoomLook }
  | { readonly t: 'monitor'; readonly frame: MonitorFrame; readonly clockMs: number }
  /** Faculty's page has just opened: is a room's screen there? */
  | { readonly t: 'who' }
  | { readonly t: 'away' };
/** And back. */
export type FromRoom = { readonly t: 'hello' } | { readonly t: 'bye' };

/** The channel of one run's debrief, between two windows of one browser. */
export const roomChannel = (runId: string): BroadcastChannel => new BroadcastChannel(`breathline-room-${runId}`);

/** The picture without what is faculty's own: comments, observers' notes, steering, who did what, why a state was forced. */
export function forTheRoom(model: TimelineModel): TimelineModel {
  const unnamed = ({ by: _seat, ...mark }: TimelineMark): TimelineMark => mark;
  return {
    ...model,
    doses: model.doses.map(unnamed),
    acts: model.acts.map(unnamed),
    assessments: model.assessments.map(unnamed),
    notes: model.notes.filter(({ kind }) => kind === 'mark'),
    threads: model.threads.map((thread) => ({
      ...thread,
      states: thread.states.map((state) => ({ ...state, because: '', forced: false })),
    })),
  };
}

/** The room's screen for where faculty are in the debrief. */
export function roomPicture(from: {
  readonly title: string;
  readonly step: string;
  /** Faculty have opened the analysis. */
  readonly opened: boolean;
  /** Faculty have covered the room's screen. */
  readonly covered: boolean;
  readonly model: TimelineModel | null;
  readonly whatIf: SharedWhatIf | null;
  readonly moments: readonly Moment[];
  readonly board: Board | null;
}): RoomPicture {
  const { title, step, model, board } = from;
  const texts = (column: keyof Board['notes']): readonly string[] =>
    (board?.notes[column] ?? []).map(({ text }) => text);
  const shown = ((): RoomShown => {
    if (from.covered || !from.opened || model === null) return { kind: 'nothing' };
    switch (step) {
      case 'welcome':
      case 'talk':
      case 'reconcile':
        return { kind: 'nothing' };
      case 'replay':
        return { kind: 'replay', model: forTheRoom(model) };
      case 'discuss':
        return {
          kind: 'words',
          columns: [
            { title: 'Went well', notes: texts('plus') },
            { title: 'Would change', notes: texts('delta') },
          ],
        };
      case 'summary':
        return { kind: 'words', columns: [{ title: 'Take home', notes: texts('take-home') }] };
      default: {
        const moments =
          step === 'ten' ? from.moments.map(({ atMs, title: says, ask }) => ({ atMs, title: says, ask })) : [];
        return { kind: 'timeline', model: forTheRoom(model), whatIf: from.whatIf, moments };
      }
    }
  })();
  return { title, shown };
}

/** What the room sees, for faculty to read beside the switch. */
export const ROOM_WORDS: Readonly<Record<RoomShown['kind'], string>> = {
  nothing: 'only the case’s name',
  timeline: 'the timeline',
  replay: 'the replay',
  words: 'what the group said',
};
