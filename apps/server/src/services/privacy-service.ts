/**
 * Who may be known, and for how long. Names stand in a table of their own; words and pictures of a run can go; logs, their
 * hashes and scores stay as they are.
 */
import type { RunSummary } from '@breathline/debrief';
import type { PersonEntry, ProblemEntry, RetentionSettings, SweepNote } from '@breathline/protocol';
import { RetentionSchema, check } from '@breathline/protocol';
import { Refusal } from '../refusal.ts';
import type { PersonStore } from '../store/person-store.ts';
import type { PhotoStore } from '../store/photo-store.ts';
import type { ProblemStore } from '../store/problem-store.ts';
import type { RunStore } from '../store/run-store.ts';
import type { SessionStore } from '../store/session-store.ts';
import { requireFaculty, type Caller } from './access.ts';
import { speaksOf } from './names.ts';
import type { ProgrammeService } from './programme-service.ts';
import type { RunRegistry } from './run-registry.ts';

const KEY = 'retention';
const LOG_KEY = 'retention-log';
const KEPT_NOTES = 60;
const DAY_MS = 86_400_000;
/** After the start, so that a restart in the middle of a drill has its screens back first. */
const FIRST_SWEEP_MS = 60_000;

const SERVER: Caller = { role: 'faculty' };

/** Everything kept about one person. */
export interface PersonFile {
  readonly format: 'breathline-person';
  readonly person: PersonEntry;
  /** Runs whose team has this pseudonym. */
  readonly runs: Awaited<ReturnType<PersonStore['runsOfTeam']>>;
  /** What was measured in those runs. */
  readonly summaries: readonly RunSummary[];
  /** Words in logs that speak of them, by name or pseudonym. */
  readonly words: Awaited<ReturnType<PersonStore['words']>>;
  /** System problems told by hand whose words speak of them. */
  readonly problems: readonly Pick<ProblemEntry, 'id' | 'words' | 'ownerRole' | 'foundAt'>[];
  readonly note: string;
}

const FILE_NOTE =
  'Scores are kept by run and pseudonym. Words are found by the name and the pseudonym; a nickname or a slip of spelling is not. Pictures show what was photographed and are not searched. Recordings of the room are never sent here; files somebody took away are out of reach.';

export class PrivacyService {
  readonly #people: PersonStore;
  readonly #photos: PhotoStore;
  readonly #problems: ProblemStore;
  readonly #runs: RunStore;
  readonly #settings: SessionStore;
  readonly #registry: RunRegistry;
  readonly #programme: ProgrammeService;
  readonly #erased: () => Promise<void>;
  #timers: NodeJS.Timeout[] = [];

  constructor(parts: {
    readonly people: PersonStore;
    readonly photos: PhotoStore;
    readonly problems: ProblemStore;
    readonly runs: RunStore;
    readonly settings: SessionStore;
    readonly registry: RunRegistry;
    readonly programme: ProgrammeService;
    /** Told of every erasure: copies made before must go as well. */
    readonly erased: () => Promise<void>;
  }) {
    this.#people = parts.people;
    this.#photos = parts.photos;
    this.#problems = parts.problems;
    this.#runs = parts.runs;
    this.#settings = parts.settings;
    this.#registry = parts.registry;
    this.#programme = parts.programme;
    this.#erased = parts.erased;
  }

  start(): void {
    const sweep = () =>
      void this.sweep(SERVER).catch((error: unknown) => console.error('The daily sweep failed:', error));
    this.#timers = [setTimeout(sweep, FIRST_SWEEP_MS), setInterval(sweep, DAY_MS)];
    for (const timer of this.#timers) timer.unref();
  }

  stop(): void {
    for (const timer of this.#timers) clearTimeout(timer);
  }

  // ------------------------------------------------------------ people

  async people(caller: Caller): Promise<PersonEntry[]> {
    requireFaculty(caller);
    return this.#people.all();
  }

  async putPerson(
    caller: Caller,
    pseudonym: string,
    wish: { readonly name?: string; readonly consent?: boolean },
    isNew: boolean,
  ): Promise<PersonEntry> {
    requireFaculty(caller);
    const before = await this.#people.one(pseudonym);
    if (isNew && before) throw new Refusal('bad-shape', `"${pseudonym}" is in use: choose another pseudonym.`);
    if (!isNew && !before) throw new Refusal('not-found', 'Nobody has that pseudonym.');
    if (wish.name !== undefined && wish.name.trim().toLowerCase() === pseudonym.toLowerCase()) {
      throw new Refusal('bad-shape', 'The pseudonym is the name: choose one that tells nothing.');
    }
    await this.#people.put(pseudonym, wish);
    if (before && wish.name !== undefined && wish.name !== before.name) await this.#erased();
    return (await this.#people.one(pseudonym))!;
  }

  async personFile(caller: Caller, pseudonym: string): Promise<PersonFile> {
    requireFaculty(caller);
    const person = await this.#people.one(pseudonym);
    if (!person) throw new Refusal('not-found', 'Nobody has that pseudonym.');
    const words = (await this.#people.words()).filter(({ text }) => speaksOf(text, person));
    const problems = (await this.#problems.told()).filter(
      ({ words: text, ownerRole }) => speaksOf(text, person) || speaksOf(ownerRole, person),
    );
    return {
      format: 'breathline-person',
      person,
      runs: await this.#people.runsOfTeam(pseudonym),
      summaries: await this.#programme.summariesOf(pseudonym),
      words,
      problems: problems.map(({ id, words: text, ownerRole, foundAt }) => ({ id, words: text, ownerRole, foundAt })),
      note: FILE_NOTE,
    };
  }

  /**
   * Takes one person away: the name, every word that speaks of them, and the pseudonym from the runs that had it. What was
   * measured stays, and is nobody's.
   */
  async removePerson(caller: Caller, pseudonym: string): Promise<{ readonly texts: number; readonly runs: number }> {
    requireFaculty(caller);
    const { words, problems } = await this.personFile(caller, pseudonym);
    const byRun = new Map<string, number[]>();
    for (const { runId, seq } of words) byRun.set(runId, [...(byRun.get(runId) ?? []), seq]);
    // Words first: without the name they could not be found again.
    for (const runId of byRun.keys()) await this.#mustRest(runId);
    let texts = 0;
    for (const [runId, seqs] of byRun) texts += await this.#erase(runId, seqs);
    for (const { id } of problems) await this.#problems.eraseTold(id);
    await this.#unlink(pseudonym);
    await this.#people.remove(pseudonym);
    await this.#erased();
    return { texts: texts + problems.length, runs: byRun.size };
  }

  /** Runs no longer say whose they were. Says how many. */
  async #unlink(pseudonym: string, before?: Date): Promise<number> {
    const ids = await this.#people.runIdsOf(pseudonym, before);
    for (const runId of ids) {
      const head = await this.#runs.head(runId);
      if (head === null) continue;
      const about = { ward: head.ward, team: null, scored: head.scored };
      await this.#runs.setAbout(runId, about);
      this.#registry.entries.find(({ run }) => run.runId === runId)?.run.setAbout(about);
      await this.#programme.forgetTeam(runId);
    }
    return ids.length;
  }

  // ------------------------------------------------------------ words and runs

  /** Words of some lines, or of all. The log's own lines, with their hashes, stay. */
  async eraseTexts(caller: Caller, runId: string, seqs?: readonly number[]): Promise<{ readonly texts: number }> {
    requireFaculty(caller);
    await this.#mustExist(runId);
    await this.#mustRest(runId);
    const texts = await this.#erase(runId, seqs);
    await this.#erased();
    return { texts };
  }

  /** A run with all that hangs on it. Its system problems stay in the register, without the picture. */
  async deleteRun(caller: Caller, runId: string): Promise<void> {
    requireFaculty(caller);
    await this.#mustExist(runId);
    await this.#mustRest(runId);
    await this.#programme.drop(runId);
    await this.#mustRest(runId);
    await this.#problems.forgetPhotos(runId);
    await this.#photos.removeAll(runId);
    await this.#runs.remove(runId);
    await this.#erased();
  }

  async #mustExist(runId: string): Promise<void> {
    if ((await this.#runs.head(runId)) === null) throw new Refusal('no-such-run');
  }

  /** Out of memory, so that nothing keeps the words alive or writes the run again. */
  async #mustRest(runId: string): Promise<void> {
    if (await this.#registry.forget(runId)) return;
    throw new Refusal('wrong-phase', 'The run is going on, or a screen shows it.', {
      hint: 'End it and close its console, monitors and phones first.',
    });
  }

  async #erase(runId: string, seqs?: readonly number[]): Promise<number> {
    const texts = await this.#people.eraseWords(runId, seqs);
    await this.#problems.eraseWords(runId, seqs);
    return texts;
  }

  // ------------------------------------------------------------ retention

  async retention(caller: Caller): Promise<RetentionSettings & { readonly sweeps: readonly SweepNote[] }> {
    requireFaculty(caller);
    return { ...(await this.#retention()), sweeps: await this.#notes() };
  }

  async setRetention(caller: Caller, settings: RetentionSettings): Promise<RetentionSettings> {
    requireFaculty(caller);
    await this.#settings.setSetting(KEY, JSON.stringify(settings));
    return settings;
  }

  /** What is older than the site keeps goes now. Runs with a screen open wait for the next sweep. */
  async sweep(caller: Caller, now: Date = new Date()): Promise<SweepNote | null> {
    requireFaculty(caller);
    const { wordsDays, peopleDays = null, photosDays = wordsDays } = await this.#retention();
    if (wordsDays === null && peopleDays === null && photosDays === null) return null;
    const before = (days: number) => new Date(now.getTime() - days * DAY_MS);
    // People first: their words are found by their name.
    const people = peopleDays === null ? {} : await this.#sweepPeople(before(peopleDays));
    let [texts, photos] = [0, 0];
    const runs = new Set<string>();
    for (const runId of wordsDays === null ? [] : await this.#people.oldRunsWithWords(before(wordsDays))) {
      if (!(await this.#registry.forget(runId))) continue;
      texts += await this.#people.eraseWords(runId);
      await this.#problems.eraseClosedWords(runId);
      runs.add(runId);
    }
    for (const runId of photosDays === null ? [] : await this.#photos.oldRuns(before(photosDays))) {
      // Out of memory too: the log of an open run would bring the picture back to the register.
      if (!(await this.#registry.forget(runId))) continue;
      await this.#problems.forgetPhotos(runId);
      photos += await this.#photos.removeAll(runId);
      runs.add(runId);
    }
    const note: SweepNote = { at: now.toISOString(), runs: runs.size, texts, photos, ...people };
    await this.#settings.setSetting(LOG_KEY, JSON.stringify([note, ...(await this.#notes())].slice(0, KEPT_NOTES)));
    const { people: gone = 0, unlinked = 0 } = people as { people?: number; unlinked?: number };
    if (runs.size + gone + unlinked > 0) await this.#erased();
    if (runs.size > 0) console.log(`Kept no longer: ${texts} texts and ${photos} pictures of ${runs.size} runs.`);
    return note;
  }

  /** Whoever had no run since then goes; of the others, only what is older no longer says whose it was. */
  async #sweepPeople(before: Date): Promise<{ readonly people: number; readonly unlinked: number }> {
    let [people, unlinked] = [0, 0];
    for (const person of await this.#people.all()) {
      unlinked += (await this.#people.runIdsOf(person.pseudonym, before)).length;
      if ((await this.#people.lastSeen(person)) >= before) {
        await this.#unlink(person.pseudonym, before);
        continue;
      }
      try {
        await this.removePerson(SERVER, person.pseudonym);
        people += 1;
      } catch (error) {
        // A screen shows a run that speaks of them: the next sweep takes them.
        if (!(error instanceof Refusal)) throw error;
      }
    }
    return { people, unlinked };
  }

  async #retention(): Promise<RetentionSettings> {
    const stored = await this.#settings.setting(KEY);
    if (stored === null) return { wordsDays: null };
    try {
      const checked = check(RetentionSchema, JSON.parse(stored));
      if (checked.ok) return checked.value;
    } catch {
      // Told below.
    }
    console.error('How long words are kept can not be read; nothing is taken away.');
    return { wordsDays: null };
  }

  async #notes(): Promise<SweepNote[]> {
    try {
      const notes = JSON.parse((await this.#settings.setting(LOG_KEY)) ?? '[]') as unknown;
      return Array.isArray(notes) ? (notes as SweepNote[]) : [];
    } catch {
      return [];
    }
  }
}
