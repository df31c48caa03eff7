/** System problems: found in drills or told by hand, given an owner and a date, mended, tried again. */
import { randomUUID } from 'node:crypto';
import { CSV_CAUTION, csv } from '@breathline/debrief';
import { withdrawnEvents } from '@breathline/engine';
import type { ProblemEntry } from '@breathline/protocol';
import { Refusal } from '../refusal.ts';
import type { PersonStore } from '../store/person-store.ts';
import type { ProblemFilter, ProblemStore } from '../store/problem-store.ts';
import { requireFaculty, type Caller } from './access.ts';
import { withoutNames } from './names.ts';
import type { LiveRun } from './live-run.ts';
import type { RunRegistry } from './run-registry.ts';

export type NewProblem = Pick<ProblemEntry, 'category' | 'words'> &
  Partial<Pick<ProblemEntry, 'ward' | 'risk' | 'ownerRole' | 'dueOn' | 'fixedOn' | 'retestedOn'>>;
export type ProblemChange = Partial<NewProblem & Pick<ProblemEntry, 'status'>>;

/** Kinds after which a run's problems may be others. */
const MOVES_PROBLEMS: ReadonlySet<string> = new Set(['system-problem', 'event-withdrawn', 'wound-back']);

export class ProblemService {
  readonly #store: ProblemStore;
  readonly #people: PersonStore;
  readonly #registry: RunRegistry;
  #working: Promise<void> = Promise.resolve();

  constructor(parts: { readonly store: ProblemStore; readonly people: PersonStore; readonly registry: RunRegistry }) {
    this.#store = parts.store;
    this.#people = parts.people;
    this.#registry = parts.registry;
  }

  start(): void {
    this.#registry.onApplied((run, { kind }) => {
      if (MOVES_PROBLEMS.has(kind)) this.follow(run);
    });
  }

  /** Reads the run's problems into the register. A fault is written down and tried again with the next line. */
  follow(run: LiveRun): void {
    this.#working = this.#working
      .then(() => this.#read(run))
      .catch((error: unknown) => console.error(`The problems of run ${run.runId} could not be kept:`, error));
  }

  /** The same for a run by its id: one that came in from a file, or whose ward was named. */
  async followId(runId: string): Promise<void> {
    const { run } = await this.#registry.get(runId);
    await this.#store.place(runId, run.head.ward);
    this.follow(run);
    await this.#working;
  }

  async settle(): Promise<void> {
    await this.#working;
  }

  async #read(run: LiveRun): Promise<void> {
    const undone = withdrawnEvents(run.log, run.head.scoredTake);
    const found = run.log.flatMap((event) =>
      event.kind === 'system-problem' && !undone.has(event.seq)
        ? [
            {
              seq: event.seq,
              category: event.category,
              words: event.text ?? '',
              // A picture comes with the machine that took it, not with an imported log.
              photo: event.photo !== undefined && run.photos.has(event.photo) ? event.photo : null,
              foundAt: new Date(event.wallTime),
            },
          ]
        : [],
    );
    await this.#store.sync(run.runId, run.head.ward, found, randomUUID);
  }

  async list(caller: Caller, filter: ProblemFilter): Promise<ProblemEntry[]> {
    requireFaculty(caller);
    await this.#working;
    return this.#store.list(filter);
  }

  async add(caller: Caller, wish: NewProblem): Promise<ProblemEntry> {
    requireFaculty(caller);
    const entry: ProblemEntry = {
      id: randomUUID(),
      runId: null,
      ward: wish.ward ?? null,
      category: wish.category,
      words: wish.words,
      photo: null,
      risk: wish.risk ?? null,
      ownerRole: wish.ownerRole ?? '',
      dueOn: day(wish.dueOn, 'dueOn'),
      fixedOn: day(wish.fixedOn, 'fixedOn'),
      retestedOn: day(wish.retestedOn, 'retestedOn'),
      status: statusOf(wish.fixedOn ?? null, wish.retestedOn ?? null),
      foundAt: new Date().toISOString(),
    };
    inOrder(entry);
    await this.#store.add(entry);
    return entry;
  }

  /** Dates and status follow each other: a day of mending makes it fixed, a day of trying again makes it retested. */
  async change(caller: Caller, id: string, change: ProblemChange): Promise<ProblemEntry> {
    requireFaculty(caller);
    await this.#working;
    const before = await this.#store.one(id);
    if (!before) throw new Refusal('not-found', 'The register has no such problem.');
    const today = new Date().toISOString().slice(0, 10);
    let next = { ...before, ...change };
    if (change.status === undefined) {
      if (before.status !== 'not-a-problem' && (change.fixedOn !== undefined || change.retestedOn !== undefined)) {
        next = { ...next, status: statusOf(next.fixedOn, next.retestedOn) };
      }
    } else if (change.status === 'open') next = { ...next, fixedOn: null, retestedOn: null };
    else if (change.status === 'fixed') next = { ...next, fixedOn: next.fixedOn ?? today, retestedOn: null };
    else if (change.status === 'retested') {
      next = { ...next, fixedOn: next.fixedOn ?? today, retestedOn: next.retestedOn ?? today };
    }
    for (const field of ['dueOn', 'fixedOn', 'retestedOn'] as const) day(next[field], field);
    inOrder(next);
    const { id: _id, runId: _runId, foundAt: _foundAt, ...data } = next;
    return this.#store.change(id, data);
  }

  /** Without names: whoever is known by name stands there by pseudonym. Other names somebody typed can not be known. */
  async csv(caller: Caller, filter: ProblemFilter): Promise<string> {
    const problems = await this.list(caller, filter);
    const people = await this.#people.all();
    const clean = (text: string) => withoutNames(text, people);
    return csv(
      ['ward', 'category', 'words', 'risk', 'owner role', 'found', 'due', 'fixed', 'retested', 'status', 'caution'],
      problems.map((one) => [
        one.ward,
        one.category,
        clean(one.words),
        one.risk,
        clean(one.ownerRole),
        one.foundAt.slice(0, 10),
        one.dueOn,
        one.fixedOn,
        one.retestedOn,
        one.status,
        CSV_CAUTION,
      ]),
    );
  }
}

const statusOf = (fixedOn: string | null, retestedOn: string | null): ProblemEntry['status'] =>
  retestedOn !== null ? 'retested' : fixedOn !== null ? 'fixed' : 'open';

/** A day the calendar has. */
const day = (text: string | null | undefined, field: string): string | null => {
  if (text === null || text === undefined) return null;
  const at = new Date(`${text}T00:00:00Z`);
  if (Number.isNaN(at.getTime()) || at.toISOString().slice(0, 10) !== text) {
    throw new Refusal('bad-shape', `${field} is "${text}": the calendar has no such day.`);
  }
  return text;
};

const inOrder = ({ fixedOn, retestedOn }: Pick<ProblemEntry, 'fixedOn' | 'retestedOn'>): void => {
  if (retestedOn === null) return;
  if (fixedOn === null) throw new Refusal('bad-shape', 'retestedOn needs fixedOn: say when it was mended first.');
  if (retestedOn < fixedOn)
    throw new Refusal('bad-shape', `retestedOn (${retestedOn}) is before fixedOn (${fixedOn}).`);
};
