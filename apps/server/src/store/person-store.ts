/** Names beside pseudonyms, and words beside the log: what may be taken away while logs and scores stay as they are. */
import type { PersonEntry } from '@breathline/protocol';
import type { Database } from './database.ts';

/** Words of one line of a run. */
export interface StoredWords {
  readonly runId: string;
  readonly seq: number;
  readonly field: string;
  readonly text: string;
}

export class PersonStore {
  readonly #db: Database;

  constructor(db: Database) {
    this.#db = db;
  }

  async all(): Promise<PersonEntry[]> {
    const rows = await this.#db.read.person.findMany({ orderBy: { pseudonym: 'asc' } });
    return rows.map(({ createdAt, ...rest }) => ({ ...rest, createdAt: createdAt.toISOString() }));
  }

  async one(pseudonym: string): Promise<PersonEntry | null> {
    return (await this.all()).find((person) => person.pseudonym === pseudonym) ?? null;
  }

  async put(pseudonym: string, wish: { readonly name?: string; readonly consent?: boolean }): Promise<void> {
    await this.#db.write((prisma) =>
      prisma.person.upsert({ where: { pseudonym }, create: { pseudonym, ...wish }, update: wish }),
    );
  }

  async remove(pseudonym: string): Promise<void> {
    await this.#db.write((prisma) => prisma.person.deleteMany({ where: { pseudonym } }));
  }

  /** Every kept word of every run, or of one. */
  async words(runId?: string): Promise<StoredWords[]> {
    return this.#db.read.eventText.findMany({
      where: runId === undefined ? {} : { runId },
      select: { runId: true, seq: true, field: true, text: true },
    });
  }

  /** Takes words of a run away, of some lines or of all; says how many fields went. The log is not touched. */
  async eraseWords(runId: string, seqs?: readonly number[]): Promise<number> {
    const { count } = await this.#db.write((prisma) =>
      prisma.eventText.deleteMany({
        where: { runId, ...(seqs === undefined ? {} : { seq: { in: [...seqs] } }) },
      }),
    );
    return count;
  }

  /** Runs of a team, by its pseudonym. */
  async runsOfTeam(
    team: string,
  ): Promise<{ runId: string; createdAt: string; scenarioTitle: string; ward: string | null }[]> {
    const rows = await this.#db.read.run.findMany({
      where: { team },
      select: { id: true, createdAt: true, scenarioTitle: true, ward: true },
    });
    return rows.map(({ id, createdAt, ...rest }) => ({ runId: id, createdAt: createdAt.toISOString(), ...rest }));
  }

  /** Runs of a pseudonym, of those begun before a moment or of all, that say whose they are. */
  async runIdsOf(team: string, before?: Date): Promise<string[]> {
    const rows = await this.#db.read.run.findMany({
      where: { team, ...(before === undefined ? {} : { createdAt: { lt: before } }) },
      select: { id: true },
    });
    return rows.map(({ id }) => id);
  }

  /** When somebody last had a run, or came into the table. */
  async lastSeen({ pseudonym, createdAt }: PersonEntry): Promise<Date> {
    const { _max } = await this.#db.read.run.aggregate({ where: { team: pseudonym }, _max: { createdAt: true } });
    const added = new Date(createdAt);
    return _max.createdAt !== null && _max.createdAt > added ? _max.createdAt : added;
  }

  /** Ended runs that ended before a moment and still have words or pictures. */
  async oldRunsWithWords(before: Date): Promise<string[]> {
    const rows = await this.#db.read.run.findMany({
      where: { phase: 'ended', endedAt: { lt: before }, texts: { some: {} } },
      select: { id: true },
    });
    return rows.map(({ id }) => id);
  }
}
