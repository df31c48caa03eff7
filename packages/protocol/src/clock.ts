/**
 * How screens agree on the run's time. Frames arrive late by different amounts; an anchor says what the run clock showed at
 * an instant of the server's clock, and a ping says how far a screen's clock is from it. What is left to disagree about is
 * half the difference between a ping's way there and its way back.
 */
import type { ClockAnchor } from './types.ts';

/** The longest a tap may say it waited on its screen, ms: a month, for a tablet that was put away with a debrief on it. */
export const LONGEST_HELD_MS = 30 * 86_400_000;

/** One ping and its answer; `sentMs` and `gotMs` on the screen's own monotonic clock. */
export interface PingSample {
  readonly sentMs: number;
  readonly gotMs: number;
  readonly serverMs: number;
}

/** What to add to the screen's clock to get the server's, ms; from the quickest ping, which says most. Null without one. */
export const serverOffsetMs = (samples: readonly PingSample[]): number | null => {
  let best: PingSample | null = null;
  for (const sample of samples) {
    if (best === null || sample.gotMs - sample.sentMs < best.gotMs - best.sentMs) best = sample;
  }
  return best && best.serverMs - (best.sentMs + best.gotMs) / 2;
};

/** The run clock, ms, at `serverNowMs` of the server's clock. */
export const runClockAt = ({ serverMs, runMs, rate }: ClockAnchor, serverNowMs: number): number =>
  Math.max(0, runMs + (serverNowMs - serverMs) * rate);
