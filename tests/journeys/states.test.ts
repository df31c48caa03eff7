/**
 * Every page when things are not as they should be: a server that takes its time, that fails, that is away; nobody signed in;
 * a run that is not there. Each says so in plain words, with a way on, and comes back by itself where it can. The server is
 * real; what it answers is held up or replaced on its way to the page.
 */
import type { Page, Route } from 'playwright-core';
import { afterAll, afterEach, beforeAll, describe, expect, it } from 'vitest';
import { PHONE, expectClean } from './clean.ts';
import { Device, Place, firstPassphrase, until, wordsOf } from './drive.ts';

/** Something stands on the page within this, however long the server takes: a promise with room for a slow machine, ms. */
const SOON_MS = 200;
/** What a person must never read: a program's own words. */
const RAW = /TypeError|ReferenceError|undefined|\[object|NaN|Failed to fetch|Unexpected token|<html|stack|at \w+ \(/;

interface Known {
  readonly path: string;
  /** What stands there only when all is well. */
  readonly well: string | RegExp;
  /** What it says when all is not well, where that is no failure: a page that waits with a line of its own. */
  readonly says?: string;
  /** Needs the run it is about. */
  readonly ofRun?: true;
}

let place: Place;
let faculty: Device;
let page: Page;
let ready = '';
let ended = '';
let joinCode = '';
let crewCode = '';

const known = (): readonly Known[] => [
  { path: '/library', well: 'Start a run' },
  { path: '/runs', well: 'Cashew anaphylaxis' },
  { path: '/programme', well: /Time since the last drill|No ended runs yet/ },
  { path: '/problems', well: 'None of these' },
  { path: '/drills', well: 'Guideline pack' },
  { path: '/privacy', well: 'People and teams' },
  { path: '/site', well: 'Whom we call' },
  { path: `/prebrief/${ready}`, well: 'Read this out', ofRun: true },
  { path: `/backup/${ready}`, well: 'Doses for', ofRun: true },
  { path: `/cleardown/${ended}`, well: 'Before you leave the room', says: 'Not connected', ofRun: true },
  { path: `/console/${ready}`, well: 'Start the run', ofRun: true },
  { path: `/debrief/${ended}`, well: 'How is everyone?', ofRun: true },
];

beforeAll(async () => {
  place = await Place.open();
  faculty = await place.faculty(PHONE);
  ({ page } = faculty);
  await page.emulateMedia({ reducedMotion: 'reduce' });
  const { server } = place;
  await server.call('POST', '/api/login', { passphrase: firstPassphrase(server) });
  const made = async () => {
    const { body } = await server.call<{ runId: string; joinCode: string; crewCode: string }>('POST', '/api/runs', {
      scenarioId: 'cashew-cookery-club',
      packId: 'anaphylaxis-uk-2021',
    });
    return body;
  };
  ({ runId: ready, joinCode, crewCode } = await made());
  ({ runId: ended } = await made());
  let n = 0;
  for (const command of [{ kind: 'run-started' }, { kind: 'mark' }, { kind: 'run-ended', why: 'faculty' }])
    await server.call('POST', `/api/runs/${ended}/commands`, { t: 'command', clientId: 'states', n: ++n, command });
}, 240_000);

afterAll(() => place?.close());
// What one test did to the answers is not what the next one meets.
afterEach(() => page?.unrouteAll({ behavior: 'ignoreErrors' }));

/** All that is asked of the server; and all but who is asking, which most pages want to know first. */
const API = /\/api\//;
const BUT_WHO = /\/api\/(?!me$)/;

/** What becomes of these questions to the server until the function it gives is called. */
const every = async (on: Page, fate: (route: Route) => Promise<void>, asked = API): Promise<() => Promise<void>> => {
  await on.route(asked, fate);
  return () => on.unroute(asked, fate);
};
const fails = (route: Route): Promise<void> =>
  route.fulfill({ status: 500, contentType: 'text/plain', body: 'TypeError: boom\n    at handler (server.js:1:1)' });
const away = (route: Route): Promise<void> => route.abort('internetdisconnected');

const its = (one: Known) => ({ ...one, asked: BUT_WHO });

const alert = (on: Page) => on.getByRole('alert').filter({ hasText: 'Could not' }).first();

/** Words without a program's own, and something to press. */
const expectPlain = async (on: Page, name: string): Promise<void> => {
  const words = await wordsOf(on.locator('body'));
  expect(words, name).not.toMatch(RAW);
  expect(words, `${name} says that it is a simulation`).toMatch(/not for clinical use|not for patient care/i);
  const ways = alert(on).locator('button, a[href]');
  expect(await ways.count(), `${name} has a way on`).toBeGreaterThan(0);
};

describe('a server that takes its time', { timeout: 120_000 }, () => {
  it('every page says at once that it is being opened, and nothing is blank', async () => {
    for (const { path } of known()) {
      const held: Route[] = [];
      const free = await every(page, async (route) => void held.push(route));
      await page.goto(place.server.origin + path, { waitUntil: 'commit' });
      await page.waitForFunction(() => document.body !== null && document.body.innerText.trim() !== '');
      const first = await page.evaluate(() => {
        const seen = performance.getEntriesByType('paint').find(({ name }) => name === 'first-contentful-paint');
        const got = performance.getEntriesByType('navigation')[0] as PerformanceNavigationTiming;
        return { words: document.body.innerText, paintedMs: seen ? seen.startTime - got.responseEnd : null };
      });
      expect(first.words, path).toMatch(/Opening Breathline|Opening|Reading|Listing|Working/);
      expect(first.words, path).not.toMatch(RAW);
      await until(`${path} asks the server who this is`, () => held.length > 0);
      await faculty.shot(`state-slow-${path.split('/')[1]}`);
      await free();
      for (const route of held) await route.continue().catch(() => undefined);
    }
  });

  it('a tap on another page is answered at once, while that page is on its way', async () => {
    /** How long until something stands there, ms. */
    const answered = async (): Promise<number> => {
      await page.goto(`${place.server.origin}/library`);
      await page.getByText('Start a run').first().waitFor();
      const held: Route[] = [];
      const free = await every(page, async (route) => void held.push(route));
      await page.evaluate(() => {
        const from = performance.now();
        const look = (): void => {
          if (/Listing the runs|Opening the page/.test(document.body.innerText))
            Object.assign(globalThis, { answeredMs: performance.now() - from });
          else requestAnimationFrame(look);
        };
        document.querySelector<HTMLElement>('a[href="/runs"]')?.click();
        look();
      });
      await page.waitForFunction(() => 'answeredMs' in globalThis);
      const tookMs = await page.evaluate(() => (globalThis as unknown as { answeredMs: number }).answeredMs);
      await free();
      for (const route of held) await route.continue().catch(() => undefined);
      await page.getByText('Import a run file').waitFor();
      return tookMs;
    };
    // A page that waits for its server never answers soon; one that does not may once be held up by its neighbours.
    let best = await answered();
    for (let more = 0; more < 2 && best >= SOON_MS * 5; more += 1) best = Math.min(best, await answered());
    expect(best).toBeLessThan(SOON_MS * 5);
  });
});

describe('a server that fails', { timeout: 300_000 }, () => {
  it('pages that ask once say so in words, clean by axe-core, and come right when tried again', async () => {
    // Once where already "who is this?" fails, then each page's own words.
    const own = known().filter(({ path }) => !/cleardown|console|debrief/.test(path));
    for (const { path, well, says, asked } of [{ ...known()[0]!, asked: API }, ...own.map(its)]) {
      const mend = await every(page, fails, asked);
      await page.goto(place.server.origin + path);
      if (says) await page.getByText(says, { exact: true }).waitFor();
      else {
        await alert(page).waitFor();
        await expectPlain(page, `${path} with a failing server`);
      }
      // One of each frame that a failure may stand in.
      if (asked === API || /runs|site/.test(path))
        await expectClean(faculty, `state-fails-${path.split('/')[1]}`, PHONE);
      await mend();
      if (!says) await alert(page).getByRole('button', { name: 'Try again' }).click();
      await page.getByText(well).first().waitFor();
    }
  });
});

describe('no network', { timeout: 300_000 }, () => {
  it('every page opened without one says so, and comes by itself once there is', async () => {
    for (const { path, well, says, asked } of [{ ...known()[0]!, asked: API }, ...known().map(its)]) {
      const back = await every(page, away, asked);
      await page.goto(place.server.origin + path);
      if (says) await page.getByText(says, { exact: true }).waitFor();
      else {
        await alert(page).getByText('This page goes on trying by itself.').waitFor();
        await expectPlain(page, `${path} without a network`);
      }
      await faculty.shot(`state-away-${path.split('/')[1]}`);
      await back();
      await page.getByText(well).first().waitFor();
    }
  });
});

describe('nobody signed in, and nothing there', { timeout: 180_000 }, () => {
  it('every page of faculty leads to the sign-in page and back', async () => {
    const stranger = await place.device(PHONE);
    for (const { path } of known()) {
      await stranger.page.goto(place.server.origin + path);
      await stranger.page.getByLabel('Faculty passphrase').waitFor();
      expect(new URL(stranger.page.url()).searchParams.get('next')).toBe(path);
    }
    await stranger.context.close();
  });

  it('a run that is not there is said so, with a way on', async () => {
    for (const { path } of known().filter(({ ofRun }) => ofRun)) {
      const there = `/${path.split('/')[1]}/not-a-run`;
      await page.goto(place.server.origin + there);
      await alert(page).waitFor();
      await expectPlain(page, there);
      expect(await alert(page).innerText()).toMatch(/No such run|no run/i);
      await faculty.shot(`state-nowhere-${path.split('/')[1]}`);
    }
  });

  it('signed out while a page is open, the next page leads to the sign-in page', async () => {
    const other = await place.faculty(PHONE);
    await other.page.getByText('Start a run').first().waitFor();
    await other.context.clearCookies();
    await other.page.getByRole('link', { name: 'Runs' }).first().click();
    await other.page.getByLabel('Faculty passphrase').waitFor();
    await other.context.close();
  });
});

describe('screens of the crew and of learners', { timeout: 180_000 }, () => {
  it('a wrong code, a server away and a failing one are said in words where the code is typed', async () => {
    const phone = await place.device(PHONE);
    const { page: on } = phone;
    await on.goto(`${place.server.origin}/join`);
    const note = on.locator('#code-note');
    const type = async (code: string): Promise<void> => {
      await on.getByLabel('Type the code').fill('');
      await on.getByLabel('Type the code').fill(code);
    };
    await type('ZZZZZZ');
    await until('a wrong code is said', async () => /code/i.test(await note.innerText()));
    for (const fate of [fails, away]) {
      const mend = await every(on, fate);
      await type(joinCode);
      await until('it is said', async () => /try again/i.test(await note.innerText()));
      expect(await wordsOf(on.locator('body'))).not.toMatch(RAW);
      await mend();
    }
    await type(crewCode);
    await on.getByRole('button', { name: /^Logger/ }).click();
    await on.waitForURL('**/crew/console');
    const mend = await every(on, away);
    await on.reload();
    await alert(on).getByText('This page goes on trying by itself.').waitFor();
    await expectPlain(on, 'logger’s console without a network');
    await mend();
    await until('it comes by itself', async () => (await alert(on).count()) === 0);
    await phone.context.close();
  });
});
