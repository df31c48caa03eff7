/** The monitor's heartbeat: frames in, traces out, at the display's own rate. */
import { createTraces, type Traces } from '@breathline/signals';
import type { MonitorFrame } from '@breathline/protocol';
import { createPlayout, type Playout } from './playout.ts';
import { createMeter } from './stats.ts';
import type { Sweep } from './sweep.ts';
import type { TraceId } from './view.ts';

/** Still pictures are redrawn this often, ms. */
const STILL_EVERY_MS = 1000;

export class MonitorLoop {
  readonly #meter = createMeter();
  readonly #sweeps = new Set<Sweep>();
  #traces: Traces | null = null;
  #seed: number | null = null;
  #age: number | null = null;
  #playout: Playout = createPlayout();
  #raf = 0;
  #stillAtMs = -Infinity;
  #held = false;
  /** Draw still pictures once a second instead of sweeping. */
  stillOnly = false;

  /** Nothing is live: the pen stops and what it drew goes; it starts afresh when frames return. */
  set held(held: boolean) {
    if (held && !this.#held) for (const sweep of this.#sweeps) sweep.clear();
    this.#held = held;
  }

  get stats() {
    return this.#meter.stats;
  }

  /** Value of a trace at a run-clock time; 0 before the first frame. */
  sample(trace: TraceId): (atMs: number) => number {
    return (atMs) => this.#traces?.[trace](atMs) ?? 0;
  }

  add(sweep: Sweep): () => void {
    this.#sweeps.add(sweep);
    return () => this.#sweeps.delete(sweep);
  }

  /** Takes a frame the moment it is heard. */
  hear(frame: MonitorFrame, nowMs: number): void {
    const startMs = performance.now();
    // A blank frame carries no numbers at all, not even its clock.
    if (frame.blank) {
      for (const sweep of this.#sweeps) sweep.clear();
      return;
    }
    if (frame.wave.seed !== this.#seed || frame.ageYears !== this.#age) {
      this.#seed = frame.wave.seed;
      this.#age = frame.ageYears;
      this.#traces = createTraces(frame.wave.seed, frame.ageYears);
    }
    const woundBack = this.#playout.frame(frame.clockMs, nowMs, frame.phase === 'running');
    if (woundBack) for (const sweep of this.#sweeps) sweep.clear();
    this.#traces?.push(frame.clockMs, { ...frame.wave, pulseRatePerMin: frame.shown.pulsePerMin });
    this.#meter.work(startMs, performance.now(), 'frame');
  }

  #draw = (): void => {
    const startMs = performance.now();
    this.#raf = requestAnimationFrame(this.#draw);
    const head = this.#playout.headAt(startMs);
    this.#meter.stats.headMs = head;
    if (head !== null && !this.#held) {
      if (this.stillOnly) {
        if (startMs - this.#stillAtMs >= STILL_EVERY_MS) {
          this.#stillAtMs = startMs;
          for (const sweep of this.#sweeps) sweep.still(head);
        }
      } else for (const sweep of this.#sweeps) sweep.sweepTo(head);
    }
    this.#meter.work(startMs, performance.now(), 'draw');
  };

  start(): () => void {
    window.__monitorStats = this.#meter.stats;
    this.#raf = requestAnimationFrame(this.#draw);
    return () => cancelAnimationFrame(this.#raf);
  }
}
