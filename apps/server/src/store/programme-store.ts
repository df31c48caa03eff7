/** Summaries of ended runs: written once each, renewed when the log grows, read all together by the programme page. */
import type { StoredSummary } from '@breathline/debrief';
import type { Database } from './database.ts';

/** Raised when a summary holds something an older one lacks; stored ones below it are made anew. */
export const SUMMARY_VERSION = 1;

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

  constructor(db: Database) {
    this.#db = db;
  }

  async put({ runId, take, logSeq, stored }: SummaryRow): Promise<void> {
    const data = { take, logSeq, version: SUMMARY_VERSION, body: stored === null ? '' : JSON.stringify(stored) };
    await this.#db.write((prisma) =>
      prisma.runSummary.upsert({ where: { runId }, create: { runId, ...data }, update: data }),
    );
    if (stored === null) this.#held?.delete(runId);
    else this.#held?.set(runId, stored);
  }

  async remove(runId: string): Promise<void> {
    await this.#db.write((prisma) => prisma.runSummary.deleteMany({ where: { runId } }));
    this.#held?.delete(runId);
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
    this.#held?.set(runId, stored);
  }

  async logSeq(runId: string): Promise<number | null> {
    const row = await this.#db.read.runSummary.findUnique({ where: { runId }, select: { logSeq: true } });
    return row?.logSeq ?? null;
  }

  async all(): Promise<readonly StoredSummary[]> {
    if (this.#held === null) {
      const rows = await this.#db.read.runSummary.findMany({ where: { NOT: { body: '' } } });
      const held = new Map<string, StoredSummary>();
      for (const { runId, body } of rows) {
        try {
          held.set(runId, JSON.parse(body) as StoredSummary);
        } catch {
          console.error(`The stored summary of run ${runId} can not be read; it is left out.`);
        }
      }
      this.#held = held;
    }
    return [...this.#held.values()];
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
