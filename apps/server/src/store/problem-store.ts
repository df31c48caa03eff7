/** The register of system problems: faults of places, kept apart from the runs that found them. */
import type { ProblemEntry } from '@breathline/protocol';
import type { Database } from './database.ts';

export interface ProblemFilter {
  readonly ward?: string;
  readonly open?: boolean;
  readonly status?: string;
  readonly category?: string;
  readonly risk?: string;
}

/** What a run's log says of one problem. */
export interface FoundProblem {
  readonly seq: number;
  readonly category: string;
  readonly words: string;
  readonly photo: string | null;
  readonly foundAt: Date;
}

type Row = Omit<ProblemEntry, 'foundAt'> & {
  readonly foundAt: Date;
  readonly seq: number | null;
  readonly touched: boolean;
};

const toEntry = ({ foundAt, touched: _touched, ...rest }: Row): ProblemEntry => ({
  ...rest,
  foundAt: foundAt.toISOString(),
});

export class ProblemStore {
  readonly #db: Database;

  constructor(db: Database) {
    this.#db = db;
  }

  async list({ ward, open, status, category, risk }: ProblemFilter): Promise<ProblemEntry[]> {
    const rows = await this.#db.read.problem.findMany({
      where: {
        ...(ward === undefined ? {} : { ward }),
        ...(category === undefined ? {} : { category }),
        ...(risk === undefined ? {} : { risk }),
        ...(status !== undefined ? { status } : {}),
        // Mended but not tried again is still open.
        ...(open === undefined
          ? {}
          : { AND: { status: open ? { in: ['open', 'fixed'] } : { in: ['retested', 'not-a-problem'] } } }),
      },
      orderBy: [{ foundAt: 'desc' }, { id: 'asc' }],
      take: 2_000,
    });
    return rows.map((row) => toEntry(row as Row));
  }

  async one(id: string): Promise<ProblemEntry | null> {
    const row = await this.#db.read.problem.findUnique({ where: { id } });
    return row && toEntry(row as Row);
  }

  async add(entry: ProblemEntry): Promise<void> {
    const { foundAt, ...rest } = entry;
    await this.#db.write((prisma) =>
      prisma.problem.create({ data: { ...rest, foundAt: new Date(foundAt), touched: true } }),
    );
  }

  async change(id: string, change: Partial<Omit<ProblemEntry, 'id' | 'runId' | 'foundAt'>>): Promise<ProblemEntry> {
    const row = await this.#db.write((prisma) =>
      prisma.problem.update({ where: { id }, data: { ...change, touched: true } }),
    );
    return toEntry(row as Row);
  }

  /**
   * Makes the register say what a run's log says: new lines come in, undone ones go unless somebody has worked on them, and
   * nothing anybody wrote in the register is overwritten.
   */
  async sync(runId: string, ward: string | null, found: readonly FoundProblem[], newId: () => string): Promise<void> {
    const kept = await this.#db.read.problem.findMany({
      where: { runId },
      select: { id: true, seq: true, touched: true },
    });
    const known = new Set(kept.map(({ seq }) => seq));
    const seqs = new Set(found.map(({ seq }) => seq));
    const gone = kept.filter(({ seq, touched }) => !touched && seq !== null && !seqs.has(seq)).map(({ id }) => id);
    const fresh = found.filter(({ seq }) => !known.has(seq));
    if (gone.length === 0 && fresh.length === 0) return;
    await this.#db.write((prisma) =>
      prisma.$transaction([
        prisma.problem.deleteMany({ where: { id: { in: gone } } }),
        prisma.problem.createMany({ data: fresh.map((one) => ({ id: newId(), runId, ward, ...one })) }),
      ]),
    );
  }

  /** A run's ward was named later: problems nobody has placed yet follow it. */
  async place(runId: string, ward: string | null): Promise<void> {
    await this.#db.write((prisma) => prisma.problem.updateMany({ where: { runId, touched: false }, data: { ward } }));
  }

  /** Takes words away, of the problems of some lines of a run or of all. */
  async eraseWords(runId: string, seqs?: readonly number[]): Promise<void> {
    await this.#db.write((prisma) =>
      prisma.problem.updateMany({
        where: { runId, ...(seqs === undefined ? {} : { seq: { in: [...seqs] } }) },
        data: { words: '' },
      }),
    );
  }

  /** Problems told by hand: no run's log holds their words. */
  async told(): Promise<ProblemEntry[]> {
    const rows = await this.#db.read.problem.findMany({ where: { OR: [{ runId: null }, { touched: true }] } });
    return rows.map((row) => toEntry(row as Row));
  }

  /** The words of one problem, and who was to mend it. */
  async eraseTold(id: string): Promise<void> {
    await this.#db.write((prisma) => prisma.problem.update({ where: { id }, data: { words: '', ownerRole: '' } }));
  }

  /** The pictures of a run are gone. */
  async forgetPhotos(runId: string): Promise<void> {
    await this.#db.write((prisma) => prisma.problem.updateMany({ where: { runId }, data: { photo: null } }));
  }

  /** Closed problems of a run lose their words; open ones are still worked on. */
  async eraseClosedWords(runId: string): Promise<void> {
    await this.#db.write((prisma) =>
      prisma.problem.updateMany({
        where: { runId, status: { in: ['retested', 'not-a-problem'] } },
        data: { words: '' },
      }),
    );
  }
}
