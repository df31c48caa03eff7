/** Summaries of ended runs: written once each, renewed when the log grows, read all together by the programme page. */
import type { StoredSummary } from '@breathline/debrief';
import type { Database } from './database.ts';

/** What a run's own scenario is called, and its objectives in its own words. */
export interface ScenarioWords {
  readonly title: string;
  readonly objectives: ReadonlyMap<string, string>;
}

/** Raised when a summary holds something an older one lacks; stored ones below it are made anew. */
export const SUMMARY_VERSION = 4;

/** Summaries read at once. */
const PIECE = 1_000;

export interface SummaryRow {
  readonly runId: string;
  readonly take: number;
  /** Last line of the log it knows. */
  readonly logSeq: number;
  /** Null for a run that can not be scored. */
  readonly stored: StoredSummary | null;
}

export class ProgrammeStore {
  readonly #db: Database;
  /** Read once; a page over ten thousand runs would parse as many texts each time. */
  #held: Map<string, StoredSummary> | null = null;
  #loading: Promise<Map<string, StoredSummary>> | null = null;
  /** Counts what changed, so that a page made before can be known as old. */
  #version = 0;
  readonly #words = new Map<string, ScenarioWords>();

  constructor(db: Database) {
    this.#db = db;
  }

  get version(): number {
    return this.#version;
  }

  /** Keeps what is held in memory as the disk has it. */
  async #changed(change: (held: Map<string, StoredSummary>) => void): Promise<void> {
    await this.#loading;
    this.#version += 1;
    if (this.#held !== null) change(this.#held);
  }

  /** By run, of those asked for that there are; read once each, since a run's definition never changes. */
  async words(runIds: readonly string[]): Promise<ReadonlyMap<string, ScenarioWords>> {
    for (const runId of runIds.filter((id) => !this.#words.has(id))) {
      const rows = await this.#db.read.$queryRaw<{ title: string | null; objectives: string | null }[]>`
        SELECT json_extract("definition", '$.scenario.title') AS title,
          json_extract("definition", '$.scenario.objectives') AS objectives
        FROM "Run" WHERE "id" = ${runId} AND json_valid("definition")`;
      const list = JSON.parse(rows[0]?.objectives ?? '[]') as readonly { readonly id: string; readonly says: string }[];
      const objectives = new Map(list.map(({ id, says }) => [id, says]));
      this.#words.set(runId, { title: rows[0]?.title ?? '', objectives });
    }
    return this.#words;
  }

  async put({ runId, take, logSeq, stored }: SummaryRow): Promise<void> {
    const data = { take, logSeq, version: SUMMARY_VERSION, body: stored === null ? '' : JSON.stringify(stored) };
    await this.#db.write((prisma) =>
      prisma.runSummary.upsert({ where: { runId }, create: { runId, ...data }, update: data }),
    );
    await this.#changed((held) => void (stored === null ? held.delete(runId) : held.set(runId, stored)));
  }

  async remove(runId: string): Promise<void> {
    await this.#db.write((prisma) => prisma.runSummary.deleteMany({ where: { runId } }));
    await this.#changed((held) => void held.delete(runId));
  }

  /** A summary no longer says whose run it was; every figure stays. */
  async forgetTeam(runId: string): Promise<void> {
    const row = await this.#db.read.runSummary.findUnique({ where: { runId } });
    if (!row || row.body === '') return;
    const before = JSON.parse(row.body) as StoredSummary;
    const stored: StoredSummary = { ...before, summary: { ...before.summary, team: null } };
    await this.#db.write((prisma) =>
      prisma.runSummary.update({ where: { runId }, data: { body: JSON.stringify(stored) } }),
    );
    await this.#changed((held) => void (held.has(runId) && held.set(runId, stored)));
  }

  async logSeq(runId: string): Promise<number | null> {
    const row = await this.#db.read.runSummary.findUnique({ where: { runId }, select: { logSeq: true } });
    return row?.logSeq ?? null;
  }

  async all(): Promise<readonly StoredSummary[]> {
    if (this.#held === null) {
      this.#loading ??= this.#load();
      this.#held = await this.#loading;
      this.#loading = null;
    }
    return [...this.#held.values()];
  }

  /** Summaries of an older form say something else by the same names: they wait to be made anew. In pieces: thousands of rows at once would keep a drill's clock waiting. */
  async #load(): Promise<Map<string, StoredSummary>> {
    const held = new Map<string, StoredSummary>();
    let after = '';
    for (;;) {
      const rows = await this.#db.read.$queryRaw<{ runId: string; body: string }[]>`
        SELECT "runId", "body" FROM "RunSummary" WHERE "runId" > ${after} AND "body" <> '' AND "version" >= ${SUMMARY_VERSION}
        ORDER BY "runId" LIMIT ${PIECE}`;
      for (const { runId, body } of rows) {
        try {
          held.set(runId, JSON.parse(body) as StoredSummary);
        } catch {
          console.error(`The stored summary of run ${runId} can not be read; it is left out.`);
        }
      }
      const last = rows.at(-1);
      if (last === undefined || rows.length < PIECE) return held;
      after = last.runId;
      await new Promise((resolve) => setImmediate(resolve));
    }
  }

  /** Ended runs without a summary, or whose log or whose summary's form has moved on since; the newest first. */
  async behind(): Promise<readonly string[]> {
    const rows = await this.#db.read.$queryRaw<{ id: string }[]>`
      SELECT r."id" AS id FROM "Run" r LEFT JOIN "RunSummary" s ON s."runId" = r."id"
      WHERE r."phase" = 'ended' AND (s."runId" IS NULL OR s."version" < ${SUMMARY_VERSION}
        OR s."logSeq" < (SELECT COALESCE(MAX(e."seq"), 0) FROM "Event" e WHERE e."runId" = r."id"))
      ORDER BY r."createdAt" DESC`;
    return rows.map(({ id }) => id);
  }
}
