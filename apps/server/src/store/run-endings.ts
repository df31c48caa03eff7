/** How finished runs ended, read from what is on disk without loading a whole run; kept, since an ended run ends once. */
import { Prisma } from '../generated/client.ts';
import type { RunEnding } from '@breathline/protocol';
import type { Database } from './database.ts';

/** Runs looked up at once, so that a drill that goes on never waits for long. */
const AT_ONCE = 50;

export class RunEndings {
  readonly #db: Database;
  /** By run and the time it ended: a run taken up again ends anew. */
  readonly #known = new Map<string, RunEnding>();

  constructor(db: Database) {
    this.#db = db;
  }

  /** Of these runs, by id. */
  async of(
    runs: readonly { readonly runId: string; readonly endedAt: string | null }[],
  ): Promise<Map<string, RunEnding>> {
    const key = ({ runId, endedAt }: (typeof runs)[number]): string => `${runId} ${endedAt ?? ''}`;
    const found = new Map<string, RunEnding>();
    const unknown = runs.filter((run) => {
      const ending = this.#known.get(key(run));
      if (ending) found.set(run.runId, ending);
      return ending === undefined;
    });
    for (let at = 0; at < unknown.length; at += AT_ONCE) {
      const some = unknown.slice(at, at + AT_ONCE);
      const [states, stopped] = await this.#read(some.map(({ runId }) => runId));
      for (const run of some) {
        const ending = { realEmergency: stopped.has(run.runId), state: states.get(run.runId) ?? null };
        found.set(run.runId, ending);
        // Its last state may be on its way to the disk.
        if (ending.state !== null) this.#known.set(key(run), ending);
      }
    }
    return found;
  }

  async #read(ids: readonly string[]): Promise<[Map<string, string | null>, Set<string>]> {
    const among = Prisma.join([...ids]);
    const states = await this.#db.read.$queryRaw<{ id: string; title: string | null }[]>`
      WITH entered AS (
        SELECT r."id", r."definition", (
          SELECT d.value FROM json_each(r."derived") d WHERE json_extract(d.value, '$.kind') = 'state-entered'
          ORDER BY CAST(d.key AS INTEGER) DESC LIMIT 1
        ) AS last FROM "Run" r WHERE r."id" IN (${among})
      )
      SELECT e."id" AS id, (
        SELECT json_extract(s.value, '$.title')
        FROM json_each(e."definition", '$.scenario.threads') t, json_each(t.value, '$.states') s
        WHERE json_extract(t.value, '$.id') = json_extract(e.last, '$.thread')
          AND json_extract(s.value, '$.id') = json_extract(e.last, '$.state') LIMIT 1
      ) AS title FROM entered e`;
    const stops = await this.#db.read.$queryRaw<{ id: string; kind: string }[]>`
      SELECT "runId" AS id, "kind" AS kind FROM "Event"
      WHERE "runId" IN (${among}) AND "kind" IN ('real-emergency-stop', 'real-emergency-cleared') ORDER BY "seq"`;
    const stopped = new Set<string>();
    for (const { id, kind } of stops) {
      if (kind === 'real-emergency-stop') stopped.add(id);
      else stopped.delete(id);
    }
    return [new Map(states.map(({ id, title }) => [id, title])), stopped];
  }
}
