/**
 * How long each phase of a debrief has taken, by the log: every screen that reads it has the same time. A phase may be left
 * and come back to; its times add up. Pure.
 */
import type { PhaseOpened } from './board.ts';

/** A phase nobody closed for so long was left open when people went home, ms: it counts for nothing. */
export const LEFT_OPEN_MS = 2 * 3_600_000;

export interface PhaseTime {
  /** Spent on it so far, ms. */
  readonly spentMs: number;
  /** Its clock runs now. */
  readonly running: boolean;
}

/** The time of one phase at a moment on the server's wall. */
export function phaseTime(phases: readonly PhaseOpened[], phase: string, nowMs: number): PhaseTime {
  let spentMs = 0;
  let running = false;
  phases.forEach((one, index) => {
    if (one.phase !== phase) return;
    const next = phases[index + 1];
    const tookMs = Math.max(0, (next?.wallMs ?? nowMs) - one.wallMs);
    if (tookMs > LEFT_OPEN_MS) return;
    spentMs += tookMs;
    running ||= next === undefined;
  });
  return { spentMs, running };
}
