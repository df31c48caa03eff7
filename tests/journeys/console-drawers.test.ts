/**
 * Every drawer of the console, bright and dark: axe-core finds nothing, nothing is wider than the screen, and on a phone
 * each is one tap away. And a tap made without a network outlives its page: the tab is reloaded, and it is logged once.
 */
import type { Browser } from 'playwright-core';
import { afterAll, beforeAll, expect, it } from 'vitest';
import type { RunExport } from '@breathline/engine';
import { axeFindings } from '../axe.ts';
import { sleep, type TestServer } from '../faults/server.ts';
import { Device, button, firstPassphrase, launch, realServer, signIn, startRunOf, until } from './drive.ts';

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

it('keeps a tap whose page was closed before the server had it, and logs it once at its own time', async () => {
  await faculty.context.setOffline(true);
  await faculty.page.getByText('Not connected: this clock runs on here').waitFor();
  const clock = await faculty.page.locator('.clock .figures').innerText();
  const tappedAtMs = clock.split(':').reduce((sum, part) => sum * 60 + Number(part), 0) * 1000;
  await button(faculty, 'Lie flat').click();
  await faculty.page.getByText('(1 waiting)').waitFor();
  await sleep(3_000);
  await faculty.page.goto('about:blank');
  await faculty.context.setOffline(false);
  for (const visit of [1, 2]) {
    await faculty.page.goto(`${server.origin}/console/${runId}`);
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
}, 120_000);
