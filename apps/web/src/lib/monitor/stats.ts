/** What the monitor costs: main-thread milliseconds per second in its own work, frames drawn, frames heard. */
export interface MonitorStats {
  /** Milliseconds of drawing and frame handling in the last whole second. */
  busyMsPerS: number;
  /** Longest single piece of work in the last whole second, ms. */
  longestMs: number;
  /** Display frames drawn in the last whole second. */
  drawnPerS: number;
  /** Server frames heard in the last whole second. */
  heardPerS: number;
  /** Of `busyMsPerS`, what went to sound. */
  soundMsPerS: number;
  /** Mean of `busyMsPerS` since the start. */
  meanBusyMsPerS: number;
  seconds: number;
  /** Run clock the traces have reached, ms. */
  headMs: number | null;
}

declare global {
  interface Window {
    __monitorStats?: MonitorStats;
  }
}

export interface StatsMeter {
  readonly stats: MonitorStats;
  /** Adds a piece of work that began at `startMs`. */
  work(startMs: number, endMs: number, kind: 'draw' | 'frame' | 'sound'): void;
}

export function createMeter(): StatsMeter {
  const stats: MonitorStats = {
    busyMsPerS: 0,
    longestMs: 0,
    drawnPerS: 0,
    heardPerS: 0,
    soundMsPerS: 0,
    meanBusyMsPerS: 0,
    seconds: 0,
    headMs: null,
  };
  let from: number | null = null;
  let busy = 0;
  let longest = 0;
  let drawn = 0;
  let heard = 0;
  let sound = 0;
  let total = 0;
  return {
    stats,
    work(startMs, endMs, kind) {
      from ??= startMs;
      const span = endMs - startMs;
      busy += span;
      longest = Math.max(longest, span);
      if (kind === 'draw') drawn += 1;
      else if (kind === 'frame') heard += 1;
      else sound += span;
      const elapsed = (endMs - from) / 1000;
      if (elapsed < 1) return;
      total += busy;
      stats.seconds += elapsed;
      stats.busyMsPerS = busy / elapsed;
      stats.soundMsPerS = sound / elapsed;
      stats.longestMs = longest;
      stats.drawnPerS = drawn / elapsed;
      stats.heardPerS = heard / elapsed;
      stats.meanBusyMsPerS = total / stats.seconds;
      from = endMs;
      busy = longest = drawn = heard = sound = 0;
    },
  };
}
