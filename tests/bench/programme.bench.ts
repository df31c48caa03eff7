/**
 * The programme page over ten thousand stored runs, in a browser: from the address to the chart and the table of groups
 * drawn. Runs are invented and put into the store as they would stand there. Beside it, the same page over twelve.
 */
import path from 'node:path';
import Sqlite from 'better-sqlite3';
import type { Browser } from 'playwright-core';
import type { StoredSummary } from '@breathline/debrief';
import { SUMMARY_VERSION } from '../../apps/server/src/store/programme-store.ts';
import { TestServer } from '../faults/server.ts';
import { launch } from '../journeys/drive.ts';

const MANY = 10_000;
const FEW = 12;
const PASSPHRASE = 'quiet orange kettle';
const ROUNDS = 6;

const median = (values: readonly number[]): number =>
  [...values].sort((a, b) => a - b)[Math.floor(values.length / 2)] ?? NaN;

/** The i-th invented run: fifty wards, six scenarios, eight years. */
const invented = (i: number): StoredSummary => ({
  summary: {
    runId: `made-${i}`,
    scenarioId: `scenario-${i % 6}`,
    packId: 'p',
    condition: i % 3 === 0 ? 'asthma' : 'anaphylaxis',
    at: new Date(Date.UTC(2018, 0, 1) + i * 7 * 3_600_000).toISOString(),
    ward: `Ward ${i % 50}`,
    team: null,
    take: 1,
    adrenalineMs: i % 7 === 0 ? null : 60_000 + ((i * 7919) % 240_000),
    adrenalineAsked: true,
    watchedMs: 600_000,
    below90PercentMs: 0,
    belowPressureLimitMs: 0,
    results: {},
    objectives: { airway: i % 4 === 0 ? 'not-seen' : 'seen' },
    wrongDoses: i % 50 === 0 ? 1 : 0,
    firstFault: null,
    doseUnseen: false,
    scored: true,
  },
  ratings: [{ behaviour: 'loop', bySeat: { a: 'seen', b: i % 9 === 0 ? 'not-seen' : 'seen' } }],
});

const put = (dataFolder: string, from: number, to: number): void => {
  const db = new Sqlite(path.join(dataFolder, 'breathline.db'));
  const run = db.prepare(
    `INSERT INTO "Run" ("id","scenarioId","scenarioTitle","packId","engineVersion","phase","definition","createdAt","endedAt") VALUES (?,'s','Invented','p','0','ended','{}',?,?)`,
  );
  const sum = db.prepare(`INSERT INTO "RunSummary" ("runId","take","logSeq","version","body") VALUES (?,1,0,?,?)`);
  db.transaction(() => {
    for (let i = from; i < to; i += 1) {
      const stored = invented(i);
      const { at } = stored.summary;
      run.run(stored.summary.runId, at, at);
      sum.run(stored.summary.runId, SUMMARY_VERSION, JSON.stringify(stored));
    }
  })();
  db.close();
};

/** Milliseconds from asking for the page to its chart, and from another grouping chosen to its table. */
const pageTimes = async (browser: Browser, server: TestServer) => {
  const context = await browser.newContext({ viewport: { width: 1366, height: 768 } });
  const page = await context.newPage();
  await context.request.post(`${server.origin}/api/login`, {
    headers: { origin: server.origin },
    data: { passphrase: PASSPHRASE },
  });
  const loads: number[] = [];
  const groups: number[] = [];
  for (let round = 0; round < ROUNDS; round += 1) {
    const began = performance.now();
    await page.goto(`${server.origin}/programme`, { waitUntil: 'commit' });
    await page.getByRole('slider', { name: 'Session on the chart' }).waitFor();
    loads.push(performance.now() - began);
    await page.getByRole('button', { name: /^Advanced/ }).click();
    const asked = performance.now();
    await page.getByLabel('Group by').selectOption('ward');
    await page.getByRole('row', { name: /^(Ward 0|12 small groups together) / }).waitFor();
    groups.push(performance.now() - asked);
  }
  await context.close();
  // The first is from a cold store and a cold browser; the rest are what a page costs.
  return { coldMs: loads[0]!, warmMs: median(loads.slice(1)), groupMs: median(groups) };
};

export default async () => {
  const server = new TestServer({
    BREATHLINE_API_ONLY: '0',
    BREATHLINE_PASSPHRASE: PASSPHRASE,
  });
  const browser = await launch();
  try {
    put(server.dataFolder, 0, FEW);
    await server.start();
    const few = await pageTimes(browser, server);
    await server.stop();
    put(server.dataFolder, FEW, MANY);
    await server.start();
    const many = await pageTimes(browser, server);
    return [
      {
        name: 'programme page in a browser, 10,000 runs, server and browser just started (12 runs)',
        value: many.coldMs,
        unit: 'ms',
        baseline: few.coldMs,
        ratio: many.coldMs / few.coldMs,
      },
      {
        name: 'the same page opened again, median of five (12 runs)',
        value: many.warmMs,
        unit: 'ms',
        baseline: few.warmMs,
        ratio: many.warmMs / few.warmMs,
      },
      {
        name: 'the same page grouped by 50 wards, median of six (12 runs)',
        value: many.groupMs,
        unit: 'ms',
        baseline: few.groupMs,
        ratio: many.groupMs / few.groupMs,
      },
    ];
  } finally {
    await browser.close();
    await server.dispose();
  }
};
