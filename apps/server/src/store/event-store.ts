/**
 * The append-only log. Appends gather for a few milliseconds and go to disk in one transaction; a promise resolves only
 * when its event is there. If the disk fails, everything waiting for the same run is refused together, since later
 * events were numbered after the lost ones.
 */
import type { RunEvent } from '@breathline/engine';
import type { Database } from './database.ts';
import { giveTexts, takeTexts } from './free-text.ts';

const WINDOW_MS = 3;

export interface StoredEvent {
  readonly event: RunEvent;
  readonly requestHash: string | null;
  readonly warnings: readonly { readonly code: string; readonly message: string }[];
}

interface Waiting {
  readonly runId: string;
  readonly stored: StoredEvent;
  readonly resolve: () => void;
  readonly reject: (error: unknown) => void;
}

const BASE_FIELDS = [
  'seq',
  'take',
  'appliedAtMs',
  'occurredAtMs',
  'wallTime',
  'by',
  'clientId',
  'clientNumber',
] as const;

/** Rows for an event: the log line and the words beside it. */
export const eventRows = (runId: string, { event, requestHash, warnings }: StoredEvent) => {
  const rest: Record<string, unknown> = { ...event };
  for (const field of BASE_FIELDS) delete rest[field];
  const { body, texts } = takeTexts(rest as unknown as RunEvent);
  return {
    row: {
      runId,
      seq: event.seq,
      take: event.take,
      appliedAtMs: event.appliedAtMs,
      occurredAtMs: event.occurredAtMs,
      wallTime: event.wallTime,
      byRole: event.by.role,
      bySeat: event.by.seat ?? null,
      kind: event.kind,
      body: JSON.stringify(body),
      clientId: event.clientId ?? null,
      clientNumber: event.clientNumber === undefined ? null : BigInt(event.clientNumber),
      requestHash,
      warnings: JSON.stringify(warnings),
    },
    texts: texts.map((text) => ({ runId, seq: event.seq, ...text })),
  };
};

export class EventStore {
  readonly #db: Database;
  #waiting: Waiting[] = [];
  #timer: NodeJS.Timeout | null = null;
  #flushing = false;

  constructor(db: Database) {
    this.#db = db;
  }

  /** Resolves when the event is on disk. */
  append(runId: string, stored: StoredEvent): Promise<void> {
    return new Promise((resolve, reject) => {
      this.#waiting.push({ runId, stored, resolve, reject });
      this.#schedule();
    });
  }

  #schedule(): void {
    if (this.#timer !== null || this.#flushing || this.#waiting.length === 0) return;
    this.#timer = setTimeout(() => {
      this.#timer = null;
      void this.#flush();
    }, WINDOW_MS);
  }

  async #flush(): Promise<void> {
    const batch = this.#waiting;
    this.#waiting = [];
    this.#flushing = true;
    try {
      await this.#save(batch);
      for (const { resolve } of batch) resolve();
    } catch (error) {
      await this.#saveApart(batch, error);
    } finally {
      this.#flushing = false;
      this.#schedule();
    }
  }

  async #save(batch: readonly Waiting[]): Promise<void> {
    const rows = batch.map(({ runId, stored }) => eventRows(runId, stored));
    await this.#db.write((prisma) =>
      prisma.$transaction([
        prisma.event.createMany({ data: rows.map(({ row }) => row) }),
        prisma.eventText.createMany({ data: rows.flatMap(({ texts }) => texts) }),
      ]),
    );
  }

  /** A batch failed whole: one by one, so that a line the disk will not take disturbs no other run and nothing before it. */
  async #saveApart(batch: readonly Waiting[], first: unknown): Promise<void> {
    const lost = new Map<string, unknown>();
    for (const one of batch) {
      if (lost.has(one.runId)) {
        one.reject(lost.get(one.runId));
        continue;
      }
      try {
        if (batch.length === 1) throw first;
        await this.#save([one]);
        one.resolve();
      } catch (error) {
        // What is numbered after a lost line goes with it, also what came in meanwhile.
        lost.set(one.runId, error);
        one.reject(error);
      }
    }
    const after = this.#waiting.filter(({ runId }) => lost.has(runId));
    this.#waiting = this.#waiting.filter(({ runId }) => !lost.has(runId));
    for (const { runId, reject } of after) reject(lost.get(runId));
  }

  /** The whole log of a run, in order, with the words people typed. */
  async load(runId: string): Promise<StoredEvent[]> {
    const [rows, texts] = await Promise.all([
      this.#db.read.event.findMany({ where: { runId }, orderBy: { seq: 'asc' } }),
      this.#db.read.eventText.findMany({ where: { runId } }),
    ]);
    const bySeq = groupBySeq(texts);
    return rows.map((row) => ({
      event: {
        ...giveTexts(JSON.parse(row.body) as Record<string, unknown>, bySeq.get(row.seq) ?? []),
        seq: row.seq,
        take: row.take,
        appliedAtMs: row.appliedAtMs,
        occurredAtMs: row.occurredAtMs,
        wallTime: row.wallTime,
        by: { role: row.byRole as RunEvent['by']['role'], ...(row.bySeat === null ? {} : { seat: row.bySeat }) },
        ...(row.clientId === null ? {} : { clientId: row.clientId }),
        ...(row.clientNumber === null ? {} : { clientNumber: Number(row.clientNumber) }),
      },
      requestHash: row.requestHash,
      warnings: JSON.parse(row.warnings) as StoredEvent['warnings'],
    }));
  }
}

const groupBySeq = <T extends { seq: number }>(rows: readonly T[]): Map<number, T[]> => {
  const groups = new Map<number, T[]>();
  for (const row of rows) groups.set(row.seq, [...(groups.get(row.seq) ?? []), row]);
  return groups;
};
