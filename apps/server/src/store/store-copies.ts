/**
 * Copies of the store, each a folder a server can be started on. A copy counts once it was opened, found whole and found
 * to hold every run; until then it has another name, and is nobody's copy.
 */
import { spawn, type ChildProcess } from 'node:child_process';
import { createHash } from 'node:crypto';
import { existsSync } from 'node:fs';
import { mkdir, open, readFile, readdir, rename, rm, stat, statfs } from 'node:fs/promises';
import { setPriority } from 'node:os';
import path from 'node:path';
import { ROOT } from '../config.ts';
import { databaseFile } from './database.ts';

/** So many stay; and the one with the most runs, in case a new, empty store was begun by mistake. */
const KEPT = 5;
/** Left free beside a copy: the log of a running drill goes before it. */
const SPARE_BYTES = 64 * 1024 * 1024;
const NOTE = 'copy.json';
const HALF = '.part';

/** A copy that was found whole. */
export interface StoreCopy {
  readonly folder: string;
  /** The moment it shows, ISO. */
  readonly madeAt: string;
  /** Size of its database. */
  readonly bytes: number;
  readonly runs: number;
}

/** Why there is no copy, in words for the person who can mend it. */
export class CopyError extends Error {}

/** It was stopped on purpose: a drill begins. */
export class CopyStopped extends Error {}

const megabytes = (bytes: number): string => `${Math.ceil(bytes / 1024 ** 2)} MB`;

const sizeOf = async (file: string): Promise<number> => {
  const info = await stat(file).catch(() => null);
  if (info === null) return 0;
  if (!info.isDirectory()) return info.size;
  const sizes = await Promise.all((await readdir(file)).map((name) => sizeOf(path.join(file, name))));
  return sizes.reduce((sum, each) => sum + each, 0);
};

export class StoreCopies {
  readonly folder: string;
  readonly #dataFolder: string;
  /** Several stores may be copied into one folder. */
  readonly #prefix: string;
  readonly #spareBytes: number;
  #child: ChildProcess | null = null;
  #stopped = false;

  constructor(dataFolder: string, folder: string, spareBytes: number = SPARE_BYTES) {
    this.folder = folder;
    this.#spareBytes = spareBytes;
    this.#dataFolder = dataFolder;
    this.#prefix = `breathline-${createHash('sha256').update(path.resolve(dataFolder)).digest('hex').slice(0, 8)}-`;
  }

  /** The newest first. One whose database is gone or has another size is left out. */
  async list(): Promise<StoreCopy[]> {
    const names = (await readdir(this.folder).catch(() => [])).filter(
      (name) => name.startsWith(this.#prefix) && !name.endsWith(HALF),
    );
    const found = await Promise.all(names.map((name) => this.#read(path.join(this.folder, name))));
    return found.filter((copy) => copy !== null).sort((a, b) => b.madeAt.localeCompare(a.madeAt));
  }

  async #read(folder: string): Promise<StoreCopy | null> {
    try {
      const { madeAt, bytes, runs } = JSON.parse(await readFile(path.join(folder, NOTE), 'utf8')) as StoreCopy;
      const { size } = await stat(databaseFile(folder));
      return size === bytes ? { folder, madeAt, bytes, runs } : null;
    } catch {
      return null;
    }
  }

  /** Both lie on one disk, and would go together; null when that is not known. */
  async sameDisk(): Promise<boolean | null> {
    const at = existsSync(this.folder) ? this.folder : path.dirname(this.folder);
    const [data, copies] = await Promise.all([this.#dataFolder, at].map((each) => stat(each).catch(() => null)));
    return data && copies ? data.dev === copies.dev : null;
  }

  /** A new copy, checked. Throws `CopyError`, or `CopyStopped`. Older ones are left as they are. */
  async make(now: Date = new Date()): Promise<StoreCopy> {
    this.#stopped = false;
    const madeAt = now.toISOString();
    const folder = path.join(this.folder, `${this.#prefix}${madeAt.replace(/[-:.]/g, '')}`);
    const half = `${folder}${HALF}`;
    await this.#room();
    try {
      await mkdir(half, { mode: 0o700 });
      // Stopped before there was anything to stop.
      if (this.#stopped) throw new CopyStopped();
      const { bytes, runs } = await this.#copyTo(half);
      const note = await open(path.join(half, NOTE), 'wx', 0o600);
      try {
        await note.writeFile(JSON.stringify({ madeAt, bytes, runs }));
        await note.sync();
      } finally {
        await note.close();
      }
      await rename(half, folder);
      return { folder, madeAt, bytes, runs };
    } catch (error) {
      await rm(half, { recursive: true, force: true }).catch(() => undefined);
      if (this.#stopped) throw new CopyStopped();
      throw error instanceof CopyError ? error : new CopyError(this.#words(error));
    }
  }

  /** Cuts short a copy that is being made. */
  stop(): void {
    this.#stopped = true;
    this.#child?.kill('SIGKILL');
  }

  /** Drops what is not kept any longer, and all that show what was erased since, once a newer one stands. */
  async prune(erasedAt: string | null): Promise<void> {
    const [newest, ...older] = await this.list();
    if (newest === undefined) return;
    const stale = (copy: StoreCopy) => erasedAt !== null && copy.madeAt < erasedAt;
    const fullest = [newest, ...older].reduce((most, copy) => (copy.runs > most.runs ? copy : most));
    for (const [at, copy] of older.entries()) {
      const gone = stale(copy) ? !stale(newest) : at + 1 >= KEPT && copy !== fullest;
      if (gone) await rm(copy.folder, { recursive: true, force: true });
    }
    // What a server that was cut off left half done.
    for (const name of await readdir(this.folder).catch(() => [])) {
      if (name.startsWith(this.#prefix) && name.endsWith(HALF))
        await rm(path.join(this.folder, name), { recursive: true, force: true });
    }
  }

  async #room(): Promise<void> {
    try {
      await mkdir(this.folder, { recursive: true, mode: 0o700 });
    } catch (error) {
      throw new CopyError(this.#words(error));
    }
    const parts = ['breathline.db', 'breathline.db-wal', 'photos'].map((name) =>
      sizeOf(path.join(this.#dataFolder, name)),
    );
    const needed = (await Promise.all(parts)).reduce((sum, each) => sum + each, this.#spareBytes);
    const info = await statfs(this.folder).catch(() => null);
    if (info !== null && info.bavail * info.bsize < needed) {
      throw new CopyError(
        `No room for a copy in ${this.folder}: ${megabytes(needed)} needed, ${megabytes(info.bavail * info.bsize)} free. ` +
          'Free some, or set BREATHLINE_BACKUP to a folder on another disk.',
      );
    }
  }

  #copyTo(folder: string): Promise<{ readonly bytes: number; readonly runs: number }> {
    return new Promise((resolve, reject) => {
      const script = path.join(ROOT, 'apps/server/bin/copy-store.mjs');
      const child = spawn(process.execPath, [script, this.#dataFolder, folder], { stdio: ['ignore', 'pipe', 'pipe'] });
      this.#child = child;
      try {
        // After everything else the machine has to do.
        if (child.pid !== undefined) setPriority(child.pid, 10);
      } catch {
        // A system without priorities copies as well.
      }
      let [said, complained] = ['', ''];
      child.stdout.on('data', (data: Buffer) => (said += data.toString()));
      child.stderr.on('data', (data: Buffer) => (complained += data.toString()));
      child.once('error', (error) => reject(error));
      child.once('close', (code) => {
        this.#child = null;
        if (code !== 0) return reject(new CopyError(this.#words(complained)));
        let told: Record<string, number | string>;
        try {
          told = JSON.parse(said) as Record<string, number | string>;
        } catch {
          return reject(new CopyError(`The copy in ${this.folder} could not be checked: it was thrown away.`));
        }
        const { integrity, runs, before, after, bytes } = told;
        if (integrity !== 'ok') {
          reject(
            new CopyError(
              `The copy was not whole (${integrity}): the store itself may be damaged. Keep the copies there are; how to put one back stands in the README.`,
            ),
          );
        } else if (
          Number(runs) < Math.min(Number(before), Number(after)) ||
          Number(runs) > Math.max(Number(before), Number(after))
        ) {
          reject(new CopyError(`The copy held ${runs} runs where ${after} were expected: it was thrown away.`));
        } else resolve({ bytes: Number(bytes), runs: Number(runs) });
      });
    });
  }

  #words(error: unknown): string {
    const text = error instanceof Error ? `${(error as NodeJS.ErrnoException).code ?? error.message}` : String(error);
    if (/SQLITE_FULL|ENOSPC|EDQUOT|disk is full/.test(text)) {
      return `The disk is full: no copy could be made in ${this.folder}. Free some, or set BREATHLINE_BACKUP to a folder on another disk.`;
    }
    if (/EACCES|EPERM|EROFS|ENOTDIR|ENOENT|EEXIST|SQLITE_CANTOPEN|SQLITE_READONLY/.test(text)) {
      const [code] = /E[A-Z]{4,}|SQLITE_\w+/.exec(text) ?? [text];
      return `The folder of copies ${this.folder} can not be written (${code}). Give this user the right to write there, or set BREATHLINE_BACKUP to another folder.`;
    }
    if (/SQLITE_CORRUPT|SQLITE_NOTADB|malformed/.test(text)) {
      return 'The store could not be read whole: it may be damaged. Keep the copies there are; how to put one back stands in the README.';
    }
    const [line = text] = text.split('\n').filter((each) => /Error/.test(each));
    return `No copy could be made in ${this.folder} (${line.trim().slice(0, 200)}).`;
  }
}
