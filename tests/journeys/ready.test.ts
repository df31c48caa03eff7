/**
 * Before the start and after the end, on a real server: the readiness board counts what is so, ticks outlive a reload, a
 * drill beside real patients says "not go" until it may and logs why it went on, the back-up card fits two sides of A4 with
 * the engine's own numbers, and the clear-down is kept.
 */
import type { Browser, Page } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { rehearse, type RunDefinition, type RunEvent } from '@breathline/engine';
import type { TestServer } from '../faults/server.ts';
import { PHONE, TABLET, expectClean, expectThumbs } from './clean.ts';
import { peopledScenarios } from './peopled.ts';
import { Device, button, firstPassphrase, joinByCode, joinCodeOf, launch, realServer } from './drive.ts';
import { signIn, startRunOf, until, wordsOf } from './drive.ts';

const TITLE = 'Cashew anaphylaxis after the cookery club';
let server: TestServer;
let browser: Browser;
let faculty: Device;
let page: Page;
let runId = '';

beforeAll(async () => {
  server = realServer({ BREATHLINE_SCENARIOS: peopledScenarios() });
  await server.start();
  browser = await launch();
  faculty = await Device.open(browser, TABLET);
  ({ page } = faculty);
  await page.emulateMedia({ reducedMotion: 'reduce' });
  await signIn(faculty, server, firstPassphrase(server));
}, 240_000);

afterAll(async () => {
  await browser?.close();
  await server?.dispose();
});

const get = async <T>(address: string): Promise<T> =>
  (await (await page.request.get(server.origin + address)).json()) as T;
const exported = async (): Promise<readonly RunEvent[]> =>
  (await get<{ events: RunEvent[] }>(`/api/runs/${runId}/export`)).events;
const ticksIn = (events: readonly RunEvent[]) =>
  events.flatMap((event) => (event.kind === 'prebrief-item' ? [[event.item, event.done] as const] : []));

const group = (name: string) => page.getByRole('button', { name: new RegExp(`^${name}`) });
const countOf = async (name: string): Promise<string> => /\d+ of \d+/.exec(await wordsOf(group(name)))?.[0] ?? '';
const tick = (words: string) => page.getByRole('checkbox', { name: words });
const ticked = async (words: string, on = true): Promise<void> =>
  until(
    `“${words}” is ${on ? '' : 'not '}ticked`,
    async () => (await tick(words).getAttribute('aria-checked')) === String(on),
  );

describe('the readiness board', { timeout: 240_000 }, () => {
  it('counts a monitor that joins, a sound that was heard, roles given, and keeps ticks over a reload', async () => {
    runId = await startRunOf(faculty, TITLE);
    await page.getByRole('heading', { name: 'Ready?' }).waitFor();
    await group('Screens').click();
    expect(await countOf('Screens')).toBe('0 of 3');
    const monitor = await Device.open(browser, TABLET);
    await joinByCode(monitor, server, await joinCodeOf(faculty));
    await page.getByText('Learners’ screens joined: 1').waitFor();
    expect(await countOf('Screens')).toBe('1 of 3');

    await button(faculty, 'Play a test sound').click();
    await until('the monitor is told to play it', () =>
      (monitor.monitor.playing ?? []).some(({ sound }) => sound === 'knock-at-the-door'),
    );
    await tick('The test sound was heard where learners will stand').click();
    await until('it counts', async () => (await countOf('Screens')) === '2 of 3');

    await group('Machine').click();
    await page.getByText(/Disk: \d+ [GM]B free/).waitFor();
    await page.getByText(/The log can be written and synced/).waitFor();

    await group('People').click();
    await button(faculty, 'Give a seat: Team leader').click();
    await button(faculty, 'Take back: Team leader').waitFor();
    await button(faculty, 'Give a seat: Nurse one').click();
    await button(faculty, 'Take back: Nurse one').click();
    await button(faculty, 'Give a seat: Nurse one').waitFor();

    await group('Safe to speak').click();
    await tick('Said aloud: slips are expected here; they are what we learn from').click();
    // The machine's own lines are left out: a copy of the store may be made meanwhile.
    const counted = () => Promise.all(['Screens', 'People', 'Safe to speak'].map(countOf));
    const before = await counted();
    await until('all is on disk', async () => ticksIn(await exported()).length === 2);
    await page.reload();
    await page.getByText('Learners’ screens joined: 1').waitFor();
    await until('the same is counted again', async () => String(await counted()) === String(before));
    await group('Screens').click();
    await ticked('The test sound was heard where learners will stand');
    expect(await page.locator('.line time').first().innerText()).toMatch(/^\d\d:\d\d$/);
    const events = await exported();
    expect(ticksIn(events)).toEqual([
      ['ready:sound', true],
      ['safe:mistakes', true],
    ]);
    expect(events.filter(({ kind }) => kind === 'seat-changed')).toHaveLength(3);
    expect(events.every(({ wallTime }) => !Number.isNaN(Date.parse(wallTime)))).toBe(true);
    await monitor.page.context().close();
    await page.getByText('No learners’ screen has joined').waitFor();
    expect(await countOf('Screens')).toBe('1 of 3');
  });

  it('is plain about arrest, and clean at each size in both themes', async () => {
    await page.getByText('Arrest only if you say so.').waitFor();
    for (const size of [TABLET, PHONE, [1440, 900], [768, 1024]] as const) await expectClean(faculty, 'ready', size);
    await expectThumbs(faculty, 'readiness board');
    await page.setViewportSize({ width: TABLET[0], height: TABLET[1] });
  });

  it('in situ: not go until every line is ticked; going on all the same needs a reason, and the log has it', async () => {
    await page.getByRole('switch', { name: /In situ/ }).click();
    await page.getByRole('heading', { name: 'Not go' }).waitFor();
    expect(await page.getByRole('link', { name: 'Go to console' }).count()).toBe(0);
    await group('Go or no-go').click();
    await tick('Acuity: no real patient will wait because of this').click();
    await expectClean(faculty, 'ready-not-go', PHONE);
    await expectClean(faculty, 'ready-not-go', TABLET);
    await button(faculty, 'Go on with this reason').click();
    await page.getByText('A reason is needed').waitFor();
    await page.getByLabel('Going on all the same?').fill('Switchboard does not answer; told by radio');
    await button(faculty, 'Go on with this reason').click();
    await page.getByText('Going on all the same', { exact: false }).filter({ hasText: 'said at' }).waitFor();
    await page.getByRole('link', { name: 'Go to console' }).first().waitFor();
    const events = await exported();
    const note = events.find((event) => event.kind === 'note');
    expect(note?.kind === 'note' && note.text).toBe(
      'Not go: staffing, nurse in charge, switchboard, families nearby, real kit, drugs labelled, drugs counted, ' +
        'nothing live near actors. Reason: Switchboard does not answer; told by radio',
    );
    expect(ticksIn(events)).toContainEqual(['insitu:not-go', true]);
    await page.reload();
    await page.getByText('told by radio').waitFor();
    await button(faculty, 'Take that back').click();
    await button(faculty, 'Go on with this reason').waitFor();
    expect(await page.getByRole('link', { name: 'Go to console' }).count()).toBe(0);
    await group('Go or no-go').click();
    await page.getByLabel('Simulated drugs in the room').fill('12');
    await button(faculty, 'Keep').click();
    await ticked('Simulated drugs were counted in');
    for (const box of await page.getByRole('region', { name: 'Go or no-go' }).getByRole('checkbox').all())
      if ((await box.getAttribute('aria-checked')) === 'false') await box.click();
    await page.getByRole('heading', { name: 'Go', exact: true }).waitFor();
    await page.getByRole('link', { name: 'Go to console' }).first().waitFor();
    await expectClean(faculty, 'ready-go', PHONE);
    await page.setViewportSize({ width: TABLET[0], height: TABLET[1] });
  });

  it('the back-up card: two sides of A4, the engine’s own minutes, the published dose, training only', async () => {
    await page.goto(`${server.origin}/backup/${runId}`);
    await page.getByRole('article', { name: /^Side one/ }).waitFor();
    const pdf = await page.pdf({ preferCSSPageSize: true });
    expect(pdf.toString('latin1').match(/\/Type\s*\/Page\b(?!s)/g)).toHaveLength(2);
    const { definition } = await get<{ definition: RunDefinition }>(`/api/runs/${runId}`);
    const untreated = rehearse(definition, { name: 'x', forMs: 1_200_000, acts: [], expect: [] }).track;
    const rows = await page.getByRole('table', { name: 'Nobody treats' }).locator('tbody tr').all();
    expect(rows).toHaveLength(21);
    for (const minute of [0, 3, 8]) {
      const at = untreated.find(({ atMs }) => atMs >= minute * 60_000)?.true;
      const cells = await rows[minute]!.locator('th, td').allInnerTexts();
      expect(cells.slice(0, 3)).toEqual([
        String(minute),
        String(Math.round(at?.spo2Percent ?? -1)),
        String(Math.round(at?.heartRatePerMin ?? -1)),
      ]);
    }
    // Resuscitation Council UK, Emergency treatment of anaphylaxis, 2021: 300 micrograms IM (0.3 mL of 1 mg/mL), 6 to 12 years.
    const doses = await wordsOf(page.getByRole('article', { name: /^Side two/ }));
    expect(doses).toContain('300 micrograms = 0.3 mL of 1 mg/mL');
    expect(doses).toContain('Training only, not for patient care.');
    expect(doses).toContain('The advice line');
    await expectClean(faculty, 'backup', TABLET);
    await expectClean(faculty, 'backup', PHONE);
    await page.setViewportSize({ width: TABLET[0], height: TABLET[1] });
  });

  it('after the end: the clear-down is reached from the runs, silences screens, and is kept', async () => {
    await page.goto(`${server.origin}/console/${runId}`);
    await page.getByRole('link', { name: /\d+ of \d+ ready/ }).waitFor();
    await button(faculty, 'Start the run').click();
    await until('it runs', () => faculty.faculty.view.phase === 'running');
    const live = await page.request.post(`${server.origin}/api/runs/${runId}/commands`, {
      headers: { origin: server.origin },
      data: {
        t: 'command',
        clientId: 'ready-journey',
        n: 1,
        baseSeq: faculty.faculty.seq,
        command: { kind: 'run-ended', why: 'the journey ends it' },
      },
    });
    expect(live.ok(), await live.text()).toBe(true);
    await page.goto(`${server.origin}/runs`);
    await page.getByRole('link', { name: `Clear down: ${TITLE}, ended` }).click();
    await page.getByRole('heading', { name: 'Clear down' }).waitFor();
    await button(faculty, 'Silence every screen now').click();
    await page.getByText('All screens are silent').waitFor();
    await page.getByLabel('Simulated drugs counted back').fill('11');
    await button(faculty, 'Keep').click();
    await page.getByText('1 simulated drug is missing').waitFor();
    await ticked('Simulated drugs were counted back: as many as went in', false);
    await expectClean(faculty, 'cleardown-missing', PHONE);
    await page.getByLabel('Simulated drugs counted back').fill('12');
    await button(faculty, 'Keep').click();
    await page.getByText('1 simulated drug is missing').waitFor({ state: 'detached' });
    await tick('Staff, patients and families nearby were thanked').click();
    await until('both are on disk', async () => {
      const done = ticksIn(await exported()).map(([item]) => item);
      return done.includes('clear:drugs-back') && done.includes('clear:thanked');
    });
    await page.reload();
    await ticked('Simulated drugs were counted back: as many as went in');
    await expectClean(faculty, 'cleardown', TABLET);
    await expectClean(faculty, 'cleardown', PHONE);
    await expectThumbs(faculty, 'clear-down');
    await page.setViewportSize({ width: TABLET[0], height: TABLET[1] });
    await page.getByRole('link', { name: 'To the debrief' }).click();
    await page.getByRole('heading', { name: 'How is everyone?' }).waitFor();
  });

  it('the site: says what is wrong in a box, keeps what is right, and a new run follows it', async () => {
    await page.goto(`${server.origin}/site`);
    await page.getByLabel('Wards and rooms').fill('Bramble assessment unit\n\nTreatment room two');
    await page.getByRole('switch', { name: /In situ unless/ }).click();
    await button(faculty, 'Add a contact').click();
    await page.getByLabel('Its pitch').fill('12');
    await button(faculty, 'Keep these settings').click();
    await page.getByText('Say whom the team asks for, or remove this contact.').waitFor();
    await page.getByText('Between 100 and 8,000 Hz').waitFor();
    expect((await get<{ wards: string[] }>('/api/site')).wards).toEqual([]);
    await expectClean(faculty, 'site-faults', PHONE);
    await page.getByLabel('Its pitch').fill('960');
    await page.getByLabel('The ward’s own alarm').fill('Three short high beeps');
    await page.getByLabel('Whom the team asks for').fill('The children’s doctor');
    await page.getByLabel('Who picks up').fill('The registrar');
    await page.getByLabel('Says and does').fill('Comes, and asks for the weight.');
    await button(faculty, 'Keep these settings').click();
    await page.getByText('Kept. Screens that join').waitFor();
    expect(await get('/api/site')).toMatchObject({
      wards: ['Bramble assessment unit', 'Treatment room two'],
      inSitu: true,
      calls: [{ id: 'the-childrens-doctor', answersAfterMs: 30_000 }],
      wardAlarm: { words: 'Three short high beeps', pitchHz: 960 },
    });
    await expectClean(faculty, 'site', TABLET);
    await expectClean(faculty, 'site', PHONE);
    await expectThumbs(faculty, 'site');
    await page.setViewportSize({ width: TABLET[0], height: TABLET[1] });
    await page.goto(`${server.origin}/library`);
    await expectClean(faculty, 'library', TABLET);
    await expectClean(faculty, 'library', PHONE);
    await button(faculty, `Weight or pack: ${TITLE}`).click();
    await page.getByLabel('Where').selectOption('Treatment room two');
    await page.getByLabel('Team’s pseudonym').fill('Heron');
    await button(faculty, 'Open the prebrief').click();
    await page.getByRole('heading', { name: 'Not go' }).waitFor();
    runId = new URL(page.url()).pathname.split('/').at(-1) ?? '';
    const { run } = await get<{ run: { ward: string; team: string } }>(`/api/runs/${runId}`);
    expect(run).toMatchObject({ ward: 'Treatment room two', team: 'Heron' });
    // Not go, no reason given: the console does not start at the first tap, by its own button or the bar's.
    await page.goto(`${server.origin}/console/${runId}`);
    await page.getByText('NOT GO').waitFor();
    await button(faculty, 'Start the run').click();
    await button(faculty, 'Not go: tap again to start').waitFor();
    await button(faculty, 'Not go: again').waitFor();
    expect((await exported()).some(({ kind }) => kind === 'run-started')).toBe(false);
    const found = await page.request.post(`${server.origin}/api/runs/${runId}/commands`, {
      headers: { origin: server.origin },
      data: {
        t: 'command',
        clientId: 'ready-journey',
        n: 1,
        command: { kind: 'system-problem', category: 'kit', text: 'No child mask in the top drawer' },
      },
    });
    expect(found.ok(), await found.text()).toBe(true);
    // The place is remembered: one tap starts the next there, and its preparation page says what was found.
    await page.goto(`${server.origin}/library`);
    await page.getByText('Started for Treatment room two').waitFor();
    await startRunOf(faculty, TITLE);
    await page.getByText('No child mask in the top drawer').waitFor();
    expect(faculty.complaints).toEqual([]);
  });
});
