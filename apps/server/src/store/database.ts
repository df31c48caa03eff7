/**
 * Opens the database and makes sure of what "saved" means: write-ahead log with a full sync at every commit, on the very
 * connection that writes. Everything else in the server goes through the store; Prisma is not seen outside this folder.
 */
import { existsSync, readdirSync } from 'node:fs';
import path from 'node:path';
import { PrismaBetterSQLite3 } from '@prisma/adapter-better-sqlite3';
import Sqlite from 'better-sqlite3';
import { PrismaClient } from '../generated/client.ts';

/** The database can not be used safely; the message is for the person at the keyboard. */
export class DatabaseError extends Error {}

export const databaseFile = (dataFolder: string): string => path.join(dataFolder, 'breathline.db');

const FULL = 2;

const pragma = async (prisma: PrismaClient, text: string): Promise<string> => {
  const rows = await prisma.$queryRawUnsafe<Record<string, unknown>[]>(`PRAGMA ${text}`);
  return String(Object.values(rows[0] ?? {})[0] ?? '');
};

/** Migrations in `folder` that `file` does not hold yet; all of them when there is no database. Throws `DatabaseError`. */
export const missingMigrations = (file: string, folder: string): string[] => {
  const wanted = readdirSync(folder, { withFileTypes: true })
    .filter((entry) => entry.isDirectory())
    .map((entry) => entry.name)
    .sort();
  if (!existsSync(file)) return wanted;
  const db = new Sqlite(file, { readonly: true });
  try {
    const rows = db
      .prepare('SELECT migration_name FROM _prisma_migrations WHERE finished_at IS NOT NULL AND rolled_back_at IS NULL')
      .all() as { migration_name: string }[];
    const held = new Set(rows.map((row) => row.migration_name));
    return wanted.filter((name) => !held.has(name));
  } catch (error) {
    // A new database has no such table yet; anything else must not be touched.
    if (error instanceof Error && error.message.startsWith('no such table')) return wanted;
    throw new DatabaseError(
      `${file} can not be read (${error instanceof Error ? error.message : String(error)}). ` +
        'Move it somewhere safe and start again for an empty one, or put a backup in its place.',
    );
  } finally {
    db.close();
  }
};

/**
 * Holds the data folder for this process until it ends, even by `kill -9`: the lock is the operating system's, on a
 * small file of its own, so that two servers never step the same runs.
 */
const holdFolder = (dataFolder: string): (() => void) => {
  const lock = new Sqlite(path.join(dataFolder, 'server.lock'), { timeout: 0 });
  try {
    lock.exec('BEGIN EXCLUSIVE');
  } catch {
    lock.close();
    throw new DatabaseError(
      `Another Breathline server is already using ${dataFolder}. Stop it, or start this one with another BREATHLINE_DATA folder.`,
    );
  }
  return () => lock.close();
};

/** Sets and proves full sync. It has been seen to fall back after the first write, so it is asked again after one. */
const assertDurable = async (prisma: PrismaClient): Promise<void> => {
  await pragma(prisma, 'journal_mode = WAL');
  await pragma(prisma, 'synchronous = FULL');
  await pragma(prisma, 'foreign_keys = ON');
  const openedAt = { value: new Date().toISOString() };
  await prisma.setting.upsert({
    where: { key: 'opened-at' },
    create: { key: 'opened-at', ...openedAt },
    update: openedAt,
  });
  const journal = await pragma(prisma, 'journal_mode');
  const synchronous = Number(await pragma(prisma, 'synchronous'));
  if (journal !== 'wal' || synchronous !== FULL) {
    throw new DatabaseError(
      `The database does not promise to keep what it acknowledges (journal mode "${journal}", synchronous ${synchronous}; ` +
        'expected "wal" and 2). Is the data folder on a network drive? Put BREATHLINE_DATA on a local disk.',
    );
  }
};

/**
 * One connection serves reads and writes alike, and a statement issued while a transaction is open becomes part of it.
 * So every write waits its turn here.
 */
export class Database {
  readonly #prisma: PrismaClient;
  readonly #release: () => void;
  #tail: Promise<unknown> = Promise.resolve();

  private constructor(prisma: PrismaClient, release: () => void) {
    this.#prisma = prisma;
    this.#release = release;
  }

  /** Opens the migrated database of a data folder. Throws `DatabaseError`. */
  static async open(dataFolder: string, migrationsFolder: string): Promise<Database> {
    const file = databaseFile(dataFolder);
    const missing = missingMigrations(file, migrationsFolder);
    if (missing.length > 0) {
      throw new DatabaseError(
        `The database in ${dataFolder} lacks ${missing.join(', ')}. Start with \`npm start\`, which adds it.`,
      );
    }
    const release = holdFolder(dataFolder);
    const prisma = new PrismaClient({ adapter: new PrismaBetterSQLite3({ url: `file:${file}` }) });
    try {
      await assertDurable(prisma);
    } catch (error) {
      await prisma.$disconnect();
      release();
      throw error;
    }
    return new Database(prisma, release);
  }

  /** For reads. */
  get read(): PrismaClient {
    return this.#prisma;
  }

  /** One write (or one transaction) at a time, in the order asked. */
  write<T>(work: (prisma: PrismaClient) => Promise<T>): Promise<T> {
    const done = this.#tail.then(() => work(this.#prisma));
    this.#tail = done.catch(() => undefined);
    return done;
  }

  /** The level of sync on the connection in use, for tests: 2 is FULL. */
  async synchronous(): Promise<number> {
    return Number(await pragma(this.#prisma, 'synchronous'));
  }

  async close(): Promise<void> {
    await this.#tail;
    await this.#prisma.$disconnect();
    this.#release();
  }
}
