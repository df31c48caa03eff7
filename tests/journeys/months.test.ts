/**
 * What is seen over months, by hand in a browser: groups and curves, rules of charts, small counts in words, a problem
 * followed to the next drill on its ward, one person's data given out and deleted.
 */
import { readFileSync } from 'node:fs';
import type { Browser } from 'playwright-core';
import { afterAll, beforeAll, expect, it } from 'vitest';
import type { TestServer } from '../faults/server.ts';
import { Device, button, firstPassphrase, launch, realServer, signIn, until } from './drive.ts';
import { madeRun, putRuns } from './stored-runs.ts';

let server: TestServer;
let browser: Browser;
let faculty: Device;

beforeAll(async () => {
  server = realServer();
  const teams = ['heron', 'kestrel', 'tern'];
  putRuns(
    server.dataFolder,
    Array.from({ length: 36 }, (_, i) =>
      madeRun(i, {
        team: teams[i % 3]!,
        ward: i < 2 ? 'Theatre' : i % 2 ? 'Children’s ward' : 'Day unit',
        scenarioId: i % 4 === 0 ? 'wasp-sting-orchard' : 'cashew-cookery-club',
        adrenalineMs: i % 6 === 5 ? null : 60_000 + ((i * 37) % 30) * 8_000,
        watchedMs: 300_000 + i * 3_000,
        objectives: { 'help-early': i % 3 === 0 ? 'not-seen' : 'seen' },
        wrongDoses: i === 7 ? 1 : 0,
      }),
    ),
    { title: 'Invented picnic', objectives: [{ id: 'help-early', says: 'Help is called before the second dose' }] },
  );
  await server.start();
  browser = await launch();
  faculty = await Device.open(browser, [1366, 768]);
  await faculty.page.emulateMedia({ reducedMotion: 'reduce' });
  await signIn(faculty, server, firstPassphrase(server));
  // A machine that builds and tests other things as well draws a page in its own time.
  faculty.page.setDefaultTimeout(90_000);
}, 240_000);

afterAll(async () => {
  await browser?.close();
  await server?.dispose();
});

const ask = async <T>(method: 'GET' | 'POST' | 'PUT', url: string, data?: object): Promise<T> => {
  const answer = await faculty.page.request.fetch(`${server.origin}${url}`, {
    method,
    headers: { origin: server.origin },
    ...(data === undefined ? {} : { data }),
  });
  expect(answer.ok(), `${method} ${url}: ${await answer.text()}`).toBe(true);
  return (await answer.json()) as T;
};

const SIZES = [
  [1366, 768],
  [390, 844],
] as const;

/** The same at the size of a laptop and of a phone: nothing scrolls sideways, and a picture where one is wanted. */
const atBothSizes = async (name: string, look: () => Promise<void>): Promise<void> => {
  for (const [width, height] of SIZES) {
    await faculty.page.setViewportSize({ width, height });
    await look();
    const sideways = await faculty.page.evaluate(
      () => document.documentElement.scrollWidth - document.documentElement.clientWidth,
    );
    expect(sideways, `${name} at ${width}`).toBeLessThanOrEqual(0);
    await faculty.shot(`months-${name}-${width}`);
  }
  await faculty.page.setViewportSize({ width: 1366, height: 768 });
};

it('groups by team, ward, scenario and month; ends of runs are marked on the curve', { timeout: 400_000 }, async () => {
  const { page } = faculty;
  await page.goto(`${server.origin}/programme`);
  const door = button(faculty, /^Advanced/);
  await until('the door to the rest is open', async () => {
    if ((await door.getAttribute('aria-expanded')) === 'true') return true;
    await door.click();
    await page.waitForTimeout(500);
    return false;
  });
  const table = page.getByRole('table', { name: /^Adequate dose within two minutes/ });
  for (const [by, rows] of [
    ['team', ['heron', 'kestrel', 'tern']],
    ['ward', ['Day unit', 'Theatre + Children’s ward']],
    ['scenario', ['Invented picnic', 'Invented picnic (wasp-sting-orchard)']],
    ['month', [/^\d{4}-\d\d to \d{4}-\d\d/]],
  ] as const) {
    await page.getByLabel('Group by').selectOption(by);
    for (const name of rows)
      await table
        .getByRole('row', {
          name: typeof name === 'string' ? new RegExp(`^${name.replace(/[+()]/g, '\\$&')} \\d`) : name,
        })
        .first()
        .waitFor();
    // Whatever it is by, no row is of one to four runs.
    const counts = await table.locator('tbody td:nth-child(2)').allInnerTexts();
    for (const text of counts) expect(Number(text), `${by}: ${counts.join()}`).toBeGreaterThanOrEqual(5);
  }
  await page.getByLabel('Group by').selectOption('none');
  const curve = page.getByRole('img', { name: /^Share without adequate adrenaline yet. All, 36 runs/ });
  await curve.waitFor();
  expect(await curve.locator('line.censored').count()).toBe(6);
  await page.getByText('a run that ended before an adequate dose').waitFor();
  // What an adequate dose is, and how many first ones were none, stands beside the chart and beside the curve.
  await until(
    'both say it',
    async () => (await page.getByText(/^Adequate means adrenaline as the pack asks/).count()) === 2,
  );
  // One run had a wrong dose: a count so small is not shown, nor what would give it away.
  await page.getByText('Of 36 runs, those in which the first adrenaline was not adequate: not shown').first().waitFor();
  await atBothSizes('curve', () => curve.scrollIntoViewIfNeeded());
});

it(
  'counts under five are words, on the page and in its table; objectives in the scenario’s words',
  { timeout: 300_000 },
  async () => {
    const { page } = faculty;
    await page.getByText('Fewer than 5 of 36 runs.').waitFor();
    await page
      .getByRole('row', { name: /^Help is called before the second dose Invented picnic/ })
      .first()
      .waitFor();
    const csv = await (await page.request.get(`${server.origin}/api/programme.csv`)).text();
    expect(csv).toMatch(/runs with a critical dose error,all,fewer than 5,,,36,/);
    // What makes a signal is told by the sessions' numbers, which are theirs above it.
    const sessions = [...csv.matchAll(/adequate adrenaline, seconds","session (\d+), \d{4}-\d\d",([\d.]+),/g)];
    expect(sessions.map(([, n]) => Number(n))).toEqual(sessions.map((_, i) => i + 1));
    const trend = /chart signal,trend of 5,([\d ]+),/.exec(csv)![1]!.split(' ');
    const times = trend.map((n) => Number(sessions[Number(n) - 1]![2]));
    const steps = times.slice(1).map((time, i) => Math.sign(time - times[i]!));
    expect([times.length, new Set(steps).size]).toEqual([5, 1]);
    expect(csv).toMatch(/chart warning,"?\d+ useful points: past the table of allowed runs/);
  },
);

it('rules of the chart are chosen by name, and stand with their source', { timeout: 300_000 }, async () => {
  const { page } = faculty;
  for (const [rules, source] of [
    ['control-chart', /Control chart.*Five rules for control charts/],
    ['xmr-four-rules', /XmR chart, four rules/],
    ['runs-only', /Runs analysis.*Anhøj/],
    ['run-chart', /Run chart.*Perla/],
  ] as const) {
    await page.getByLabel('Chart rules').selectOption(rules);
    await page.getByText(source).first().waitFor();
    // Limits belong to charts about a mean, and to no other.
    await until(`limits stand or fall with ${rules}`, async () =>
      ['control-chart', 'xmr-four-rules'].includes(rules)
        ? (await page.locator('line.limit').count()) === 2
        : (await page.locator('line.limit').count()) === 0,
    );
  }
  await atBothSizes('rules', () => page.getByRole('slider').scrollIntoViewIfNeeded());
});

it(
  'a problem: owner, due, mended, and open on that ward’s next preparation until tried again',
  { timeout: 400_000 },
  async () => {
    const { page } = faculty;
    const site = await ask<object>('GET', '/api/site');
    await ask('PUT', '/api/site', { ...site, wards: ['Children’s ward', 'Day unit'] });
    await ask('POST', '/api/people', { pseudonym: 'heron', name: 'Wanda Sample', consent: false });
    await ask('POST', '/api/problems', {
      ward: 'Day unit',
      category: 'kit',
      words: 'Wanda Sample found no small mask',
    });
    const prepare = async () => {
      const made = await ask<{ runId: string }>('POST', '/api/runs', {
        scenarioId: 'cashew-cookery-club',
        packId: 'anaphylaxis-uk-2021',
        ward: 'Day unit',
      });
      await page.goto(`${server.origin}/prebrief/${made.runId}`);
    };
    await prepare();
    await page.getByText('Day unit: one problem is still open').waitFor();
    await page.goto(`${server.origin}/problems`);
    await button(faculty, /^Follow: Wanda/).click();
    await page.getByLabel('Owner’s role').fill('Stores lead');
    await page.getByLabel('Due').fill('2027-02-01');
    await page.getByLabel('Status').selectOption('fixed');
    await button(faculty, 'Save').click();
    await page.getByText('Due 1 Feb 2027').waitFor();
    await atBothSizes('register', () => page.getByText('Stores lead').scrollIntoViewIfNeeded());
    await prepare();
    await page.getByText('said to be mended, try it again').waitFor();
    await page.goto(`${server.origin}/problems`);
    await button(faculty, /^Follow: Wanda/).click();
    await page.getByLabel('Status').selectOption('retested');
    await button(faculty, 'Save').click();
    await page.getByText('None of these').waitFor();
    await prepare();
    await page.getByRole('heading').first().waitFor();
    await page.waitForLoadState('networkidle');
    expect(await page.getByText('still open').count()).toBe(0);
    const csv = await (await page.request.get(`${server.origin}/api/problems.csv`)).text();
    expect(csv).toContain('heron found no small mask');
    expect(csv).not.toContain('Wanda');
  },
);

it('one person’s data is given out, then deleted: names gone, scores as they were', { timeout: 400_000 }, async () => {
  const { page } = faculty;
  await page.goto(`${server.origin}/privacy`);
  const file = page.waitForEvent('download');
  await page.getByRole('link', { name: 'Their data: heron' }).click();
  const given = JSON.parse(readFileSync((await (await file).path())!, 'utf8')) as {
    person: { name: string };
    summaries: { team: string }[];
    problems: { words: string }[];
  };
  expect(given).toMatchObject({
    person: { name: 'Wanda Sample' },
    problems: [{ words: expect.stringContaining('small mask') as string }],
  });
  expect(given.summaries).toHaveLength(12);
  const before = await ask<{ runs: number; givenInAll: object }>('GET', '/api/programme');
  await button(faculty, 'Delete data: heron').click();
  await button(faculty, 'Yes, delete data: heron').click();
  await page.getByText('Nobody is known by name.').waitFor();
  const after = await ask<{ runs: number; givenInAll: object }>('GET', '/api/programme?groupBy=team');
  expect(after).toMatchObject({ runs: before.runs, givenInAll: before.givenInAll });
  expect(JSON.stringify(after)).not.toMatch(/heron|Wanda/);
  expect(JSON.stringify(await ask('GET', '/api/problems'))).not.toContain('Wanda');
  await atBothSizes('privacy', () =>
    page.getByRole('heading', { name: 'How long it is kept' }).scrollIntoViewIfNeeded(),
  );
  await until('no page complained', () => faculty.complaints.length === 0, 1_000);
});
