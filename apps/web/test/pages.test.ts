/**
 * The pages before and after a drill, in a real browser against a stand-in server: axe-core finds nothing, no page
 * scrolls sideways, nothing tappable is under 44 px high, nothing is asked of the outside, and the keyboard can do it.
 * `SHOTS=/some/folder` also writes a picture of each page, theme and size.
 */
import { execFileSync } from 'node:child_process';
import { existsSync, mkdirSync, readFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import type { Browser, Page } from 'playwright-core';
import { afterAll, afterEach, beforeAll, describe, expect, it } from 'vitest';
import { BUILD, startSmallServer, type Condition, type SmallServer } from './small-server.ts';
import { axeFindings } from '../../../tests/axe.ts';
import { launch, newScreen } from '../../../tests/browser.ts';

const SIZES = [
  [390, 844],
  [768, 1024],
  [1024, 768],
  [1366, 768],
  [1920, 1080],
] as const;

const PAGES: { name: string; path: string; ready: string; condition?: Condition }[] = [
  { name: 'sign-in', path: '/', ready: 'text=Faculty passphrase', condition: { signedIn: false } },
  { name: 'library', path: '/library', ready: 'text=Start a run' },
  { name: 'library-empty', path: '/library', ready: 'text=No scenarios yet', condition: { empty: true } },
  { name: 'library-failing', path: '/library', ready: 'text=Could not read the library', condition: { failing: true } },
  { name: 'library-slow', path: '/library', ready: '.skeleton', condition: { slow: true } },
  { name: 'prebrief', path: '/prebrief/r1', ready: 'text=Read this out' },
  { name: 'prebrief-unknown', path: '/prebrief/nope', ready: 'text=Could not open this run' },
  { name: 'runs', path: '/runs', ready: 'text=Continue' },
  { name: 'runs-empty', path: '/runs', ready: 'text=No runs yet', condition: { empty: true } },
  { name: 'join', path: '/join', ready: 'text=Type the code' },
  { name: 'not-found', path: '/nowhere', ready: 'text=NO_SUCH_PAGE' },
  { name: 'gallery', path: '/gallery', ready: 'text=Every part in every state' },
];

const shots = process.env['SHOTS'];
let server: SmallServer;
let browser: Browser;

beforeAll(async () => {
  if (!existsSync(`${BUILD}/index.html`)) {
    execFileSync('npm', ['run', 'build'], { cwd: fileURLToPath(new URL('..', import.meta.url)), stdio: 'inherit' });
  }
  server = await startSmallServer();
  browser = await launch();
});

afterAll(async () => {
  await browser?.close();
  await server?.close();
});

/** One window serves every walk, emptied before each: opening it anew costs more than most of what is done in it. */
let page: Page | null = null;
afterEach(async ({ task }) => {
  await page?.context().setOffline(false);
  if (task.result?.state !== 'fail') return;
  await page?.context().close();
  page = null;
});

async function open(
  path: string,
  ready: string,
  {
    condition = {},
    theme = 'light',
    size = SIZES[3],
  }: { condition?: Condition; theme?: 'light' | 'dark'; size?: readonly [number, number] } = {},
): Promise<Page> {
  page ??= await (await newScreen(browser, size, 'few', { reducedMotion: 'reduce' })).newPage();
  await page.setViewportSize({ width: size[0], height: size[1] });
  await page.emulateMedia({ colorScheme: theme });
  // A page of the same origin that is no app: only what the walk before kept is wanted.
  await page.goto(`${server.url}/icon.svg`);
  await page.evaluate(async () => {
    sessionStorage.clear();
    localStorage.clear();
    for (const { name } of await indexedDB.databases()) if (name) indexedDB.deleteDatabase(name);
  });
  await page.context().clearCookies();
  server.condition = { ...condition };
  server.received.length = 0;
  await page.goto(server.url + path);
  await page.waitForSelector(ready);
  await page.evaluate(() => document.fonts.ready.then(() => undefined));
  return page;
}

/** What sticks out when the page scrolls sideways; empty when it does not. */
const sidewaysScroll = (on: Page): Promise<string[]> =>
  on.evaluate(() => {
    const { scrollWidth, clientWidth } = document.documentElement;
    if (scrollWidth <= clientWidth) return [];
    const wide = [...document.querySelectorAll('body *')].filter(
      (element) => element.getBoundingClientRect().right > clientWidth + 0.5,
    );
    return [`${scrollWidth} in ${clientWidth}`, ...wide.map((element) => element.outerHTML.slice(0, 120))];
  });

/** Things to tap that are less than 44 px high; links inside running text are exempt (WCAG 2.5.8, inline). */
const smallTargets = (on: Page): Promise<string[]> =>
  on.evaluate(() =>
    [...document.querySelectorAll('button, a[href], select, input, [role=tab]')].flatMap((element) => {
      if (element.closest('p, .aside-only, .field') && element.tagName !== 'SELECT') return [];
      if (element.matches('.skip, .aside-only, [type=file], [aria-hidden=true]')) return [];
      const target = element.closest('.check, .switch') ?? element;
      const { width, height } = target.getBoundingClientRect();
      return width > 0 && (height < 43.5 || width < 43.5)
        ? [`${element.outerHTML.slice(0, 120)} is ${Math.round(width)}×${Math.round(height)}`]
        : [];
    }),
  );

describe('every page', () => {
  const outside: string[] = [];
  const complaints: string[] = [];
  let on: Page;
  // One window goes through all of them: opening it anew costs more than most of what is looked at.
  beforeAll(async () => {
    const context = await newScreen(browser, SIZES[0], 'few', { reducedMotion: 'reduce' });
    on = await context.newPage();
    on.on('request', (request) => {
      if (!request.url().startsWith(server.url) && !/^(data|blob):/.test(request.url())) outside.push(request.url());
    });
    on.on('console', (message) => {
      if (message.type() === 'error' && !/status of (404|500)|Not found: \/nowhere/.test(message.text()))
        complaints.push(message.text());
    });
    on.on('pageerror', (error) => complaints.push(String(error)));
  });
  afterAll(() => on.context().close());

  for (const { name, path, ready, condition } of PAGES) {
    it(`${name}: clean by axe-core, no sideways scroll, thumb-sized, at every size in both themes`, async () => {
      server.condition = { ...condition };
      for (const theme of ['light', 'dark'] as const) {
        await on.emulateMedia({ colorScheme: theme });
        await on.goto(server.url + path);
        await on.waitForSelector(ready);
        await on.evaluate(() => document.fonts.ready.then(() => undefined));
        for (const [width, height] of SIZES) {
          const where = `${theme}, ${width}`;
          await on.setViewportSize({ width, height });
          expect(await sidewaysScroll(on), `sideways scroll, ${where}`).toEqual([]);
          expect(await smallTargets(on), `small targets, ${where}`).toEqual([]);
          if (width === 390 || width === 1366)
            expect(await axeFindings(on, theme === 'light' ? 'all' : 'colour'), `axe, ${where}`).toEqual([]);
          if (shots) {
            mkdirSync(shots, { recursive: true });
            await on.screenshot({ path: `${shots}/${name}-${theme}-${width}.png`, fullPage: name !== 'sign-in' });
          }
        }
        expect(await on.evaluate(() => document.documentElement.dataset['theme'])).toBe(theme);
      }
      expect(await on.locator('text=SIMULATION – NOT FOR CLINICAL USE').first().isVisible()).toBe(true);
      expect(outside).toEqual([]);
      expect(complaints).toEqual([]);
    });
  }
});

describe('the way through', () => {
  it('signs in by keyboard after a wrong try, told in words', async () => {
    const on = await open('/library', 'text=Faculty passphrase', { condition: { signedIn: false } });
    expect(new URL(on.url()).searchParams.get('next')).toBe('/library');
    await on.getByLabel('Faculty passphrase').focus();
    await on.keyboard.type('wrong');
    await on.keyboard.press('Enter');
    await on.waitForSelector('text=That is not the passphrase.');
    await on.getByLabel('Faculty passphrase').fill('open sesame');
    await on.keyboard.press('Enter');
    await on.waitForURL('**/library');
  });

  it('starts a run with another weight and pack, by keyboard, and lands on its prebrief', async () => {
    const on = await open('/library', 'text=Start a run');
    await on.getByRole('button', { name: 'Weight or pack: Sesame reaction' }).focus();
    await on.keyboard.press('Enter');
    const sheet = on.getByRole('dialog', { name: 'Start a run' });
    await sheet.waitFor();
    await sheet.getByLabel('Guideline pack').selectOption('anaphylaxis-b');
    await sheet.getByLabel('Patient’s weight', { exact: true }).fill('');
    expect(await sheet.getByRole('button', { name: 'Open the prebrief' }).isDisabled()).toBe(true);
    await sheet.getByLabel('Patient’s weight', { exact: true }).fill('30');
    await sheet.getByRole('button', { name: 'Open the prebrief' }).click();
    await on.waitForURL('**/prebrief/r1');
    expect(server.received.find((call) => call.method === 'POST' && call.path === '/api/runs')?.body).toEqual({
      scenarioId: 'sesame-museum-trip',
      packId: 'anaphylaxis-b',
      weightKg: 30,
    });
  });

  it('starts a run in one tap as written, and remembers it as the last used', async () => {
    const on = await open('/library', 'text=Start a run');
    const wasp = on.getByRole('article', { name: 'Wasp sting in the orchard, with shock' });
    await wasp.getByRole('button', { name: 'Start a run' }).click();
    await on.waitForURL('**/prebrief/r1');
    expect(server.received.find((call) => call.method === 'POST' && call.path === '/api/runs')?.body).toEqual({
      scenarioId: 'wasp-orchard',
      packId: 'anaphylaxis-a',
    });
    await on.goto(`${server.url}/library`);
    await wasp.getByText('Last used').waitFor();
    expect(await on.getByRole('article').first().getAttribute('aria-labelledby')).toBe('scenario-wasp-orchard');
  });

  it('finds a scenario by word and by filter, and says when nothing matches', async () => {
    const on = await open('/library', 'text=Start a run');
    const titles = () => on.getByRole('article').getByRole('heading', { level: 2 }).allInnerTexts();
    expect(await titles()).toEqual(['Sesame reaction on a school trip', 'Wasp sting in the orchard, with shock']);
    await on.getByLabel('Age', { exact: true }).selectOption({ label: 'Adults' });
    expect(await titles()).toEqual(['Wasp sting in the orchard, with shock']);
    await on.getByLabel('Find', { exact: true }).fill('sesame');
    await on.waitForSelector('text=Nothing matches');
    await on.getByRole('button', { name: 'Show all' }).click();
    await on.getByLabel('Level', { exact: true }).selectOption({ label: 'Novice' });
    expect(await titles()).toEqual(['Sesame reaction on a school trip']);
  });

  it('closes the start panel with Escape and gives the focus back', async () => {
    const on = await open('/library', 'text=Start a run');
    const start = on.getByRole('button', { name: /^Weight or pack: / }).first();
    await start.click();
    await on.getByRole('dialog').waitFor();
    await on.keyboard.press('Escape');
    await on.getByRole('dialog').waitFor({ state: 'detached' });
    expect(await start.evaluate((element) => element === document.activeElement)).toBe(true);
  });

  it('logs prebrief ticks, and unticks', async () => {
    const on = await open('/prebrief/r1', 'text=Read this out');
    await on.getByRole('button', { name: /^Room and kit/ }).click();
    const tick = on.getByRole('checkbox', { name: 'Trolley at hip height' });
    await tick.click();
    await expect.poll(() => tick.getAttribute('aria-checked')).toBe('true');
    await tick.focus();
    await on.keyboard.press('Space');
    await expect.poll(() => tick.getAttribute('aria-checked')).toBe('false');
    await expect
      .poll(() => server.received.filter((call) => call.method === 'WS').map((call) => call.body))
      .toEqual([
        { kind: 'prebrief-item', item: 'Trolley at hip height', done: true },
        { kind: 'prebrief-item', item: 'Trolley at hip height', done: false },
      ]);
    expect(await on.getByRole('link', { name: 'Go to console' }).first().getAttribute('href')).toBe('/console/r1');
  });

  it('prints the prebrief on one page of A4', async () => {
    const on = await open('/prebrief/r1', 'text=Read this out');
    const pdf = await on.pdf({ format: 'A4', margin: { top: '12mm', bottom: '12mm', left: '12mm', right: '12mm' } });
    expect(pdf.toString('latin1').match(/\/Type\s*\/Page\b(?!s)/g)?.length).toBe(1);
    if (shots) {
      await on.emulateMedia({ media: 'print' });
      await on.setViewportSize({ width: 700, height: 1000 });
      await on.screenshot({ path: `${shots}/prebrief-print.png`, fullPage: true });
      await on.emulateMedia({ media: 'screen' });
    }
  });

  it('joins by typing the code in any case, and says so when there is no such code', async () => {
    const on = await open('/join', 'text=Type the code', { size: [390, 844] });
    await on.keyboard.type('zzzzzz');
    await on.waitForSelector('text=No open run has this code.');
    await on.getByLabel('Type the code').fill('ac7-de9');
    await on.waitForURL('**/monitor');
    expect(server.received.filter((call) => call.path === '/api/join')[1]?.body).toEqual({ code: 'AC7DE9' });
    expect(await on.evaluate(() => sessionStorage.getItem('breathline-join-code'))).toBe('AC7DE9');
  });

  it('joins from a QR code without leaving the code in the address', async () => {
    const on = await open('/join?code=AC7DE9', '#app');
    await on.waitForURL('**/monitor');
  });

  it('refuses a wrong import file in words, and takes a right one', async () => {
    const on = await open('/runs', 'text=Continue');
    const picker = on.locator('input[type=file]');
    await picker.setInputFiles({ name: 'holiday.json', mimeType: 'application/json', buffer: Buffer.from('{"a":') });
    await on.waitForSelector('text=RUN_FILE_NOT_JSON');
    await picker.setInputFiles({ name: 'other.json', mimeType: 'application/json', buffer: Buffer.from('{"a":1}') });
    await on.waitForSelector('text=RUN_FILE_NOT_A_RUN');
    expect(server.received.some((call) => call.path === '/api/runs/import')).toBe(false);
    const run = { format: 'breathline-run', formatVersion: 1 };
    await picker.setInputFiles({
      name: 'run.json',
      mimeType: 'application/json',
      buffer: Buffer.from(JSON.stringify(run)),
    });
    await on.waitForSelector('text=It scores the same here');
    expect(server.received.find((call) => call.path === '/api/runs/import')?.body).toEqual(run);
  });

  it('exports a run as a file, and says in words when it can not', async () => {
    const on = await open('/runs', 'text=Continue');
    const [download] = await Promise.all([
      on.waitForEvent('download'),
      on.getByRole('button', { name: 'Export: Wasp sting in the orchard, with shock, ended' }).click(),
    ]);
    expect(download.suggestedFilename()).toBe('breathline-sesame-museum-trip-2026-11-20-r3.json');
    expect(JSON.parse(readFileSync(await download.path(), 'utf8'))).toMatchObject({
      format: 'breathline-run',
      runId: 'r3',
    });
    await on.getByRole('button', { name: 'Export: Sesame reaction on a school trip, ready' }).click();
    await on.waitForSelector('text=Not exported. Nothing is kept at');
  });

  it('shows what the reader doubts in a file when asked', async () => {
    const on = await open('/library', 'text=Start a run');
    await on.getByText('2 warnings in the file').first().waitFor();
    await on.getByRole('button', { name: 'More' }).first().click();
    await on.getByRole('button', { name: '2 warnings in the file' }).click();
    await on.waitForSelector('text=Line 12, column 3:');
    await on.waitForSelector('text=No debrief question asks about roles.');
  });

  it('says before a run is made whom and what it needs', async () => {
    const on = await open('/library', 'text=Start a run');
    await on.getByRole('button', { name: 'More' }).first().click();
    await on.getByRole('button', { name: 'Kit to lay out' }).click();
    await on.waitForSelector('text=Non-rebreathe mask, child');
    await on.waitForSelector('text=Team leader');
  });

  it('says when the server is away, and comes back on “Try again”', async () => {
    const on = await open('/runs', 'text=Continue');
    await on.waitForLoadState('networkidle'); // the other screens' code comes in behind
    await on.context().setOffline(true);
    await on.getByRole('link', { name: 'Library' }).click();
    await on.waitForSelector('text=OFFLINE');
    await on.context().setOffline(false);
    await on.getByRole('button', { name: 'Try again' }).click();
    await on.waitForSelector('text=Start a run');
  });

  it('keeps the chosen theme over a reload', async () => {
    const on = await open('/runs', 'text=Continue', { theme: 'light' });
    await on.getByRole('button', { name: 'Dark screen' }).click();
    await on.reload();
    await on.waitForSelector('text=Continue');
    expect(await on.evaluate(() => document.documentElement.dataset['theme'])).toBe('dark');
  });
});
