/**
 * The drill's own screens, live on a real server, through axe-core in both themes on a tablet and on a phone. (The pages
 * before and after a drill, and the monitor, have theirs in apps/web/test.)
 */
import { execFileSync } from 'node:child_process';
import { mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import path from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { DESK, PHONE, TABLET, expectClean } from './clean.ts';
import { Device, Place, ROOT, button, chooseStructure, startRunOf, tapped, until } from './drive.ts';

const SCENARIO = 'scenarios/cashew-cookery-club.yaml';
const folder = mkdtempSync(path.join(tmpdir(), 'breathline-pages-'));
let place: Place;
let faculty: Device;

beforeAll(async () => {
  place = await Place.open();
  faculty = await place.faculty(TABLET);
  await faculty.page.emulateMedia({ reducedMotion: 'reduce' });
}, 240_000);

afterAll(async () => {
  await place?.close();
  rmSync(folder, { recursive: true, force: true });
});

/** The screen as it stands, at each size and in each theme; `prepare` brings the same state back after a change of layout. */
const clean = async (name: string, prepare: (phone: boolean) => Promise<void> = async () => undefined) => {
  for (const size of [TABLET, PHONE]) {
    await faculty.page.setViewportSize({ width: size[0], height: size[1] });
    await prepare(size === PHONE);
    await expectClean(faculty, `page-${name}`, size);
  }
};

/** Opens a part of the console: a tab on a wide screen, a pane on a phone. */
const open = (wide: string, phone: string) => async (small: boolean) => {
  if (small) {
    await faculty.page
      .getByRole('navigation', { name: 'Parts of the console' })
      .getByRole('button', { name: phone })
      .click();
  } else await faculty.page.getByRole('tab', { name: wide }).click();
};

describe('console and debrief', { timeout: 180_000 }, () => {
  it('console: clean before the start, at work in every part, stopped, and ended', async () => {
    const runId = await startRunOf(faculty, 'Cashew anaphylaxis after the cookery club');
    await faculty.page.goto(`${place.server.origin}/console/${runId}`);
    await button(faculty, 'Start the run').waitFor();
    await clean('console-ready');
    await faculty.page.setViewportSize({ width: 1024, height: 768 });
    await button(faculty, 'Start the run').click();
    await tapped(faculty, button(faculty, /^SpO2\s*put on$/), 'Oximeter probe on');
    await tapped(faculty, button(faculty, 'Given dose seen').first(), 'Adrenaline IM: given');
    await tapped(faculty, button(faculty, 'Mark'), 'Mark');
    await clean('console-say', open('Say', 'Say'));
    await clean('console-log', open('Log', 'Log'));
    await clean('console-script', open('Script', 'Script'));
    await clean('console-patient', open('Steer', 'Patient'));
    await clean('console-why', async (small) => {
      await open('Say', 'Patient')(small);
      const { page } = faculty;
      for (const name of [/Why is the saturation/, /^PEWS/]) {
        const asks = page.getByRole('button', { name });
        if ((await asks.getAttribute('aria-expanded')) === 'false') await asks.click();
      }
      await page
        .getByRole('region', { name: /Why is the saturation/ })
        .getByText('Arterial PO2', { exact: true })
        .waitFor();
      await page.getByText('Teaching model of a simulated patient.').waitFor();
      await page.getByRole('table', { name: 'Points of PEWS (England)' }).waitFor();
    });
    await button(faculty, 'Close why').click();
    await clean('console-act', open('Say', 'Act'));
    await faculty.page
      .getByRole('region', { name: 'Adrenaline, intramuscular' })
      .getByRole('button', { name: /edit/ })
      .click();
    await clean('console-dose');
    await faculty.page.keyboard.press('Escape');
    await button(faculty, 'More').first().click();
    await clean('console-menu');
    await button(faculty, 'Stop: real emergency').click();
    await faculty.page.getByRole('heading', { name: 'STOPPED: REAL EMERGENCY' }).waitFor();
    await clean('console-stopped');
    await button(faculty, 'End the drill').click();
    await faculty.page.getByText('The run has ended').waitFor();
    await clean('console-ended');
    // A drill that a real emergency ended can be talked about like any other.
    await faculty.page.getByRole('link', { name: 'Open the debrief' }).click();
    await faculty.page.getByRole('heading', { name: 'How is everyone?' }).waitFor();
  });

  it('debrief: clean at every step', async () => {
    const { page } = faculty;
    // A long run with questions, misses and a dose: a shipped rehearsal, imported.
    const file = path.join(folder, 'run.json');
    execFileSync(
      process.execPath,
      ['apps/cli/bin/breathline.mjs', 'rehearse', SCENARIO, '--only', 'one dose and no more', '--run', file],
      { cwd: ROOT, stdio: 'ignore' },
    );
    const imported = await page.request.post(`${place.server.origin}/api/runs/import`, {
      data: JSON.parse(readFileSync(file, 'utf8')) as object,
    });
    const { runId } = (await imported.json()) as { runId: string };
    const view = async (name: string) => {
      for (const size of [DESK, PHONE]) await expectClean(faculty, `page-debrief-${name}`, size);
    };
    await page.goto(`${place.server.origin}/debrief/${runId}`);
    await page.getByRole('heading', { name: 'How is everyone?' }).waitFor();
    await view('welcome');
    await chooseStructure(page, 'plus-delta');
    await button(faculty, /^Plus/).click();
    await page.getByText('What went well? Write it down.').waitFor();
    await view('talk');
    await chooseStructure(page, 'three-phases');
    await page.goto(`${page.url().split('?')[0]}?step=reconcile`);
    await page.getByRole('heading', { name: 'These I did not see' }).waitFor();
    await page.getByRole('button', { name: 'Done', exact: true }).first().click();
    await page
      .getByLabel(/^About when/)
      .first()
      .waitFor();
    await view('reconcile');
    await button(faculty, 'Open the analysis').click();
    await page.getByRole('tab', { name: 'Timeline' }).waitFor();
    await view('timeline');
    const part = (name: string) => page.getByRole('tab', { name }).click();
    await part('Scorecard');
    await page.getByRole('heading', { name: 'Against the guideline' }).waitFor();
    await button(faculty, /Evidence and source/)
      .first()
      .click();
    await until('its evidence is open', () => page.getByText('Source.', { exact: true }).first().isVisible());
    await view('scorecard');
    await part('Replay');
    await page.locator('[data-replay-ms]').waitFor();
    await view('replay');
    await part('What if');
    await page.getByText('For faculty only until you share it').waitFor();
    await view('whatif');
    await part('Discuss');
    await page.getByRole('heading', { name: 'Objectives, as the group sees them' }).waitFor();
    await view('discuss');
    await part('Summary');
    await page.getByRole('heading', { name: 'Take home' }).waitFor();
    await view('summary');
    await page.goto(`${page.url().split('?')[0]}?step=ten`);
    await page.locator('.moments li').first().waitFor();
    await button(faculty, /^Note at/)
      .first()
      .click();
    await page.getByRole('dialog', { name: /^Note at/ }).waitFor();
    await view('ten');
    expect(faculty.complaints).toEqual([]);
  });
});
