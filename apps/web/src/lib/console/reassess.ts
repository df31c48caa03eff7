/**
 * When the team should look again: within five minutes of the last look (common practice, no source), and when a repeat
 * of adrenaline may first be due, since whether to repeat depends on what is found then (Resuscitation Council UK,
 * Emergency treatment of anaphylaxis, 2021: repeat after 5 minutes if problems persist).
 */
import { clockText } from './format.ts';

export const LOOK_AGAIN_MS = 5 * 60_000;
/** Nobody has looked at all: said as late from here on. Chosen here. */
export const FIRST_LOOK_MS = 60_000;

export interface ReassessDue {
  /** Run-clock ms. */
  readonly dueAtMs: number;
  readonly why: 'first look' | 'five minutes' | 'before a repeat';
  readonly status: 'later' | 'soon' | 'due';
}

/** @param lastLookMs Run clock of the last assessment; null = none. @param repeatFromMs When a repeat dose is no longer early. */
export function reassessDue(nowMs: number, lastLookMs: number | null, repeatFromMs: number | null): ReassessDue {
  let dueAtMs = lastLookMs === null ? FIRST_LOOK_MS : lastLookMs + LOOK_AGAIN_MS;
  let why: ReassessDue['why'] = lastLookMs === null ? 'first look' : 'five minutes';
  // A look within the minute before the repeat is the look it depends on.
  if (repeatFromMs !== null && lastLookMs !== null && lastLookMs < repeatFromMs - 60_000 && repeatFromMs < dueAtMs) {
    dueAtMs = repeatFromMs;
    why = 'before a repeat';
  }
  const leftMs = dueAtMs - nowMs;
  return { dueAtMs, why, status: leftMs <= 0 ? 'due' : leftMs <= 30_000 ? 'soon' : 'later' };
}

/** "in 1:20", or "due 0:15 ago". */
export function dueText(dueAtMs: number, nowMs: number): string {
  const leftMs = dueAtMs - nowMs;
  return leftMs > 0 ? `in ${clockText(leftMs)}` : `due ${clockText(-leftMs)} ago`;
}
