/**
 * Which run-clock moment the traces have reached. Frames carry run-clock stamps about four times a second; traces are
 * drawn a fixed little behind the newest stamp, so one lost or late frame is bridged and two screens show the same
 * moment. Pure: times come in as arguments.
 */

/** Behind the server's clock by this on the wall's clock, ms: two frame gaps and a little. */
export const PLAYOUT_DELAY_MS = 600;
/** With no frame, traces run on alone from the last numbers for this long on the wall's clock, ms. */
export const RUN_ON_MS = 20_000;
/** Frames older than this no longer speak for the network's delay, ms. */
const REMEMBER_MS = 6000;
/** Correction per second of time, ms: too slow to be seen in a trace. */
const SLEW_MS_PER_S = 40;
/** An error past this is mended at once. */
const JUMP_MS = 1200;

export interface Playout {
  /**
   * Takes a frame's stamp. Returns true when the clock was wound back, or stood still while this screen ran on, and
   * everything drawn must go.
   * @param speed run-clock ms for each ms on the wall
   * @param trueMs the run clock at `nowMs` by the server's own clock, where it is known; else the frame's stamp stands for
   * it, and the least delayed of the last seconds is taken
   */
  frame(clockMs: number, nowMs: number, running: boolean, speed?: number, trueMs?: number | null): boolean;
  /** Run-clock ms to draw up to, or null before the first frame. Never runs backwards except when wound back. */
  headAt(nowMs: number): number | null;
  /** The server's run clock as best known here: the head without its delay. */
  clockAt(nowMs: number): number | null;
  readonly speed: number;
}

export function createPlayout(delayMs: number = PLAYOUT_DELAY_MS): Playout {
  let seen: { readonly atMs: number; readonly offsetMs: number }[] = [];
  /** Run clock less local clock (at the run's speed); null until running. */
  let offsetMs: number | null = null;
  let slewedAtMs = 0;
  let lastClockMs: number | null = null;
  let isRunning = false;
  let headMs: number | null = null;
  let speed = 1;

  function forget(): void {
    seen = [];
    offsetMs = null;
  }

  function reachedAt(nowMs: number, behindMs: number): number | null {
    if (lastClockMs === null) return null;
    const target = offsetMs === null ? lastClockMs : (nowMs - behindMs) * speed + offsetMs;
    return Math.min(target, lastClockMs + (isRunning ? RUN_ON_MS * speed : 0));
  }

  return {
    frame(clockMs, nowMs, running, factor = 1, trueMs = null) {
      const newSpeed = factor > 0 && Number.isFinite(factor) ? factor : 1;
      const woundBack = lastClockMs !== null && clockMs < lastClockMs;
      if (woundBack) {
        forget();
        headMs = null;
      }
      // A pause or another speed breaks the tie between the two clocks.
      if ((running && !isRunning) || newSpeed !== speed) forget();
      speed = newSpeed;
      isRunning = running;
      lastClockMs = clockMs;
      if (running) {
        seen = seen.filter((s) => nowMs - s.atMs < REMEMBER_MS);
        // A clock behind the stamp is a wrong one (a restarted server's, before the next ping). Ahead of it, the frame was
        // late: it waited in the network or in a page too busy to read it.
        const lateMs = trueMs === null ? NaN : (trueMs - clockMs) / speed;
        const known = trueMs !== null && lateMs > -JUMP_MS && lateMs < RUN_ON_MS;
        seen.push({ atMs: nowMs, offsetMs: (known ? trueMs : clockMs) - nowMs * speed });
        // The least delayed frame is the truest.
        const best = Math.max(...seen.map((s) => s.offsetMs));
        if (offsetMs === null || Math.abs(best - offsetMs) > JUMP_MS * speed) offsetMs = best;
        else {
          const most = (SLEW_MS_PER_S * speed * Math.max(0, nowMs - slewedAtMs)) / 1000;
          offsetMs += Math.max(-most, Math.min(most, best - offsetMs));
        }
        slewedAtMs = nowMs;
      }
      // The run stood still (a restarted server, a pause not heard of) while this screen ran on: what was drawn since
      // never happened.
      const behind = headMs !== null && reachedAt(nowMs, delayMs)! < headMs - JUMP_MS * speed;
      if (behind && !woundBack) {
        forget();
        if (running) offsetMs = clockMs - nowMs * speed;
        headMs = null;
      }
      return woundBack || behind;
    },
    headAt(nowMs) {
      const reached = reachedAt(nowMs, delayMs);
      if (reached === null) return null;
      headMs = headMs === null ? reached : Math.max(headMs, reached);
      return headMs;
    },
    clockAt: (nowMs) => reachedAt(nowMs, 0),
    get speed() {
      return speed;
    },
  };
}
