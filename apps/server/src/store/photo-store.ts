/** Pictures of system problems: a row each, and a file each in a folder beside the database. */
import { mkdir, open, readFile, rm } from 'node:fs/promises';
import path from 'node:path';
import type { Database } from './database.ts';

export const PHOTO_TYPES = { 'image/jpeg': 'jpg', 'image/png': 'png', 'image/webp': 'webp' } as const;
export type PhotoType = keyof typeof PHOTO_TYPES;

export interface Photo {
  readonly id: string;
  readonly runId: string;
  readonly type: PhotoType;
  readonly bytes: number;
  readonly byRole: string;
}

export class PhotoStore {
  readonly #db: Database;
  readonly #folder: string;

  constructor(db: Database, dataFolder: string) {
    this.#db = db;
    this.#folder = path.join(dataFolder, 'photos');
  }

  /** Ids are the server's own, so that a name never comes from outside. */
  #file({ id, type }: Pick<Photo, 'id' | 'type'>): string {
    return path.join(this.#folder, `${id}.${PHOTO_TYPES[type]}`);
  }

  /** On disk first, then known of: a row never names a file that is not there. */
  async add(photo: Photo, content: Uint8Array): Promise<void> {
    await mkdir(this.#folder, { recursive: true, mode: 0o700 });
    const file = await open(this.#file(photo), 'wx', 0o600);
    try {
      await file.writeFile(content);
      await file.sync();
    } finally {
      await file.close();
    }
    await this.#db.write((prisma) => prisma.photo.create({ data: photo }));
  }

  async ids(runId: string): Promise<string[]> {
    return (await this.#db.read.photo.findMany({ where: { runId }, select: { id: true } })).map(({ id }) => id);
  }

  /** Runs with a picture that ended before then, or began before then and never ended. */
  async oldRuns(before: Date): Promise<string[]> {
    const rows = await this.#db.read.run.findMany({
      where: {
        photos: { some: {} },
        OR: [{ endedAt: { lt: before } }, { endedAt: null, createdAt: { lt: before } }],
      },
      select: { id: true },
    });
    return rows.map(({ id }) => id);
  }

  /** Takes every picture of a run away, file first: a row left over names nothing, a file left over shows somebody. */
  async removeAll(runId: string): Promise<number> {
    const rows = await this.#db.read.photo.findMany({ where: { runId }, select: { id: true, type: true } });
    for (const { id, type } of rows) {
      if (Object.hasOwn(PHOTO_TYPES, type)) await rm(this.#file({ id, type: type as PhotoType }), { force: true });
    }
    await this.#db.write((prisma) => prisma.photo.deleteMany({ where: { runId } }));
    return rows.length;
  }

  /** The picture, if this run has it. */
  async read(runId: string, id: string): Promise<{ readonly type: PhotoType; readonly content: Buffer } | null> {
    const row = await this.#db.read.photo.findFirst({ where: { id, runId } });
    if (!row || !Object.hasOwn(PHOTO_TYPES, row.type)) return null;
    const type = row.type as PhotoType;
    const content = await readFile(this.#file({ id: row.id, type })).catch(() => null);
    return content && { type, content };
  }
}
