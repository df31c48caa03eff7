/**
 * What the person at the console has open, and the few things they do from anywhere: the parts of the page share one
 * desk and reach each other through it, never directly.
 */
import { tick } from 'svelte';
import type { VitalId } from '@breathline/patient';
import type { Intervention } from '@breathline/scenario';
import { isNotGo } from '../prebrief/board.ts';
import { NOT_GO } from '../prebrief/items.ts';
import { goToPart } from './live/parts.ts';
import { fullAssessment, heroOf } from './catalogue.ts';
import { lastAssessmentMs } from './clocks.ts';
import { clockText } from './format.ts';
import { previewUndo, type UndoPreview } from './replay.ts';
import type { TypedAmount } from './search.ts';
import type { ConsoleSession } from './session.svelte.ts';
import { isWeighing } from './team-weight.ts';

const SOLO_KEY = 'breathline-console-solo';
/** One part at a time: narrow, or a phone on its side. */
export const PHONE = '(max-width: 47.99rem), (max-height: 29.99rem) and (orientation: landscape)';

/** An action's dose being edited; `turn` counts openings, so that opening it again starts afresh. */
export interface Editing {
  readonly item: Intervention;
  readonly typed: TypedAmount | null;
  readonly turn: number;
}

export interface Undoing {
  readonly seq: number;
  readonly label: string;
  readonly preview: UndoPreview;
}

export class Desk {
  /** The open drawer (an id of `decks.ts`). */
  deck: string = $state('say');
  /** What a phone shows: 'act', 'patient', or the id of a drawer. */
  pane: string = $state('act');
  /** One column at a time. Kept by the page. */
  phone = $state(false);
  solo = $state(false);
  editing: Editing | null = $state.raw(null);
  /** An act about a weight whose number is being asked for. */
  weighing: Intervention | null = $state.raw(null);
  #undoing: Undoing | null = $state.raw(null);
  /** The true vital being explained, or none. */
  why: VitalId | null = $state(null);
  keysOpen = $state(false);
  menuOpen = $state(false);
  /** In situ, the go or no-go list is not complete and nobody said why to go on: the start takes a second tap. */
  readonly notGo = $derived.by(() => isNotGo(this.session.log, this.siteInSitu));
  /** Whether the site drills in situ; the run's own switch says otherwise. */
  siteInSitu = $state(false);
  #startArmed = $state(false);
  /** Fields a key or a button may send the focus to; each is there only while its part of the page is. */
  searchBox: HTMLInputElement | undefined = $state.raw();
  noteBox: HTMLInputElement | undefined = $state.raw();

  readonly hero: Intervention | undefined;

  constructor(readonly session: ConsoleSession) {
    this.hero = heroOf(session.definition.library, session.definition.packId);
    this.solo = readSolo();
  }

  /** Ended in a stop it is over: learners' screens stay blank, the console goes on to the debrief. */
  readonly stopped = $derived.by(() => (this.session.view?.realEmergency ?? false) && this.session.phase !== 'ended');
  /** What an undo would change, while that waits for a yes or no; none once its line was taken back or left by winding back. */
  readonly undoing = $derived.by(() => {
    const asked = this.#undoing;
    return asked === null || this.session.phase === 'ended' || this.session.isGone(asked.seq) ? null : asked;
  });
  /** What waits for a yes or no: what an undo would change, or a caution. Nothing after the end. */
  readonly asks = $derived.by(() => !this.stopped && (this.session.unanswered.length > 0 || this.undoing !== null));
  /** The start was tapped although it is not go, and waits to be tapped again. */
  readonly startAsks = $derived.by(() => this.notGo && this.#startArmed && this.session.phase === 'ready');
  /** Logging is open while the run goes or is paused (a late tap is still true); not before the start or after the end. */
  readonly disabled = $derived.by(
    () => this.session.phase === 'ready' || this.session.phase === 'ended' || !this.session.frame,
  );

  /** Opens a drawer, on a phone as the part in view. */
  open(deck: string): void {
    this.deck = deck;
    this.why = null;
    if (this.phone) this.show(deck);
  }

  /** A part in view on a phone; the menu, which stood over the one before, goes. */
  show(pane: string): void {
    this.pane = pane;
    this.menuOpen = false;
  }

  /** Opens a drawer at one of its parts. */
  openPart(deck: string, part: string): void {
    this.open(deck);
    // Within the same task: the drawer is never seen, or tapped, at another of its parts first.
    void tick().then(() => goToPart(part));
  }

  /** Is this drawer in view? */
  shows(deck: string): boolean {
    return this.phone ? this.pane === deck : this.deck === deck;
  }

  chooseSolo(next: boolean): void {
    this.solo = next;
    // What was chosen is seen below it.
    if (this.phone) this.menuOpen = false;
    try {
      localStorage.setItem(SOLO_KEY, next ? 'yes' : 'no');
    } catch {
      // Lasts until the page is closed.
    }
  }

  edit(item: Intervention, typed: TypedAmount | null = null): void {
    this.editing = { item, typed, turn: (this.editing?.turn ?? 0) + 1 };
    this.pane = 'act';
  }

  /** One tap on an action. A look opens what to say; on a phone only where it was a look at everything. */
  give(item: Intervention, doseSeen: boolean): void {
    if (isWeighing(item)) {
      this.weighing = item;
      this.pane = 'act';
      return;
    }
    this.session.give(item, doseSeen);
    if (item.kind === 'assessment' && (!this.phone || (item.reveals?.letters?.length ?? 0) > 1)) this.open('say');
  }

  playPause(): void {
    const { session } = this;
    if (!session.leads) return;
    if (session.phase === 'ready') {
      if (this.notGo) {
        this.#startArmed = !this.#startArmed;
        if (this.#startArmed) return;
        void session.tap({ kind: 'prebrief-item', item: NOT_GO, done: true }, 'Went on although not go');
      }
      // What it was opened for is done, and its room is wanted.
      this.menuOpen = false;
      void session.tap({ kind: 'run-started' }, 'Run started');
    } else if (session.phase === 'running') void session.tap({ kind: 'run-paused', why: 'faculty' }, 'Paused');
    else if (session.phase === 'paused' && !this.stopped) void session.tap({ kind: 'run-resumed' }, 'Carried on');
  }

  stop(): void {
    const { phase } = this.session;
    if (phase === 'running' || phase === 'paused')
      void this.session.tap({ kind: 'real-emergency-stop' }, 'Stop: real emergency');
  }

  /** A mis-tap goes back to what was: running if it was running, paused if it was paused. */
  async clearStop(thenGo: boolean): Promise<void> {
    const cleared = await this.session.tap({ kind: 'real-emergency-cleared' }, 'Stop cleared');
    if (cleared && thenGo) await this.session.tap({ kind: 'run-resumed' }, 'Carried on');
  }

  /** Takes an event back: at once, or after saying what it would change where the state would. */
  askUndo(seq: number, label: string): void {
    const { session } = this;
    // With its time: of two doses it must be plain which.
    const event = session.data.log.find((line) => line.event.seq === seq)?.event;
    const when = event === undefined ? '' : ` at ${clockText(event.occurredAtMs)}`;
    const words = `${label === '' ? 'the last line' : label}${when}`;
    const preview = previewUndo(session.definition, session.data.log, seq, session.view?.clockMs ?? 0);
    if (preview.states.length > 0) this.#undoing = { seq, label: words, preview };
    else session.withdraw(seq, words);
  }

  /** Takes back what was tapped last, sent or not. */
  undoLast(): void {
    const last = this.session.lastUndoable();
    if (last?.seq != null) this.askUndo(last.seq, last.label);
    else if (last?.id != null) this.session.takeBackWaiting(last.id);
  }

  undoNow(): void {
    if (this.undoing) this.session.withdraw(this.undoing.seq, this.undoing.label);
    this.#undoing = null;
  }

  leaveUndo(): void {
    this.#undoing = null;
  }

  /** The team looked at everything again: logged, and what to say opens. */
  reassess(): void {
    const { session } = this;
    const item = fullAssessment(
      session.definition.library,
      lastAssessmentMs(session.log, session.definition.library) === null,
    );
    if (item) void session.tap({ kind: 'assessment', intervention: item.id }, item.name);
    this.open('say');
  }

  note(): void {
    this.open('log');
    if (this.noteBox?.isConnected) this.noteBox.focus();
    else setTimeout(() => this.noteBox?.focus(), 0);
  }

  search(): void {
    this.pane = 'act';
    // At once where the box is in view: the next letters typed must not be read as keys of the console.
    if (this.searchBox?.isConnected) this.searchBox.focus();
    else setTimeout(() => this.searchBox?.focus(), 0);
  }

  /** Closes one thing: the newest of what may be open. */
  close(): void {
    if (this.undoing) this.#undoing = null;
    else if (this.menuOpen) this.menuOpen = false;
    else if (this.editing) this.editing = null;
    else if (this.keysOpen) this.keysOpen = false;
    else this.why = null;
  }
}

function readSolo(): boolean {
  try {
    const kept = localStorage.getItem(SOLO_KEY);
    if (kept !== null) return kept === 'yes';
  } catch {
    // Storage barred: the screen's size decides.
  }
  return window.matchMedia(PHONE).matches;
}
