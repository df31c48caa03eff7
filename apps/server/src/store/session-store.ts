/** Signed-in browsers and the server's few settings. */
import type { Database } from './database.ts';

export class SessionStore {
  readonly #db: Database;

  constructor(db: Database) {
    this.#db = db;
  }

  async create(tokenHash: string, role: string, expiresAt: Date): Promise<void> {
    await this.#db.write((prisma) =>
      prisma.$transaction([
        prisma.session.deleteMany({ where: { expiresAt: { lt: new Date() } } }),
        prisma.session.create({ data: { tokenHash, role, expiresAt } }),
      ]),
    );
  }

  /** The role of a session that has not run out; null otherwise. */
  async role(tokenHash: string): Promise<string | null> {
    const session = await this.#db.read.session.findUnique({ where: { tokenHash } });
    return session && session.expiresAt.getTime() > Date.now() ? session.role : null;
  }

  async remove(tokenHash: string): Promise<void> {
    await this.#db.write((prisma) => prisma.session.deleteMany({ where: { tokenHash } }));
  }

  async removeStarting(role: string): Promise<void> {
    await this.#db.write((prisma) => prisma.session.deleteMany({ where: { role: { startsWith: role } } }));
  }

  async removeAll(): Promise<void> {
    await this.#db.write((prisma) => prisma.session.deleteMany());
  }

  async setting(key: string): Promise<string | null> {
    return (await this.#db.read.setting.findUnique({ where: { key } }))?.value ?? null;
  }

  async setSetting(key: string, value: string): Promise<void> {
    await this.#db.write((prisma) =>
      prisma.setting.upsert({ where: { key }, create: { key, value }, update: { value } }),
    );
  }
}
