/**
 * Every drawer of the console, bright and dark: axe-core finds nothing, nothing is wider than the screen, and on a phone
 * each is one tap away. And a tap made without a network outlives its page: the tab is reloaded, and it is logged once.
 */
import type { Browser } from 'playwright-core';
import { afterAll, beforeAll, expect, it } from 'vitest';
import type { RunExport } from '@breathline/engine';
import { axeFindings } from '../axe.ts';
import { sleep, type TestServer } from '../faults/server.ts';
import { Device, button, firstPassphrase, launch, realServer, signIn, startRunOf, tapped, until } from './drive.ts';

let server: TestServer;
let browser: Browser;
let faculty: Device;
let runId = '';

beforeAll(async () => {
  server = realServer();
  await server.start();
  browser = await launch();
  faculty = await Device.open(browser, [1024, 768]);
  await signIn(faculty, server, firstPassphrase(server));
  runId = await startRunOf(faculty, 'Cashew anaphylaxis after the cookery club');
  await faculty.page.getByRole('link', { name: 'Go to console' }).first().click();
  await button(faculty, 'Start the run').click();
  await until('the run goes', () => faculty.faculty.view.phase === 'running' && faculty.faculty.view.clockMs > 4_000);
}, 240_000);

afterAll(async () => {
  await browser?.close();
  await server?.dispose();
});

const wider = () =>
  faculty.page.evaluate(() => document.documentElement.scrollWidth > document.documentElement.clientWidth);

it('holds in every drawer, in both themes', async () => {
  const found: string[] = [];
  for (const theme of ['light', 'dark']) {
    await faculty.page.evaluate((which) => (document.documentElement.dataset['theme'] = which), theme);
    const tabs = faculty.page.getByRole('tablist', { name: 'Drawers' }).getByRole('tab');
    const count = await tabs.count();
    expect(count).toBeGreaterThanOrEqual(4);
    for (let at = 0; at < count; at++) {
      await tabs.nth(at).click();
      const name = (await tabs.nth(at).getAttribute('id')) ?? '';
      // A colour on its way from one to the other is neither.
      await sleep(350);
      await faculty.shot(`${name}-${theme}`);
      for (const each of await axeFindings(faculty.page, theme === 'light' ? 'all' : 'colour'))
        found.push(`${name} ${theme} ${each}`);
      if (await wider()) found.push(`${name} is wider than the screen`);
    }
  }
  await faculty.page.evaluate(() => (document.documentElement.dataset['theme'] = 'light'));
  expect(found).toEqual([]);
}, 180_000);

it('shows every part in one tap on a phone', async () => {
  await faculty.page.setViewportSize({ width: 390, height: 844 });
  const parts = faculty.page.getByRole('navigation', { name: 'Parts of the console' }).getByRole('button');
  await parts.first().waitFor();
  for (let at = 0; at < (await parts.count()); at++) {
    const box = await parts.nth(at).boundingBox();
    expect(box !== null && box.x >= 0 && box.x + box.width <= 390.5 && box.y + box.height <= 844.5).toBe(true);
    expect(box!.height).toBeGreaterThanOrEqual(44);
    await parts.nth(at).click();
    await until('it is the part in view', async () => (await parts.nth(at).getAttribute('aria-current')) === 'page');
    await faculty.shot(`phone-${at}`);
    expect(await wider()).toBe(false);
  }
  await faculty.page.setViewportSize({ width: 1024, height: 768 });
}, 60_000);

/** Actions in view that something else lies over, or that can not be brought into view: by name. */
const covered = () =>
  faculty.page.evaluate(() => {
    const names: string[] = [];
    for (const action of Array.from(
      document.querySelectorAll<HTMLElement>('.console :is(button, a, input, [role="option"])'),
    )) {
      if (!action.checkVisibility({ visibilityProperty: true })) continue;
      action.scrollIntoView({ block: 'nearest', inline: 'nearest' });
      const { left, top, width, height } = action.getBoundingClientRect();
      const there = document.elementFromPoint(left + width / 2, top + height / 2);
      if (there && (action.contains(there) || there.contains(action))) continue;
      names.push(action.getAttribute('aria-label') ?? action.innerText);
    }
    return names;
  });

it('covers no action on a phone on its side, nor where the line is down, and finds what is on now', async () => {
  const { page } = faculty;
  const found: string[] = [];
  /** A page that was turned takes a moment to lay itself out anew. */
  const look = async (where: string): Promise<void> => {
    let names = await covered();
    for (let tries = 0; names.length > 0 && tries < 10; tries++) {
      await sleep(200);
      names = await covered();
    }
    found.push(...names.map((name) => `${where}: ${name}`));
  };
  try {
    await page.setViewportSize({ width: 844, height: 390 });
    const part = (name: RegExp) =>
      page.getByRole('navigation', { name: 'Parts of the console' }).getByRole('button', { name });
    await part(/^Act/).click();
    await tapped(faculty, button(faculty, /^1?\s*Oxygen 15/).first(), 'Oxygen 15 L/min');
    await look('act');
    const search = page.getByRole('combobox');
    await search.fill('oxyg');
    const answer = page.getByRole('option', { name: /on now, 0:\d\d/ });
    await answer.waitFor();
    expect(await answer.innerText()).toContain('non-rebreathe');
    // The answers that fit are in view without scrolling, under the box.
    await until('the first answer is in view', async () => {
      const box = await page.getByRole('option').first().boundingBox();
      return box !== null && box.y >= 0 && box.y + box.height <= 390;
    });
    await faculty.shot('sideways-search');
    await search.press('Escape');
    await button(faculty, 'More').click();
    await look('menu');
    await faculty.shot('sideways-menu');
    await page.getByRole('button', { name: 'End the run' }).waitFor();
    await button(faculty, 'More').click();
    await page.getByRole('button', { name: 'End the run' }).waitFor({ state: 'detached' });
    expect(await wider()).toBe(false);
    await faculty.context.setOffline(true);
    await page.getByText('Not connected: this clock runs on here').waitFor();
    for (const [width, height] of [
      [844, 390],
      [390, 844],
      [1024, 768],
    ] as const) {
      await page.setViewportSize({ width, height });
      await look(`offline ${width}`);
      await faculty.shot(`offline-${width}`);
    }
    expect(found).toEqual([]);
    // The bottom row stands whole above the line's news, and moves for it by nothing.
    const [last, news] = await Promise.all([
      button(faculty, /^0\s*IV access|IV access/)
        .first()
        .boundingBox(),
      page.locator('.apart p').boundingBox(),
    ]);
    expect(last!.y + last!.height).toBeLessThanOrEqual(news!.y);
  } finally {
    await faculty.context.setOffline(false);
    await page.setViewportSize({ width: 1024, height: 768 });
  }
  await until('the line is back', async () => (await page.locator('.apart p').count()) === 0);
}, 90_000);

it('keeps a tap whose page was closed before the server had it, and logs it once at its own time', async () => {
  await faculty.context.setOffline(true);
  await faculty.page.getByText('Not connected: this clock runs on here').waitFor();
  const clock = await faculty.page.locator('.clock .figures').innerText();
  const tappedAtMs = clock.split(':').reduce((sum, part) => sum * 60 + Number(part), 0) * 1000;
  await button(faculty, 'Lie flat').click();
  await faculty.page.getByRole('button', { name: 'Mark', exact: true }).click();
  await faculty.page.getByText('(2 waiting)').waitFor();
  await sleep(3_000);
  await faculty.page.goto('about:blank');
  await faculty.context.setOffline(false);
  // The network swallows what is asked at first: the page says what is kept, and opens by itself.
  let swallows = true;
  await faculty.context.route('**/api/**', (route) => (swallows ? undefined : route.continue()));
  for (const visit of [1, 2]) {
    await faculty.page.goto(`${server.origin}/console/${runId}`);
    if (swallows) {
      await faculty.page.getByText('2 taps are kept here').waitFor();
      // What was tapped by mistake is undone there and then, as on the page that went.
      await faculty.page.getByRole('button', { name: 'Undo: Mark' }).click();
      await faculty.page.getByText('· taken back').waitFor();
    }
    swallows = false;
    await faculty.page.getByRole('tablist', { name: 'Drawers' }).waitFor();
    if (visit === 1) await sleep(2_000);
  }
  const exported = async (): Promise<RunExport> =>
    (await (await faculty.context.request.get(`${server.origin}/api/runs/${runId}/export`)).json()) as RunExport;
  const laid = async () =>
    (await exported()).events.filter((event) => event.kind === 'intervention' && event.intervention === 'lie-flat');
  await until('it is on the log', async () => (await laid()).length > 0);
  await sleep(1_500);
  const events = await laid();
  expect(events).toHaveLength(1);
  expect(Math.abs(events[0]!.occurredAtMs - tappedAtMs)).toBeLessThanOrEqual(2_000);
  expect(events[0]!.appliedAtMs - events[0]!.occurredAtMs).toBeGreaterThan(2_500);
  await until('the undone mark is taken back', async () => {
    const { events: all } = await exported();
    const mark = all.findLast(({ kind }) => kind === 'mark');
    return all.some((event) => event.kind === 'event-withdrawn' && event.targetSeq === mark?.seq);
  });
}, 120_000);
