/** Invented runs put into a server's store before it starts, as they would stand there after months; none is scored. */
import path from 'node:path';
import Sqlite from 'better-sqlite3';
import type { StoredSummary } from '@breathline/debrief';
import { SUMMARY_VERSION } from '../../apps/server/src/store/programme-store.ts';

/** A summary with nothing remarkable in it; `part` says what is. */
export const madeRun = (i: number, part: Partial<StoredSummary['summary']> = {}): StoredSummary => ({
  summary: {
    runId: `made-${i}`,
    scenarioId: 'cashew-cookery-club',
    packId: 'anaphylaxis-uk-2021',
    condition: 'anaphylaxis',
    at: new Date(Date.UTC(2025, 10, 3) + i * 11 * 86_400_000).toISOString(),
    ward: null,
    team: null,
    take: 1,
    adrenalineMs: 120_000,
    adrenalineAsked: true,
    watchedMs: 600_000,
    below90PercentMs: 0,
    belowPressureLimitMs: 0,
    results: {},
    objectives: {},
    wrongDoses: 0,
    firstFault: null,
    doseUnseen: false,
    scored: true,
    ...part,
  },
  ratings: [],
});

/** Writes them; `scenario` is what the run's definition says of its scenario, as far as the programme reads it. */
export const putRuns = (dataFolder: string, runs: readonly StoredSummary[], scenario: object = {}): void => {
  const db = new Sqlite(path.join(dataFolder, 'breathline.db'));
  const run = db.prepare(
    `INSERT INTO "Run" ("id","scenarioId","scenarioTitle","packId","engineVersion","phase","definition","createdAt","endedAt","ward","team") VALUES (?,?,'Invented',?,'0','ended',?,?,?,?,?)`,
  );
  const sum = db.prepare(`INSERT INTO "RunSummary" ("runId","take","logSeq","version","body") VALUES (?,1,0,?,?)`);
  const definition = JSON.stringify({ scenario });
  for (const stored of runs) {
    const { runId, scenarioId, packId, at, ward, team } = stored.summary;
    run.run(runId, scenarioId, packId, definition, at, at, ward, team);
    sum.run(runId, SUMMARY_VERSION, JSON.stringify(stored));
  }
  db.close();
};
