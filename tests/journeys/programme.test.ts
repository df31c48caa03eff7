/**
 * The programme: a run on a ward ends and is summed up without anybody asking; its system problem is in the register and
 * followed to the end; the same case again; a micro-drill; a person's name erased. Through axe-core in both themes.
 */
import type { Browser } from 'playwright-core';
import { afterAll, beforeAll, expect, it } from 'vitest';
import { suggestDose, type Library } from '@breathline/scenario';
import { axeFindings } from '../axe.ts';
import type { TestServer } from '../faults/server.ts';
import { Device, button, firstPassphrase, launch, realServer, signIn, until, wordsOf } from './drive.ts';
import { madeRun, putRuns } from './stored-runs.ts';

const SIZES = [
  [390, 844],
  [768, 1024],
  [1280, 800],
  [1920, 1080],
] as const;

let server: TestServer;
let browser: Browser;
let faculty: Device;

/** Invented runs, as a site would have after a year; nothing is scored to show them. */
const aYearOfRuns = (): void =>
  putRuns(
    server.dataFolder,
    Array.from({ length: 34 }, (_, i) => ({
      ...madeRun(i, {
        ward: i < 2 ? 'Theatre' : i % 2 ? 'Children’s ward' : 'Day unit',
        adrenalineMs: i % 9 === 8 ? null : 300_000 - i * 5_500 + ((i * 7919) % 60_000),
        objectives: { adrenaline: i % 5 === 0 ? 'not-seen' : 'seen' },
        wrongDoses: i % 12 === 0 ? 1 : 0,
      }),
      ratings: [
        { behaviour: 'loop', bySeat: { a: 'seen', b: i % 6 === 0 ? 'partly' : 'seen' } },
        { behaviour: 'leads', bySeat: { a: 'not-seen', b: i % 8 === 0 ? 'partly' : 'not-seen' } },
      ],
    })),
  );

beforeAll(async () => {
  server = realServer();
  aYearOfRuns();
  await server.start();
  browser = await launch();
  faculty = await Device.open(browser, [1280, 800], 'every');
  await faculty.page.emulateMedia({ reducedMotion: 'reduce' });
  await signIn(faculty, server, firstPassphrase(server));
}, 240_000);

afterAll(async () => {
  await browser?.close();
  await server?.dispose();
});

/** Asks the server as this browser. */
const ask = <T>(method: string, url: string, body?: object): Promise<T> =>
  faculty.page.evaluate(
    async ([how, where, what]) => {
      const answer = await fetch(where!, {
        method: how!,
        ...(what === '' ? {} : { body: what!, headers: { 'content-type': 'application/json' } }),
      });
      const text = await answer.text();
      if (!answer.ok) throw new Error(`${how} ${where}: ${answer.status} ${text}`);
      return text === '' ? null : (JSON.parse(text) as unknown);
    },
    [method, url, body === undefined ? '' : JSON.stringify(body)],
  ) as Promise<T>;

const clean = async (name: string): Promise<void> => {
  const { page } = faculty;
  for (const [width, height] of SIZES) {
    await page.setViewportSize({ width, height });
    for (const theme of ['light', 'dark']) {
      await page.evaluate(async (chosen) => {
        document.documentElement.dataset['theme'] = chosen;
        for (let frame = 0; frame < 3; frame += 1) await new Promise((resolve) => requestAnimationFrame(resolve));
      }, theme);
      await page.waitForTimeout(300);
      const found = await axeFindings(page, theme === 'light' ? 'all' : 'colour');
      expect(found, `${name}, ${theme}, ${width}×${height}`).toEqual([]);
      const sideways = await page.evaluate(
        () => document.documentElement.scrollWidth - document.documentElement.clientWidth,
      );
      expect(sideways, `${name} scrolls sideways at ${width}`).toBeLessThanOrEqual(0);
      await faculty.shot(`programme-${name}-${theme}-${width}`);
    }
  }
  await page.setViewportSize({ width: 1280, height: 800 });
};

let runId = '';

it(
  'a drill on a ward is summed up when it ends, and its system problem is in the register',
  { timeout: 120_000 },
  async () => {
    const site = await ask<object>('GET', '/api/site');
    await ask('PUT', '/api/site', { ...site, wards: ['Children’s ward', 'Day unit'] });
    const made = await ask<{ runId: string }>('POST', '/api/runs', {
      scenarioId: 'cashew-cookery-club',
      packId: 'anaphylaxis-uk-2021',
      ward: 'Children’s ward',
      team: 'heron',
    });
    runId = made.runId;
    let [n, seq] = [0, 0];
    for (const command of [
      { kind: 'run-started' },
      { kind: 'system-problem', category: 'phone', text: 'No bleep number on the wall' },
      { kind: 'note', text: 'Wanda Sample led' },
      { kind: 'run-ended', why: 'over' },
    ]) {
      n += 1;
      const body = { t: 'command', clientId: 'journey', n, baseSeq: seq, command };
      ({ seq } = await ask<{ seq: number }>('POST', `/api/runs/${runId}/commands`, body));
    }
    await faculty.page.goto(`${server.origin}/programme`);
    await faculty.page.getByRole('heading', { name: 'Time since the last drill' }).waitFor();
    expect(await faculty.page.locator('.wards').innerText()).toMatch(/Children’s ward\s+last drill today/);
    // Two runs are under five: nothing of their times may be read off the page.
    await faculty.page.getByLabel('Ward').selectOption('Theatre');
    await faculty.page.getByText('Fewer than 5 runs: nothing of them is shown').waitFor();
    expect(await faculty.page.getByRole('slider').count()).toBe(0);
  },
);

it(
  'many runs: chart with the keyboard, its table, curves by ward, small wards hidden, another set of rules',
  { timeout: 240_000 },
  async () => {
    const { page } = faculty;
    await page.goto(`${server.origin}/programme`);
    const slider = page.getByRole('slider', { name: 'Session on the chart' });
    await slider.waitFor();
    await slider.focus();
    await page.keyboard.press('End');
    const last = await slider.getAttribute('aria-valuetext');
    await page.keyboard.press('ArrowLeft');
    expect(await slider.getAttribute('aria-valuetext')).not.toBe(last);
    await button(faculty, 'The same as a table').click();
    const shown = Number(await slider.getAttribute('aria-valuemax'));
    await page.getByRole('table', { name: 'Sessions on the chart' }).waitFor();
    expect(await page.getByRole('table', { name: 'Sessions on the chart' }).getByRole('row').count()).toBe(shown + 1);
    await button(faculty, 'The same as a table').click();
    await clean('front');
    await button(faculty, /^Advanced/).click();
    await page.getByLabel('Group by').selectOption('ward');
    // Two runs of a ward are too few to stand apart: they stand with another ward's.
    await page.getByRole('row', { name: /^Theatre \+ / }).waitFor();
    expect(await page.getByRole('row', { name: /^Theatre 2/ }).count()).toBe(0);
    // The other large ward has a curve of its own.
    const joined = await wordsOf(page.getByRole('row', { name: /^Theatre \+ / }));
    const alone = joined.includes('Day unit') ? 'Children’s ward' : 'Day unit';
    await page
      .getByRole('img', { name: new RegExp(`Share without adequate adrenaline yet\\.(.*\\.)? ${alone}, \\d+ runs`) })
      .waitFor();
    await page.getByLabel('Chart rules').selectOption('control-chart');
    await page
      .getByText(
        'Five rules for control charts in health care, as a course of the National Association for Healthcare Quality lists them',
      )
      .first()
      .waitFor();
    await clean('advanced');
    const csv = await page.evaluate(async () => (await fetch('/api/programme.csv?groupBy=ward')).text());
    expect(csv).toMatch(/groups shown together,Theatre \+ [^,]+,Theatre; /);
    expect(csv).toMatch(/runs with a critical dose error,all,fewer than 5,,,35,/);
  },
);

it('the register: followed from open to tried again', { timeout: 240_000 }, async () => {
  const { page } = faculty;
  // From the debrief to the problem's own line.
  await page.goto(`${server.origin}/debrief/${runId}?step=summary`);
  await button(faculty, 'Open the analysis').click();
  await page.getByRole('link', { name: 'Clear down' }).waitFor();
  await page.getByRole('link', { name: 'Follow in the register: No bleep number on the wall' }).click();
  await page.locator('li.looked-for', { hasText: 'No bleep number on the wall' }).waitFor();
  await until('its button has the focus', () =>
    button(faculty, 'Follow: No bleep number on the wall').evaluate((node) => node === document.activeElement),
  );
  await clean('problem-of-a-run');
  await button(faculty, 'Every run').click();
  await button(faculty, 'Follow: No bleep number on the wall').click();
  await page.getByLabel('Risk', { exact: true }).last().selectOption('high');
  await page.getByLabel('Owner’s role').fill('Ward manager');
  await page.getByLabel('Due').fill('2026-13-40');
  await button(faculty, 'Save').click();
  await page.getByText('Could not keep the problem').waitFor();
  await page.getByLabel('Due').fill('2027-01-15');
  await button(faculty, 'Save').click();
  await page.getByText('Due 15 Jan 2027').waitFor();
  await clean('problems');
  await button(faculty, 'Follow: No bleep number on the wall').click();
  await clean('problem-sheet');
  await page.getByLabel('Status').selectOption('retested');
  await button(faculty, 'Save').click();
  await page.getByText('None of these').waitFor();
});

it('a micro-drill asks by seed, and its answer is the pack’s own', { timeout: 240_000 }, async () => {
  const { page } = faculty;
  await page.goto(`${server.origin}/drills?seed=41`);
  await button(faculty, 'Begin').click();
  await page.getByText('Draw up').waitFor();
  await clean('drill');
  const [asked] = await page.locator('.ask').allInnerTexts();
  const found = /Draw up (.+) for an? (?:child|patient) of (\d+) (month|year)s?, ([\d.]+) kg/.exec(
    asked!.replace(/\s+/g, ' '),
  )!;
  expect(found, asked).not.toBeNull();
  const library = await ask<Library>('GET', '/api/library');
  const packId = await page.getByLabel('Guideline pack').inputValue();
  const dose = suggestDose({
    library,
    packId,
    intervention: library.interventions.find(({ name }) => name === found[1])!.id,
    ageYears: found[3] === 'year' ? Number(found[2]) : Number(found[2]) / 12,
    weightKg: Number(found[4]),
  })!;
  await page.getByLabel('Volume in your syringe').fill(String(dose.volumeMl! * 10));
  await button(faculty, 'Check').click();
  await page.getByText('About ten times too much').waitFor();
  expect((await page.locator('.answer').innerText()).replace(/\s+/g, ' ')).toBe(dose.text.replace(/\s+/g, ' '));
  await page.getByText('Training only, not for patient care.').first().waitFor();
  await clean('drill-answer');
});

it(
  'the same case again with another allergen: the story says so, and it does not count',
  { timeout: 240_000 },
  async () => {
    const { page } = faculty;
    await page.goto(`${server.origin}/runs`);
    await button(faculty, /^Again: Cashew/)
      .first()
      .click();
    await page.getByLabel('What did it, as the story says').fill('cashew');
    await page.getByLabel('Say instead').fill('pistachio');
    await clean('again');
    await button(faculty, 'Open the prebrief').click();
    await page.waitForURL('**/prebrief/*');
    const again = new URL(page.url()).pathname.split('/').at(-1)!;
    const { run, definition } = await ask<{
      run: { scored: boolean; ward: string };
      definition: { scenario: { patient: { story: string } } };
    }>('GET', `/api/runs/${again}`);
    expect(run).toMatchObject({ scored: false, ward: 'Children’s ward' });
    expect(definition.scenario.patient.story).toMatch(/pistachio/);
    expect(definition.scenario.patient.story).not.toMatch(/cashew/i);
  },
);

it('a name and the words about it go; the score stays', { timeout: 240_000 }, async () => {
  const { page } = faculty;
  await page.goto(`${server.origin}/privacy`);
  await page.getByLabel('Pseudonym').fill('heron');
  await page.getByLabel('Name', { exact: true }).fill('Wanda Sample');
  await button(faculty, 'Add').click();
  await button(faculty, 'Delete data: heron').waitFor();
  // Not alone without consent; with it, a choice of the page.
  expect(JSON.stringify(await ask('GET', '/api/programme?groupBy=team'))).not.toContain('heron');
  await button(faculty, 'They agreed: heron').click();
  await button(faculty, 'Groups only: heron').waitFor();
  expect(await ask('GET', '/api/programme?team=heron')).toMatchObject({ runs: null, suppressed: true });
  await page.getByLabel('People stay until somebody erases them').uncheck();
  await page.getByRole('spinbutton', { name: 'Days after a person’s last run' }).fill('400');
  await page.getByLabel('Photographs stay until their run is deleted').uncheck();
  await page.getByRole('spinbutton', { name: 'Days a photograph stays' }).fill('14');
  await button(faculty, 'Save').click();
  await until('the periods are kept, each its own', async () => {
    const { wordsDays, peopleDays, photosDays } = await ask<Record<string, unknown>>('GET', '/api/retention');
    return wordsDays === null && peopleDays === 400 && photosDays === 14;
  });
  await clean('privacy');
  const before = await ask<object>('GET', `/api/runs/${runId}/scorecard`);
  await button(faculty, 'Delete data: heron').click();
  await button(faculty, 'Yes, delete data: heron').click();
  await page.getByText('Nobody is known by name.').waitFor();
  expect(await ask('GET', `/api/runs/${runId}/scorecard`)).toEqual(before);
  expect(JSON.stringify(await ask('GET', `/api/runs/${runId}/export`))).not.toContain('Wanda');
  await until('no page complained', () => faculty.complaints.length === 0, 1_000);
});
