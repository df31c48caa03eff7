/**
 * Sees to it that a copy of the store exists: after each run's end, once a day, and after an erasure, so that no copy
 * keeps what was erased. Never while a drill runs: one that begins cuts a copy short.
 */
import type { BackupAnswer } from '@breathline/protocol';
import type { SessionStore } from '../store/session-store.ts';
import { CopyError, CopyStopped, type StoreCopies } from '../store/store-copies.ts';
import type { RunRegistry } from './run-registry.ts';

const ERASED_KEY = 'erased-at';
const DAY_MS = 86_400_000;
const HOUR_MS = 3_600_000;
/** After the start, so that screens of a restart have come back first. */
const FIRST_MS = 20_000;
/** After a run's end, so that its sums are in the copy, and several ends make one copy. */
const SETTLE_MS = 5_000;
const BUSY_MS = 30_000;

export class BackupService {
  readonly #copies: StoreCopies;
  readonly #settings: Pick<SessionStore, 'setting' | 'setSetting'>;
  readonly #registry: Pick<RunRegistry, 'entries' | 'onApplied'>;
  #timer: NodeJS.Timeout | null = null;
  #hourly: NodeJS.Timeout | null = null;
  #working: Promise<void> | null = null;
  #again = false;
  #stopped = false;
  #problem: string | null = null;

  constructor(parts: {
    readonly copies: StoreCopies;
    readonly settings: Pick<SessionStore, 'setting' | 'setSetting'>;
    readonly registry: Pick<RunRegistry, 'entries' | 'onApplied'>;
  }) {
    this.#copies = parts.copies;
    this.#settings = parts.settings;
    this.#registry = parts.registry;
  }

  start(): void {
    this.#registry.onApplied((run) => {
      if (run.phase === 'running' && this.#working !== null) this.#copies.stop();
    });
    const look = () => void this.#due().then((due) => due && this.#soon(0));
    const first = setTimeout(look, FIRST_MS);
    first.unref();
    this.#hourly = setInterval(look, HOUR_MS);
    this.#hourly.unref();
  }

  /** A run has ended: its log belongs into a copy. */
  runEnded(): void {
    this.#soon(SETTLE_MS);
  }

  /** Something was erased: copies made before go as soon as a fresh one stands. */
  async erased(): Promise<void> {
    await this.#settings.setSetting(ERASED_KEY, new Date().toISOString());
    this.#soon(SETTLE_MS);
  }

  /** What the readiness board and the privacy page tell. */
  async read(): Promise<BackupAnswer> {
    const [copies, erasedAt, sameDisk] = await Promise.all([
      this.#copies.list(),
      this.#settings.setting(ERASED_KEY),
      this.#copies.sameDisk(),
    ]);
    const [last] = copies;
    return {
      folder: this.#copies.folder,
      sameDisk,
      last: last ? { madeAt: last.madeAt, bytes: last.bytes, runs: last.runs } : null,
      problem: this.#problem,
      waiting: this.#timer !== null || this.#working !== null,
      stale: copies.filter(({ madeAt }) => erasedAt !== null && madeAt < erasedAt).length,
    };
  }

  /** Makes one now, unless a drill runs. Says whether one was made. */
  async makeNow(): Promise<boolean> {
    await this.#working;
    if (this.#stopped || this.#drill()) return false;
    let made = false;
    this.#working = this.#make()
      .then((done) => void (made = done))
      .finally(() => (this.#working = null));
    await this.#working;
    return made;
  }

  async stop(): Promise<void> {
    this.#stopped = true;
    if (this.#timer) clearTimeout(this.#timer);
    if (this.#hourly) clearInterval(this.#hourly);
    this.#copies.stop();
    await this.#working;
  }

  #drill(): boolean {
    return this.#registry.entries.some(({ run }) => run.phase === 'running');
  }

  async #due(): Promise<boolean> {
    if (this.#stopped) return false;
    const [last] = await this.#copies.list();
    if (last === undefined || Date.now() - Date.parse(last.madeAt) > DAY_MS) return true;
    const erasedAt = await this.#settings.setting(ERASED_KEY);
    return erasedAt !== null && last.madeAt < erasedAt;
  }

  #soon(afterMs: number): void {
    if (this.#stopped) return;
    if (this.#working !== null) {
      this.#again = true;
      return;
    }
    if (this.#timer) clearTimeout(this.#timer);
    this.#timer = setTimeout(() => {
      this.#timer = null;
      if (this.#drill()) return this.#soon(BUSY_MS);
      void this.makeNow().then((made) => {
        if (this.#again || (!made && this.#drill())) this.#soon(BUSY_MS);
        this.#again = false;
      });
    }, afterMs);
    this.#timer.unref();
  }

  async #make(): Promise<boolean> {
    try {
      await this.#copies.make();
      this.#problem = null;
      await this.#copies.prune(await this.#settings.setting(ERASED_KEY));
      return true;
    } catch (error) {
      if (error instanceof CopyStopped) return false;
      // Whatever it was, drills go on.
      const words = error instanceof CopyError ? error.message : `No copy could be made (${String(error)}).`;
      if (words !== this.#problem) console.error(words);
      this.#problem = words;
      return false;
    }
  }
}
