/** The run played back: the engine takes the log again, so that any moment can be looked at and asked about. */
import {
  inOrder,
  profileOf,
  replay,
  takesOf,
  type RunEvent,
  type RunExport,
  type RunSnapshot,
  type Simulation,
} from '@breathline/engine';
import type { Explanation, VitalId } from '@breathline/patient';
import type { MonitorFrame } from '@breathline/protocol';
import { frameOf } from './frame.ts';

export const REPLAY_SPEEDS = [0.5, 1, 2, 4, 8] as const;
/** A frame this often, as in a live run, ms on the wall. */
const FRAME_MS = 250;
/** Moments to take the run up from are kept this often, ms of the run clock. */
const KEEP_MS = 60_000;

interface Kept {
  readonly atMs: number;
  readonly next: number;
  readonly snapshot: RunSnapshot;
}

export class Player {
  readonly run: RunExport;
  readonly fromMs: number;
  readonly toMs: number;
  clockMs = $state(0);
  playing = $state(false);
  speed = $state<(typeof REPLAY_SPEEDS)[number]>(1);
  frame = $state.raw<MonitorFrame | null>(null);

  readonly #ageYears: number;
  readonly #events: readonly RunEvent[];
  readonly #sim: Simulation;
  #next = 0;
  #kept: Kept[] = [];
  #timer: ReturnType<typeof setInterval> | undefined;
  #goesOn = false;
  #lastMs = 0;
  #exactMs = 0;
  #frames = 0;

  constructor(run: RunExport, toMs: number) {
    this.run = run;
    this.toMs = toMs;
    const take = run.scoredTake;
    const start = takesOf(run.events).find((one) => one.take === take);
    this.fromMs = start?.fromMs ?? 0;
    this.#ageYears = profileOf(run.definition).ageYears;
    // Withdrawals play again as they did: first the tap, later its undoing.
    this.#events = run.events.filter((event) => event.take === take && event.kind !== 'wound-back').sort(inOrder);
    const first =
      take === 1
        ? replay(run.definition, [], { untilMs: 0 })
        : replay(
            run.definition,
            run.events.filter((event) => event.take < take || event.kind === 'wound-back'),
            { take, untilMs: this.fromMs },
          );
    this.#sim = first;
    this.clockMs = this.#exactMs = this.fromMs;
    this.#keep();
    this.#forward(this.fromMs);
    this.#show();
  }

  play(): void {
    if (this.playing) return;
    if (this.clockMs >= this.toMs) this.seek(this.fromMs);
    this.playing = true;
    this.#lastMs = performance.now();
    this.#timer = setInterval(() => this.#tick(), FRAME_MS);
    this.#show();
  }

  pause(): void {
    clearInterval(this.#timer);
    this.playing = false;
    this.#show();
  }

  /** Another part of the debrief is looked at: it waits here, and goes on from here if it was playing. */
  park(): void {
    this.#goesOn = this.playing;
    if (this.playing) this.pause();
  }

  /** The replay is looked at again. */
  unpark(): void {
    if (this.#goesOn) this.play();
    this.#goesOn = false;
  }

  /** To a moment of the run, inside it. */
  seek(atMs: number): void {
    const to = Math.round(Math.min(this.toMs, Math.max(this.fromMs, atMs)) / 100) * 100;
    if (to < this.#sim.clockMs) {
      const kept = this.#kept.findLast((one) => one.atMs <= to) ?? this.#kept[0];
      if (kept) {
        this.#sim.restore(kept.snapshot);
        this.#next = kept.next;
      }
    }
    this.#exactMs = to;
    this.#forward(to);
    this.#show();
  }

  /** In the model's own terms, at the moment shown. */
  explain(vital: VitalId): Explanation {
    return this.#sim.explain(vital);
  }

  /** What the vital is in truth at the moment shown. */
  trueVital(vital: VitalId): number {
    return this.#sim.view().trueVitals[vital];
  }

  close(): void {
    clearInterval(this.#timer);
  }

  #tick(): void {
    const now = performance.now();
    this.#exactMs += (now - this.#lastMs) * this.speed;
    this.#lastMs = now;
    if (this.#exactMs >= this.toMs) {
      this.#exactMs = this.toMs;
      this.pause();
    }
    this.#forward(Math.floor(this.#exactMs / 100) * 100);
    this.#show();
  }

  #forward(toMs: number): void {
    const sim = this.#sim;
    for (let event = this.#events[this.#next]; event && event.appliedAtMs <= toMs; event = this.#events[this.#next]) {
      this.#reach(event.appliedAtMs);
      sim.apply(event);
      this.#next += 1;
    }
    this.#reach(toMs);
    this.clockMs = toMs;
  }

  #reach(toMs: number): void {
    const sim = this.#sim;
    for (let at = (Math.floor(sim.clockMs / KEEP_MS) + 1) * KEEP_MS; at < toMs; at += KEEP_MS) {
      sim.advanceTo(at);
      this.#keep();
    }
    sim.advanceTo(toMs);
  }

  #keep(): void {
    const atMs = this.#sim.clockMs;
    if ((this.#kept.at(-1)?.atMs ?? -1) < atMs)
      this.#kept.push({ atMs, next: this.#next, snapshot: this.#sim.snapshot() });
  }

  #show(): void {
    const how = { playing: this.playing, speed: this.speed, ageYears: this.#ageYears, roleSeq: ++this.#frames };
    this.frame = frameOf(this.#sim.view(), this.run.definition.scenario.learnerTitle, this.clockMs, how);
  }
}
