/**
 * Which run-clock moment the traces have reached. Frames carry run-clock stamps about four times a second; traces are
 * drawn a fixed little behind the newest stamp, so one lost or late frame is bridged and two screens show the same
 * moment. Pure: times come in as arguments.
 */

/** Behind the server's clock by this, ms: two frame gaps and a little. */
export const PLAYOUT_DELAY_MS = 600;
/** With no frame, traces run on alone for this long past the last stamp, ms. */
export const RUN_ON_MS = 2000;
/** Frames older than this no longer speak for the network's delay, ms. */
const REMEMBER_MS = 6000;
/** Correction per second of time, ms: too slow to be seen in a trace. */
const SLEW_MS_PER_S = 40;
/** An error past this is mended at once. */
const JUMP_MS = 1200;

export interface Playout {
  /** Takes a frame's stamp. Returns true when the clock was wound back and everything drawn must go. */
  frame(clockMs: number, nowMs: number, running: boolean): boolean;
  /** Run-clock ms to draw up to, or null before the first frame. Never runs backwards except when wound back. */
  headAt(nowMs: number): number | null;
}

export function createPlayout(delayMs: number = PLAYOUT_DELAY_MS): Playout {
  let seen: { readonly atMs: number; readonly offsetMs: number }[] = [];
  /** Run clock less local clock; null until running. */
  let offsetMs: number | null = null;
  let slewedAtMs = 0;
  let lastClockMs: number | null = null;
  let isRunning = false;
  let headMs: number | null = null;

  return {
    frame(clockMs, nowMs, running) {
      const woundBack = lastClockMs !== null && clockMs < lastClockMs;
      if (woundBack) {
        seen = [];
        offsetMs = null;
        headMs = null;
      }
      // A pause breaks the tie between the two clocks.
      if (running && !isRunning) {
        seen = [];
        offsetMs = null;
      }
      isRunning = running;
      lastClockMs = clockMs;
      if (running) {
        seen = seen.filter((s) => nowMs - s.atMs < REMEMBER_MS);
        seen.push({ atMs: nowMs, offsetMs: clockMs - nowMs });
        // The least delayed frame is the truest.
        const best = Math.max(...seen.map((s) => s.offsetMs));
        if (offsetMs === null || Math.abs(best - offsetMs) > JUMP_MS) offsetMs = best;
        else {
          const most = (SLEW_MS_PER_S * Math.max(0, nowMs - slewedAtMs)) / 1000;
          offsetMs += Math.max(-most, Math.min(most, best - offsetMs));
        }
        slewedAtMs = nowMs;
      }
      return woundBack;
    },
    headAt(nowMs) {
      if (lastClockMs === null) return null;
      const target = offsetMs === null ? lastClockMs : nowMs + offsetMs - delayMs;
      const limit = lastClockMs + (isRunning ? RUN_ON_MS : 0);
      const reached = Math.min(target, limit);
      headMs = headMs === null ? reached : Math.max(headMs, reached);
      return headMs;
    },
  };
}
