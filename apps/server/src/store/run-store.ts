/** Runs, and the seconds of them that screens were shown. */
import {
  REHEARSAL_ROLE,
  type Derived,
  type RunDefinition,
  type RunEvent,
  type RunPhase,
  type TrackRow,
} from '@breathline/engine';
import type { Database } from './database.ts';
import { eventRows } from './event-store.ts';
import { RunEndings } from './run-endings.ts';

/** A run without its log. */
export interface RunHead {
  readonly runId: string;
  readonly scenarioId: string;
  readonly scenarioTitle: string;
  readonly packId: string;
  readonly engineVersion: string;
  readonly phase: RunPhase;
  readonly clockMs: number;
  readonly joinCode: string | null;
  readonly crewCode: string | null;
  readonly imported: boolean;
  readonly scoredTake: number;
  readonly createdAt: string;
  readonly endedAt: string | null;
  /** When its clock was last written while it ran, ISO; null when it never did. */
  readonly seenAt: string | null;
  /** One of the site's wards; null when nobody said. */
  readonly ward: string | null;
  /** A team's pseudonym. */
  readonly team: string | null;
  /** Counts in the programme. */
  readonly scored: boolean;
  /** The run this one goes over again. */
  readonly repeatOf: string | null;
}

/** Where and by whom, as far as anybody said, and whether it counts. */
export type RunAbout = Pick<RunHead, 'ward' | 'team' | 'scored'>;

/** What a run was made from. */
export interface RunBody {
  readonly definition: RunDefinition;
  readonly scenarioText: string | null;
  readonly derived: readonly Derived[] | null;
}

/** What the once-a-second write holds for one run. */
export interface RunProgress {
  readonly runId: string;
  readonly phase: RunPhase;
  readonly clockMs: number;
  readonly endedAt: string | null;
  readonly derived: readonly Derived[] | null;
  readonly scoredTake: number;
  readonly running: boolean;
  readonly rows: readonly { readonly take: number; readonly row: TrackRow }[];
}

const HEAD = {
  id: true,
  scenarioId: true,
  scenarioTitle: true,
  packId: true,
  engineVersion: true,
  phase: true,
  clockMs: true,
  joinCode: true,
  crewCode: true,
  imported: true,
  scoredTake: true,
  createdAt: true,
  endedAt: true,
  seenAt: true,
  ward: true,
  team: true,
  scored: true,
  repeatOf: true,
} as const;

type HeadRow = Omit<RunHead, 'runId' | 'phase' | 'createdAt' | 'endedAt' | 'seenAt'> & {
  id: string;
  phase: string;
  createdAt: Date;
  endedAt: Date | null;
  seenAt: Date | null;
};

const toHead = ({ id, phase, createdAt, endedAt, seenAt, ...rest }: HeadRow): RunHead => ({
  ...rest,
  runId: id,
  phase: phase as RunPhase,
  createdAt: createdAt.toISOString(),
  endedAt: endedAt?.toISOString() ?? null,
  seenAt: seenAt?.toISOString() ?? null,
});

const headData = (head: RunHead, body: RunBody) => ({
  id: head.runId,
  scenarioId: head.scenarioId,
  scenarioTitle: head.scenarioTitle,
  packId: head.packId,
  engineVersion: head.engineVersion,
  phase: head.phase,
  clockMs: head.clockMs,
  joinCode: head.joinCode,
  crewCode: head.crewCode,
  imported: head.imported,
  scoredTake: head.scoredTake,
  createdAt: new Date(head.createdAt),
  endedAt: head.endedAt === null ? null : new Date(head.endedAt),
  ward: head.ward,
  team: head.team,
  scored: head.scored,
  repeatOf: head.repeatOf,
  definition: JSON.stringify(body.definition),
  scenarioText: body.scenarioText,
  derived: body.derived === null ? null : JSON.stringify(body.derived),
});

const trackData = (runId: string, rows: RunProgress['rows']) =>
  rows.map(({ take, row }) => ({ runId, take, atMs: row.atMs, row: JSON.stringify(row) }));

/** The newest so many runs are listed. */
const MOST_LISTED = 2_000;
/** Rows per insert, well under SQLite's limit of parameters. */
const CHUNK = 500;
const chunks = <T>(items: readonly T[]): T[][] => {
  const parts: T[][] = [];
  for (let at = 0; at < items.length; at += CHUNK) parts.push(items.slice(at, at + CHUNK));
  return parts;
};

export class RunStore {
  readonly #db: Database;

  /** How finished runs ended. */
  readonly endings: RunEndings;

  constructor(db: Database) {
    this.#db = db;
    this.endings = new RunEndings(db);
  }

  async create(head: RunHead, body: RunBody): Promise<void> {
    await this.#db.write((prisma) => prisma.run.create({ data: headData(head, body) }));
  }

  /** Puts a whole finished run in, or nothing. */
  async createWhole(
    head: RunHead,
    body: RunBody,
    events: readonly RunEvent[],
    rows: RunProgress['rows'],
  ): Promise<void> {
    const logged = events.map((event) => eventRows(head.runId, { event, requestHash: null, warnings: [] }));
    await this.#db.write((prisma) =>
      prisma.$transaction([
        prisma.run.create({ data: headData(head, body) }),
        ...chunks(logged.map(({ row }) => row)).map((data) => prisma.event.createMany({ data })),
        ...chunks(logged.flatMap(({ texts }) => texts)).map((data) => prisma.eventText.createMany({ data })),
        ...chunks(trackData(head.runId, rows)).map((data) => prisma.trackSecond.createMany({ data })),
      ]),
    );
  }

  async list(): Promise<RunHead[]> {
    return (await this.#db.read.run.findMany({ select: HEAD, orderBy: { createdAt: 'desc' }, take: MOST_LISTED })).map(
      toHead,
    );
  }

  async head(runId: string): Promise<RunHead | null> {
    const row = await this.#db.read.run.findUnique({ where: { id: runId }, select: HEAD });
    return row && toHead(row);
  }

  /** The run a code opens, and for whom. */
  async headByCode(code: string): Promise<{ readonly head: RunHead; readonly opens: 'learners' | 'crew' } | null> {
    const row = await this.#db.read.run.findFirst({
      where: { OR: [{ joinCode: code }, { crewCode: code }] },
      select: HEAD,
    });
    return row && { head: toHead(row), opens: row.joinCode === code ? 'learners' : 'crew' };
  }

  /** Gives a run made by an earlier version its crew's code. */
  async setCrewCode(runId: string, crewCode: string): Promise<void> {
    await this.#db.write((prisma) =>
      prisma.run.update({ where: { id: runId }, data: { crewCode }, select: { id: true } }),
    );
  }

  async setAbout(runId: string, about: RunAbout): Promise<void> {
    await this.#db.write((prisma) => prisma.run.update({ where: { id: runId }, data: about, select: { id: true } }));
  }

  /** The run with its log, track, summary and picture rows; pictures themselves are the photo store's. */
  async remove(runId: string): Promise<void> {
    await this.#db.write((prisma) => prisma.run.delete({ where: { id: runId }, select: { id: true } }));
  }

  async body(runId: string): Promise<RunBody | null> {
    const row = await this.#db.read.run.findUnique({
      where: { id: runId },
      select: { definition: true, scenarioText: true, derived: true },
    });
    if (!row) return null;
    return {
      definition: JSON.parse(row.definition) as RunDefinition,
      scenarioText: row.scenarioText,
      derived: row.derived === null ? null : (JSON.parse(row.derived) as Derived[]),
    };
  }

  /** Which of these runs are a scenario's own rehearsal: who began it says so. */
  async rehearsals(runIds: readonly string[]): Promise<ReadonlySet<string>> {
    const found: string[] = [];
    for (const some of chunks(runIds)) {
      const rows = await this.#db.read.event.findMany({
        where: { runId: { in: some }, seq: 1, kind: 'run-started', byRole: REHEARSAL_ROLE },
        select: { runId: true },
      });
      found.push(...rows.map(({ runId }) => runId));
    }
    return new Set(found);
  }

  /** Everything shown, take by take and in order of time. */
  async track(runId: string): Promise<TrackRow[]> {
    const rows = await this.#db.read.trackSecond.findMany({
      where: { runId },
      orderBy: [{ take: 'asc' }, { atMs: 'asc' }],
    });
    return rows.map(({ row }) => JSON.parse(row) as TrackRow);
  }

  /** Last second of each take on disk, ms. */
  async lastTrackMs(runId: string): Promise<Map<number, number>> {
    const rows = await this.#db.read.trackSecond.groupBy({ by: ['take'], where: { runId }, _max: { atMs: true } });
    return new Map(rows.map(({ take, _max }) => [take, _max.atMs ?? -1]));
  }

  /** The once-a-second write: every clock and every new second of every moving run, in one transaction. */
  async saveProgress(all: readonly RunProgress[]): Promise<void> {
    if (all.length === 0) return;
    await this.#db.write((prisma) =>
      prisma.$transaction([
        ...all.map(({ runId, phase, clockMs, endedAt, derived, scoredTake, running }) =>
          prisma.run.update({
            where: { id: runId },
            data: {
              phase,
              clockMs,
              endedAt: endedAt === null ? null : new Date(endedAt),
              scoredTake,
              ...(running ? { seenAt: new Date() } : {}),
              ...(derived === null ? {} : { derived: JSON.stringify(derived) }),
            },
            select: { id: true },
          }),
        ),
        ...chunks(all.flatMap(({ runId, rows }) => trackData(runId, rows))).map((data) =>
          prisma.trackSecond.createMany({ data }),
        ),
      ]),
    );
  }
}
