/** The monitor's heartbeat: frames in, traces and alarms out, at the display's own rate. */
import {
  alarmReadings,
  createAlarms,
  createTraces,
  type AlarmLimits,
  type Alarms,
  type Traces,
} from '@breathline/signals';
import type { MonitorFrame } from '@breathline/protocol';
import { limitsFor, motionOf } from './alarms-of.ts';
import { createPlayout, type Playout } from './playout.ts';
import { createMeter } from './stats.ts';
import type { Sweep } from './sweep.ts';
import type { TraceId } from './view.ts';

/** Still pictures are redrawn this often, ms. */
const STILL_EVERY_MS = 1000;

export class MonitorLoop {
  readonly #meter = createMeter();
  readonly #sweeps = new Set<Sweep>();
  readonly playout: Playout = createPlayout();
  readonly alarms: Alarms = createAlarms();
  #traces: Traces | null = null;
  #seed: number | null = null;
  #age: number | null = null;
  #limits: AlarmLimits | null = null;
  #limitsKey = '';
  #raf = 0;
  #stillAtMs = -Infinity;
  #held = false;
  /** Grows each time that what was drawn and heard must be forgotten. */
  epoch = 0;
  /** Draw still pictures once a second instead of sweeping. */
  stillOnly = false;

  /** Nothing is live: the pen stops and what it drew goes; it starts afresh when frames return. */
  set held(held: boolean) {
    if (held && !this.#held) {
      this.epoch += 1;
      for (const sweep of this.#sweeps) sweep.clear();
    }
    this.#held = held;
  }

  get held(): boolean {
    return this.#held;
  }

  get stats() {
    return this.#meter.stats;
  }

  get traces(): Traces | null {
    return this.#traces;
  }

  /** Limits in force, or null before the first frame. */
  get limits(): AlarmLimits | null {
    return this.#limits;
  }

  /** Value of a trace at a run-clock time; 0 before the first frame. */
  sample(trace: TraceId): (atMs: number) => number {
    return (atMs) => this.#traces?.[trace](atMs) ?? 0;
  }

  add(sweep: Sweep): () => void {
    this.#sweeps.add(sweep);
    return () => this.#sweeps.delete(sweep);
  }

  /** Adds a piece of other work (sound) to what this screen costs. */
  worked(startMs: number): void {
    this.#meter.work(startMs, performance.now(), 'sound');
  }

  /** Takes a frame the moment it is heard. `trueMs`: the run clock now by the server's own clock, where known. */
  hear(frame: MonitorFrame, nowMs: number, trueMs: number | null = null): void {
    const startMs = performance.now();
    // A blank frame carries no numbers at all, not even its clock.
    if (frame.blank) {
      this.epoch += 1;
      this.alarms.reset();
      for (const sweep of this.#sweeps) sweep.clear();
      return;
    }
    if (frame.wave.seed !== this.#seed || frame.ageYears !== this.#age) {
      this.#seed = frame.wave.seed;
      this.#age = frame.ageYears;
      this.#traces = createTraces(frame.wave.seed, frame.ageYears);
      this.alarms.reset();
    }
    const changed = frame.alarm?.limits ?? [];
    const key = JSON.stringify([frame.ageYears, changed]);
    if (key !== this.#limitsKey || this.#limits === null) {
      this.#limitsKey = key;
      this.#limits = limitsFor(frame.ageYears, changed);
    }
    const running = frame.phase === 'running';
    if (this.playout.frame(frame.clockMs, nowMs, running, frame.speed, trueMs)) {
      this.epoch += 1;
      this.#traces?.reset();
      for (const sweep of this.#sweeps) sweep.clear();
    }
    this.#traces?.push(frame.clockMs, {
      ...frame.wave,
      pulseRatePerMin: frame.shown.pulsePerMin,
      motionFraction: motionOf(frame),
    });
    this.alarms.push(frame.clockMs, alarmReadings(frame), this.#limits, frame.alarm?.standing);
    this.#meter.work(startMs, performance.now(), 'frame');
  }

  #draw = (): void => {
    const startMs = performance.now();
    this.#raf = requestAnimationFrame(this.#draw);
    const head = this.playout.headAt(startMs);
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
