/**
 * Takes the README's three pictures afresh: node tests/journeys/screenshots.mjs (about three minutes; needs a built app and
 * Chromium). Console and monitor are a live run of a shipped scenario; the debrief is that scenario's own rehearsal,
 * imported. Not run by the tests.
 */
import { execFileSync, spawn } from 'node:child_process';
import { mkdirSync, mkdtempSync, readFileSync, rmSync, statSync } from 'node:fs';
import { tmpdir } from 'node:os';
import path from 'node:path';
import { chromium } from 'playwright-core';

const ROOT = path.resolve(import.meta.dirname, '../..');
const OUT = path.join(ROOT, 'apps/web/docs');
const PASSPHRASE = 'quiet orange kettle';
const SIZE = { width: 1366, height: 768 };
const SCENARIO = 'cashew-cookery-club';

const folder = mkdtempSync(path.join(tmpdir(), 'breathline-pictures-'));
const server = spawn(process.execPath, ['apps/server/bin/start.mjs'], {
  cwd: ROOT,
  env: { ...process.env, PORT: '0', BREATHLINE_DATA: folder, BREATHLINE_PASSPHRASE: PASSPHRASE },
  stdio: ['ignore', 'pipe', 'inherit'],
});

const address = new Promise((resolve, reject) => {
  let output = '';
  server.stdout.on('data', (data) => {
    output += data;
    const found = /Open (http:\S+)/.exec(output)?.[1];
    if (found && output.includes('Stop with')) resolve(found);
  });
  server.on('exit', () => reject(new Error(`The server did not start:\n${output}`)));
});

const save = async (page, name) => {
  // Nothing looks pointed at, no animation is half-way.
  await page.mouse.move(2, SIZE.height - 2);
  const file = path.join(OUT, `${name}.png`);
  await page.screenshot({ path: file, animations: 'disabled' });
  console.log(`${path.relative(ROOT, file)} ${Math.round(statSync(file).size / 1024)} KB`);
};

const live = async (faculty, monitor, origin) => {
  const tap = (name) => faculty.getByRole('button', { name }).first().click();
  const clockReaches = (text) =>
    faculty.waitForFunction(
      (least) => {
        const [minutes, seconds] = (document.querySelector('.clock .figures')?.textContent ?? '0:00').split(':');
        return Number(minutes) * 60 + Number(seconds) >= least;
      },
      text.split(':').reduce((sum, part) => sum * 60 + Number(part), 0),
      { timeout: 300_000 },
    );
  const { runs } = await (await faculty.request.get(`${origin}/api/runs`)).json();
  await monitor.goto(`${origin}/join`);
  await monitor.getByLabel('Type the code').fill(runs[0].joinCode);
  await monitor.waitForURL('**/monitor');
  await faculty.goto(`${origin}/console/${runs[0].runId}`);
  await tap('Start the run');
  for (const device of [/^ECG\s*put on$/, /^SpO2\s*put on$/, /^Cuff\s*put on$/, /^CO2\s*put on$/]) await tap(device);
  await faculty.getByRole('tab', { name: 'Kit' }).click();
  await tap(/^every 1 min$/);
  await faculty.getByRole('tab', { name: 'Usual' }).click();
  await clockReaches('0:50');
  await tap('Says anaphylaxis');
  await tap('Call for help');
  await clockReaches('1:20');
  await tap('Lie flat');
  await tap(/^Said/);
  await clockReaches('1:28');
  await tap(/^Drawn up/);
  await clockReaches('1:40');
  await tap('Given dose seen');
  await clockReaches('1:52');
  await tap('Oxygen 15 L/min');
  await clockReaches('2:06');
  await Promise.all([save(faculty, 'console'), save(monitor, 'monitor')]);
};

const debrief = async (faculty, origin) => {
  const file = path.join(folder, 'run.json');
  execFileSync(
    process.execPath,
    ['apps/cli/bin/breathline.mjs', 'rehearse', `scenarios/${SCENARIO}.yaml`, '--only', 'textbook', '--run', file],
    { cwd: ROOT, stdio: 'ignore' },
  );
  const run = JSON.parse(readFileSync(file, 'utf8'));
  const { runId } = await (await faculty.request.post(`${origin}/api/runs/import`, { data: run })).json();
  await faculty.goto(`${origin}/debrief/${runId}?step=timeline`);
  await faculty.getByRole('tab', { name: 'Timeline' }).waitFor();
  await faculty.evaluate(() => document.fonts.ready.then(() => undefined));
  await save(faculty, 'debrief');
};

let browser;
try {
  mkdirSync(OUT, { recursive: true });
  const origin = await address;
  browser = await chromium.launch({
    executablePath: process.env.BREATHLINE_CHROMIUM ?? '/usr/bin/chromium',
    args: ['--no-sandbox', '--disable-gpu', '--disable-quic', '--no-first-run', '--disable-background-networking'],
  });
  const device = async () => (await browser.newContext({ viewport: SIZE, colorScheme: 'light' })).newPage();
  const [faculty, monitor] = [await device(), await device()];
  await faculty.request.post(`${origin}/api/login`, { data: { passphrase: PASSPHRASE } });
  await faculty.request.post(`${origin}/api/runs`, { data: { scenarioId: SCENARIO, packId: 'anaphylaxis-uk-2021' } });
  await live(faculty, monitor, origin);
  await debrief(faculty, origin);
} finally {
  await browser?.close();
  server.kill();
  rmSync(folder, { recursive: true, force: true });
}
