/**
 * Rehearses scenarios for faculty, one at a time, each in a thread of its own and for so long at most, so that a drill on
 * the same machine goes on. What came of it is kept for a while under a name made of the texts it came from.
 */
import { createHash } from 'node:crypto';
import { Worker } from 'node:worker_threads';
import type { RehearsalAnswer, RehearseBody } from '@breathline/protocol';
import type { RehearsalNews, RehearsalTask } from '../rehearsal-worker.ts';
import { Refusal } from '../refusal.ts';
import { requireFaculty, type Caller } from './access.ts';
import type { LibraryService } from './library-service.ts';

/** The longest that one scenario may be played, ms. */
const LIMIT_MS = 120_000;
/** Scenarios waiting or being played. */
const MOST_WAITING = 4;
/** Scenarios whose results are kept. */
const MOST_KEPT = 12;
/** Of the thread; past this it ends, and the server goes on. */
const HEAP_MB = 512;

/** What happened to a scenario, without its name. */
type Outcome = RehearsalAnswer extends infer A ? (A extends RehearsalAnswer ? Omit<A, 'id' | 'file'> : never) : never;

interface Job {
  readonly id: string;
  readonly task: RehearsalTask;
  outcome: Outcome;
}

const failed = (why: string, mend: string): Outcome => ({ state: 'failed', why, mend });
const over = ({ outcome }: Job): boolean => outcome.state !== 'waiting' && outcome.state !== 'playing';

export class RehearsalService {
  readonly #library: LibraryService;
  readonly #worker: string;
  readonly #limitMs: number;
  /** Oldest first. */
  readonly #jobs = new Map<string, Job>();
  #playing: { readonly job: Job; end(outcome: Outcome): Promise<unknown> } | null = null;
  #stopped = false;

  constructor(parts: { readonly library: LibraryService; readonly worker: string; readonly limitMs?: number }) {
    this.#library = parts.library;
    this.#worker = parts.worker;
    this.#limitMs = parts.limitMs ?? LIMIT_MS;
  }

  /** Begins, or gives the same again. */
  async begin(caller: Caller, wanted: RehearseBody): Promise<RehearsalAnswer> {
    requireFaculty(caller);
    const task = await this.#taskOf(wanted);
    const id = createHash('sha256')
      .update(JSON.stringify([task.file, task.text, task.library.hash, task.packId]))
      .digest('hex')
      .slice(0, 24);
    const known = this.#jobs.get(id);
    // What failed may go well another time.
    if (known && known.outcome.state !== 'failed') return this.#answer(known);
    if (this.waiting.length >= MOST_WAITING) throw new Refusal('rehearsing-enough');
    this.#jobs.delete(id);
    const job: Job = { id, task, outcome: { state: 'waiting', ahead: 0 } };
    this.#jobs.set(id, job);
    this.#forget();
    this.#next();
    return this.#answer(job);
  }

  /** Ids of what is waiting or being played, in their order. */
  get waiting(): readonly string[] {
    return [...this.#jobs.values()].filter((job) => !over(job)).map(({ id }) => id);
  }

  /** How far it has come. */
  look(caller: Caller, id: string): RehearsalAnswer {
    requireFaculty(caller);
    const job = this.#jobs.get(id);
    if (!job) throw new Refusal('no-such-rehearsing');
    return this.#answer(job);
  }

  /** Nobody waits for it any more. What is done already is kept. */
  async leave(caller: Caller, id: string): Promise<void> {
    requireFaculty(caller);
    const job = this.#jobs.get(id);
    if (!job || over(job)) return;
    this.#jobs.delete(id);
    if (this.#playing?.job === job) await this.#playing.end(failed('It was stopped.', 'Rehearse it again.'));
  }

  /** Ends the thread, when the server stops. */
  async stop(): Promise<void> {
    this.#stopped = true;
    await this.#playing?.end(failed('The server stopped.', 'Rehearse it again.'));
  }

  async #taskOf(wanted: RehearseBody): Promise<RehearsalTask> {
    const packId = wanted.packId ?? null;
    const { library, file, text } =
      'text' in wanted
        ? { library: (await this.#library.packs()).library, file: wanted.file, text: wanted.text }
        : await this.#library.scenario(wanted.scenarioId);
    if (packId !== null && !library.packs.some(({ id }) => id === packId)) throw new Refusal('no-such-pack');
    return { file, text, library, packId };
  }

  #answer({ id, task, outcome }: Job): RehearsalAnswer {
    return {
      id,
      file: task.file,
      ...(outcome.state === 'waiting' ? { ...outcome, ahead: this.waiting.indexOf(id) } : outcome),
    };
  }

  #forget(): void {
    for (const job of this.#jobs.values()) {
      if (this.#jobs.size <= MOST_KEPT) return;
      if (over(job)) this.#jobs.delete(job.id);
    }
  }

  #next(): void {
    if (this.#playing || this.#stopped) return;
    const job = [...this.#jobs.values()].find(({ outcome }) => outcome.state === 'waiting');
    if (!job) return;
    job.outcome = { state: 'playing', played: 0, of: null };
    const worker = new Worker(this.#worker, {
      workerData: job.task,
      resourceLimits: { maxOldGenerationSizeMb: HEAP_MB },
    });
    const timer = setTimeout(
      () =>
        void end(
          failed(
            `It had not ended after ${this.#limitMs / 1000} s.`,
            'Shorten `for` of the rehearsals, or play them one by one with the command line.',
          ),
        ),
      this.#limitMs,
    );
    const end = (outcome: Outcome): Promise<unknown> => {
      clearTimeout(timer);
      worker.removeAllListeners();
      // A thread that ends by force may still complain.
      worker.on('error', () => undefined);
      if (!over(job)) job.outcome = outcome;
      const gone = worker.terminate();
      if (this.#playing?.job === job) this.#playing = null;
      this.#next();
      return gone;
    };
    this.#playing = { job, end };
    worker.on('message', (news: RehearsalNews) => {
      if (news.tells === 'playing') job.outcome = { state: 'playing', played: news.played, of: news.of };
      else {
        const { tells, ...rest } = news;
        void end({ state: tells, ...rest } as Outcome);
      }
    });
    worker.on('error', (error: Error & { code?: string }) => {
      const full = error.code === 'ERR_WORKER_OUT_OF_MEMORY';
      if (!full) console.error(`Rehearsing ${job.task.file} failed:`, error);
      void end(
        full
          ? failed('It needed more memory than one scenario may.', 'Shorten `for` of the rehearsals.')
          : failed('Something failed while it was played.', 'Look at the server’s own window, or `check` the file.'),
      );
    });
    worker.on('exit', () => void end(failed('It ended without an answer.', 'Rehearse it again.')));
  }
}
