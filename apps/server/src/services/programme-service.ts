/**
 * Runs over time. A run is summed up when it ends, and again when its log or what is said about it changes; the page reads
 * the sums and never scores anything.
 */
import {
  DebriefError,
  behaviourRatings,
  csv,
  programmePage,
  runSummary,
  scoreRun,
  type GroupBy,
  type ProgrammePage,
  type ReportOptions,
  type RuleSet,
  type RunSummary,
  type StoredSummary,
} from '@breathline/debrief';
import { isRehearsal } from '@breathline/engine';
import { Refusal } from '../refusal.ts';
import type { PersonStore } from '../store/person-store.ts';
import type { ProgrammeStore } from '../store/programme-store.ts';
import { requireFaculty, type Caller } from './access.ts';
import { wordsFor } from './objective-words.ts';
import { programmeRows } from './programme-rows.ts';
import type { RunRegistry } from './run-registry.ts';
import type { RunService } from './run-service.ts';

/** What a page is asked for; dates are ISO days, inclusive. */
export interface ProgrammeAsked {
  readonly groupBy?: GroupBy;
  readonly rules?: RuleSet;
  readonly ward?: string;
  readonly team?: string;
  readonly scenario?: string;
  readonly condition?: string;
  readonly from?: string;
  readonly to?: string;
}

/** Answers to "not seen" come in quick succession; one sum after the last of them is enough. */
const SETTLE_MS = 400;
/** Between two runs summed up in the background. */
const BREATH_MS = 100;
/** While a drill runs, old runs wait: scoring takes the processor for a moment. */
const BUSY_MS = 5_000;

/** Pages kept ready; what is asked for again and again is a handful. */
const KEPT_PAGES = 24;

const SERVER: Caller = { role: 'faculty' };

export class ProgrammeService {
  readonly #store: ProgrammeStore;
  readonly #people: PersonStore;
  readonly #runs: RunService;
  readonly #registry: RunRegistry;
  readonly #waiting = new Map<string, NodeJS.Timeout>();
  #working: Promise<void> = Promise.resolve();
  #backfill: NodeJS.Timeout | null = null;
  #stopped = false;
  /** Runs that ended before and are not summed up yet. */
  #behind: string[] = [];
  /** Of what is stored now; nothing of a run or a person that went stays in them. */
  #pages = { version: -1, byAsked: new Map<string, Promise<ProgrammePage>>() };

  constructor(parts: {
    readonly store: ProgrammeStore;
    readonly people: PersonStore;
    readonly runs: RunService;
    readonly registry: RunRegistry;
  }) {
    this.#store = parts.store;
    this.#people = parts.people;
    this.#runs = parts.runs;
    this.#registry = parts.registry;
  }

  /** Listens to runs, and sums up in the background what ended before. */
  async start(): Promise<void> {
    this.#registry.onApplied((run, { kind }) => {
      if (run.phase === 'ended' || kind === 'wound-back') this.touch(run.runId);
    });
    this.#behind = [...(await this.#store.behind())];
    this.#next(this.#behind);
    this.#ready();
  }

  /** The page as it is opened, made once before anybody asks; not while a drill runs. */
  #ready(): void {
    if (this.#registry.entries.some(({ run }) => run.phase === 'running')) return;
    setImmediate(() => {
      void this.page(SERVER, {}).catch((error: unknown) => console.error('The programme is not ready:', error));
    });
  }

  /** One run at a time, none while a drill runs. */
  #next(behind: string[]): void {
    if (this.#stopped || behind.length === 0) return;
    const busy = this.#registry.entries.some(({ run }) => run.phase === 'running');
    this.#backfill = setTimeout(
      () => {
        const runId = busy ? undefined : behind.shift();
        const done = runId === undefined ? Promise.resolve() : this.#queue(runId);
        void done.then(() => this.#next(behind));
      },
      busy ? BUSY_MS : BREATH_MS,
    );
    this.#backfill.unref();
  }

  /** Something about an ended run changed: it is summed up again in a moment. */
  touch(runId: string): void {
    if (this.#stopped) return;
    clearTimeout(this.#waiting.get(runId));
    const timer = setTimeout(() => {
      this.#waiting.delete(runId);
      void this.#queue(runId);
    }, SETTLE_MS);
    this.#waiting.set(runId, timer);
  }

  /** Sums up what waits, for a page that is asked for now and for the end of the server. */
  async settle(): Promise<void> {
    for (const [runId, timer] of this.#waiting) {
      clearTimeout(timer);
      void this.#queue(runId);
    }
    this.#waiting.clear();
    await this.#working;
  }

  async stop(): Promise<void> {
    if (this.#backfill) clearTimeout(this.#backfill);
    await this.settle();
    this.#stopped = true;
  }

  /** Waits for a run that is about to be deleted to be let go of. */
  async drop(runId: string): Promise<void> {
    clearTimeout(this.#waiting.get(runId));
    this.#waiting.delete(runId);
    await this.#working;
    await this.#store.remove(runId);
  }

  /** What is kept of the runs of one pseudonym. */
  async summariesOf(team: string): Promise<RunSummary[]> {
    await this.settle();
    return (await this.#store.all()).flatMap(({ summary }) => (summary.team === team ? [summary] : []));
  }

  /** A run's figures stay; whose they were goes. */
  async forgetTeam(runId: string): Promise<void> {
    await this.settle();
    await this.#store.forgetTeam(runId);
  }

  #queue(runId: string): Promise<void> {
    this.#working = this.#working.then(async () => {
      try {
        await this.#sumUp(runId);
      } catch (error) {
        // The next start tries again; one run must not keep the others from being summed up.
        if (!(error instanceof Refusal)) console.error(`Run ${runId} could not be summed up:`, error);
      }
    });
    return this.#working;
  }

  async #sumUp(runId: string): Promise<void> {
    const { run } = await this.#registry.get(runId);
    if (run.phase !== 'ended') {
      await this.#store.remove(runId);
      return;
    }
    const whole = await this.#runs.export(SERVER, runId);
    const { ward, team, scored } = run.head;
    let stored: StoredSummary | null = null;
    try {
      // A scenario's own rehearsal is no team's drill, and has no date to stand at.
      if (!isRehearsal(whole.events)) {
        const summary = runSummary(whole, scoreRun(whole), { ward, team, scored });
        stored = { summary, ratings: behaviourRatings(whole) };
      }
    } catch (error) {
      if (!(error instanceof DebriefError)) throw error;
    }
    await this.#store.put({ runId, take: whole.scoredTake, logSeq: whole.events.length, stored });
  }

  /** The page, from stored sums alone. */
  async page(caller: Caller, asked: ProgrammeAsked): Promise<ProgrammePage> {
    requireFaculty(caller);
    await this.settle();
    // Whoever stands in the table of people without having agreed is looked at among others only.
    const people = await this.#people.all();
    const notAlone = new Set(people.flatMap(({ pseudonym, consent }) => (consent ? [] : [pseudonym])));
    const options = { ...optionsOf(asked), notAlone };
    const all = await this.#store.all();
    const { now, ...rest } = options;
    if (this.#pages.version !== this.#store.version) this.#pages = { version: this.#store.version, byAsked: new Map() };
    const { byAsked } = this.#pages;
    const key = JSON.stringify([now.slice(0, 10), rest, [...notAlone].sort(), this.#behind.length]);
    const ready = byAsked.get(key);
    if (ready) return ready;
    // Kept from when it is begun: whoever asks while the page of the start is being made waits for that one.
    const making = wordsFor(this.#store, all).then((words) =>
      programmePage(all, { ...options, waiting: this.#behind.length, ...words }),
    );
    if (byAsked.size >= KEPT_PAGES) byAsked.clear();
    byAsked.set(key, making);
    void making.catch(() => byAsked.delete(key));
    return making;
  }

  /** What the page shows, as a table. */
  async csv(caller: Caller, asked: ProgrammeAsked): Promise<string> {
    requireFaculty(caller);
    return csv(
      ['part', 'name', 'value', 'low 95 %', 'high 95 %', 'of', 'caution'],
      programmeRows(await this.page(caller, asked)),
    );
  }
}

const optionsOf = ({ groupBy, rules, scenario, ward, team, condition, from, to }: ProgrammeAsked): ReportOptions => ({
  now: new Date().toISOString(),
  groupBy: groupBy ?? 'none',
  ruleSet: rules ?? 'run-chart',
  filter: {
    ...(ward === undefined ? {} : { ward }),
    ...(team === undefined ? {} : { team }),
    ...(scenario === undefined ? {} : { scenarioId: scenario }),
    ...(condition === undefined ? {} : { condition }),
    ...(from === undefined ? {} : { from }),
    ...(to === undefined ? {} : { to }),
  },
});
