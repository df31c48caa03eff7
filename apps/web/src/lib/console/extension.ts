/**
 * How a new part joins the console. A drawer (`Deck`) is a panel one tap, or one key, away on every size of screen; a
 * strip is one small sign that is always in view when it has something to say. Both get the session (the run, and
 * `tap`) and the desk (what is open, and how to open something else).
 */
import type { Component } from 'svelte';
import type { IconName } from '../ui/icons.ts';
import type { Desk } from './desk.svelte.ts';
import type { ConsoleSession } from './session.svelte.ts';

export interface PartProps {
  readonly session: ConsoleSession;
  readonly desk: Desk;
  /** Nothing may be logged: before the start, after the end. */
  readonly disabled: boolean;
}

export interface Deck {
  readonly id: string;
  /** Seven letters or fewer: it stands under an icon in a 45-pixel place. */
  readonly label: string;
  /** In full, for its heading and for a screen reader. */
  readonly title: string;
  readonly icon: IconName;
  /** The letter that opens it; must not be one of `KEYS`. */
  readonly key?: string;
  /** Place in the row, low first. */
  readonly order: number;
  /** Built for 250 pixels and up, one column; it scrolls in its own place. */
  readonly component: Component<PartProps>;
  /** Only for who leads: a logger does not steer. */
  readonly leadOnly?: boolean;
  /** Still of use after the end; the others are not offered then. */
  readonly afterEnd?: boolean;
  /** How many things in it want attention; 0 shows nothing. */
  readonly badge?: (session: ConsoleSession) => number;
}

export interface Strip {
  readonly id: string;
  /** Place in the row, most urgent (lowest) first. */
  readonly order: number;
  /** Renders one or more `StripChip`, or nothing. */
  readonly component: Component<PartProps>;
}
