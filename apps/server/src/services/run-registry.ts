/**
 * Every run in memory, and the one clock that steps them. Running clocks are written once a second, all in one
 * transaction, so that a restart comes back to within a second of where it was.
 */
import { uptime } from 'node:os';
import { ENGINE_VERSION, type RunEvent } from '@breathline/engine';
import { Refusal } from '../refusal.ts';
import type { EventStore } from '../store/event-store.ts';
import type { PhotoStore } from '../store/photo-store.ts';
import type { RunBody, RunHead, RunStore } from '../store/run-store.ts';
import { frozenEngine, liveEngine } from './engine-port.ts';
import { LiveRun } from './live-run.ts';
import { Screens, type ScreenSurroundings } from './screens.ts';
import { newCrewCode } from './secrets.ts';

const TICK_MS = 50;
const FRAME_MS = 250;
/** A run that stands still only needs to say that it is still there. */
const IDLE_FRAME_MS = 1_000;
const SAVE_MS = 1_000;
/** Finished runs nobody looks at are dropped from memory beyond this many. */
const KEPT_FINISHED = 20;

interface Entry {
  readonly run: LiveRun;
  readonly screens: Screens;
  pushedAtMs: number;
}

export const monotonicMs = (): number => performance.now();

/** Asleep for less than this is not worth a pause, ms. */
const LEAST_SLEEP_MS = 10_000;
/** How far the monotonic clock, which stands while some machines sleep, is behind the time since the machine was started. */
const behindBootMs = (): number => uptime() * 1_000 - monotonicMs();

/** A label on the wall as a moment of the monotonic clock, as far as the wall's clock can be trusted. */
const monotonicOf = (wallTime: string): number => {
  const at = Date.parse(wallTime);
  return Number.isNaN(at) ? 0 : Math.min(monotonicMs(), monotonicMs() - (Date.now() - at));
};

export class RunRegistry {
  readonly #runs: RunStore;
  readonly #events: EventStore;
  readonly #entries = new Map<string, Entry>();
  readonly #loading = new Map<string, Promise<Entry>>();
  #timer: NodeJS.Timeout | null = null;
  #savedAtMs = 0;
  #behindBootMs = behindBootMs();
  #saving: Promise<void> = Promise.resolve();
  #lastSyncAt: Date | null = null;
  readonly #surroundings: ScreenSurroundings;
  readonly #photos: Pick<PhotoStore, 'ids'>;
  readonly #listeners: ((run: LiveRun, event: RunEvent) => void)[] = [];

  constructor(runs: RunStore, events: EventStore, photos: Pick<PhotoStore, 'ids'>, surroundings: ScreenSurroundings) {
    this.#runs = runs;
    this.#events = events;
    this.#photos = photos;
    this.#surroundings = surroundings;
  }

  /** Told of every line applied from now on, once it is on disk. */
  onApplied(listener: (run: LiveRun, event: RunEvent) => void): void {
    this.#listeners.push(listener);
  }

  /** The run if it is in memory. */
  held(runId: string): Pick<Entry, 'run' | 'screens'> | null {
    return this.#entries.get(runId) ?? null;
  }

  /**
   * Drops a run from memory, so that it is read afresh from disk. Returns false, and leaves it, while it runs, is being
   * written or has a screen.
   */
  async forget(runId: string): Promise<boolean> {
    await this.#loading.get(runId)?.catch(() => undefined);
    const entry = this.#entries.get(runId);
    if (!entry) return true;
    if (entry.run.phase === 'running' || entry.screens.size > 0) return false;
    await this.save();
    if (entry.run.unsaved || entry.screens.size > 0) return false;
    return this.#entries.delete(runId);
  }

  /** When everything there was to write was last on disk. */
  get lastSyncAt(): Date | null {
    return this.#lastSyncAt;
  }

  /** Runs in memory with the screens that show them. */
  get entries(): readonly Pick<Entry, 'run' | 'screens'>[] {
    return [...this.#entries.values()];
  }

  /** Brings back every run that was not finished; one that was running is paused and says why. */
  async recover(): Promise<void> {
    for (const head of await this.#runs.list()) {
      if (head.phase === 'ended') continue;
      try {
        const { run } = await this.get(head.runId);
        if (run.phase !== 'running') continue;
        await run.append({ kind: 'run-paused', why: 'server-restart' }, { role: 'server' }, monotonicMs);
      } catch (error) {
        // One damaged run must not keep the others from coming back.
        console.error(`Run ${head.runId} could not be brought back:`, error);
      }
    }
    await this.save();
  }

  start(): void {
    this.#timer = setInterval(() => this.#tick(), TICK_MS);
  }

  async stop(): Promise<void> {
    if (this.#timer) clearInterval(this.#timer);
    this.#timer = null;
    await this.save();
  }

  /** The run in memory, loaded from its log if need be. */
  async get(runId: string): Promise<Entry> {
    const entry = this.#entries.get(runId);
    if (entry) return entry;
    const loading = this.#loading.get(runId) ?? this.#load(runId).finally(() => this.#loading.delete(runId));
    this.#loading.set(runId, loading);
    return loading;
  }

  /** The run's head as it is now. */
  headNow(head: RunHead): RunHead {
    return this.#entries.get(head.runId)?.run.head ?? head;
  }

  async #load(runId: string): Promise<Entry> {
    const head = await this.#runs.head(runId);
    const body = head && (await this.#runs.body(runId));
    if (!head || !body) throw new Refusal('no-such-run');
    const frozen = head.imported || (head.phase === 'ended' && head.engineVersion !== ENGINE_VERSION);
    const [lastTrackMs, photos, log] = await Promise.all([
      this.#runs.lastTrackMs(runId),
      this.#photos.ids(runId),
      this.#events.load(runId),
    ]);
    const entry = this.#add(await this.#withCrewCode(head), body, frozen, { lastTrackMs, photos });
    // What was latched before the server went is kept. A finished run has no alarms to keep.
    const watch = head.phase === 'ended' ? undefined : () => void entry.screens.watch();
    entry.run.replay(log, head.clockMs, monotonicOf, watch);
    this.#dropFinished();
    return entry;
  }

  /** A run of an earlier version has no code for the crew yet. */
  async #withCrewCode(head: RunHead): Promise<RunHead> {
    if (head.crewCode !== null || head.joinCode === null) return head;
    const crewCode = await this.freeCode(newCrewCode);
    await this.#runs.setCrewCode(head.runId, crewCode);
    return { ...head, crewCode };
  }

  /** A code that opens no run yet. */
  async freeCode(make: () => string): Promise<string> {
    for (;;) {
      const code = make();
      if ((await this.#runs.headByCode(code)) === null) return code;
    }
  }

  /** Takes a run just created. */
  add(head: RunHead, body: RunBody): Entry {
    return this.#add(head, body, false, {});
  }

  #add(
    head: RunHead,
    body: RunBody,
    frozen: boolean,
    more: { readonly lastTrackMs?: ReadonlyMap<number, number>; readonly photos?: readonly string[] },
  ): Entry {
    const run = new LiveRun({
      head,
      body,
      makeEngine: (options) => (frozen ? frozenEngine(body, head.clockMs) : liveEngine(body, options)),
      events: this.#events,
      ...more,
      seenAtMs: head.seenAt === null ? null : monotonicOf(head.seenAt),
      onApplied: (applied: LiveRun, event: RunEvent) => {
        entry.screens.applied(event);
        for (const listener of this.#listeners) listener(applied, event);
      },
    });
    const entry: Entry = { run, screens: new Screens(run, this.#surroundings), pushedAtMs: 0 };
    this.#entries.set(head.runId, entry);
    return entry;
  }

  #dropFinished(): void {
    const idle = [...this.#entries.values()].filter(
      ({ run, screens }) => run.phase === 'ended' && screens.size === 0 && !run.unsaved,
    );
    for (const { run } of idle.slice(0, Math.max(0, idle.length - KEPT_FINISHED))) this.#entries.delete(run.runId);
  }

  #tick(): void {
    const nowMs = monotonicMs();
    const behindMs = behindBootMs();
    const sleptMs = behindMs - this.#behindBootMs;
    this.#behindBootMs = behindMs;
    for (const entry of this.#entries.values()) {
      try {
        if (sleptMs > LEAST_SLEEP_MS) entry.run.slept(nowMs, sleptMs);
        entry.run.tick(nowMs);
        const every = entry.run.phase === 'running' ? FRAME_MS : IDLE_FRAME_MS;
        if (nowMs - entry.pushedAtMs < every - TICK_MS / 2) continue;
        entry.pushedAtMs = nowMs;
        entry.screens.push();
      } catch (error) {
        console.error(`Run ${entry.run.runId} met an error while stepping:`, error);
      }
    }
    if (nowMs - this.#savedAtMs < SAVE_MS) return;
    this.#savedAtMs = nowMs;
    void this.save();
  }

  /** Writes every clock and new second. A failed write is kept and tried again with the next. */
  save(): Promise<void> {
    this.#saving = this.#saving.then(async () => {
      const taken = [...this.#entries.values()].flatMap(({ run }) => {
        const progress = run.takeProgress();
        return progress ? [{ run, progress }] : [];
      });
      try {
        await this.#runs.saveProgress(taken.map(({ progress }) => progress));
        this.#lastSyncAt = new Date();
      } catch (error) {
        for (const { run, progress } of taken) run.putBack(progress);
        console.error('The clocks could not be written; trying again in a second:', error);
      }
    });
    return this.#saving;
  }
}
