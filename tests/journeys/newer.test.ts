/** Screens that are older than the server's: a tablet left open while the server was renewed. */
import { afterAll, beforeAll, expect, it } from 'vitest';
import { sleep, type NewRunAnswer, type TestScreen } from '../faults/server.ts';
import { KEEPS_APP, Place, firstPassphrase, joinByCode, until, wordsOf, type Device } from './drive.ts';

let place: Place;
let faculty: TestScreen;
let monitor: Device;
/** How often the monitor's page was loaded. */
let loads = 0;
/** How often it asked which screens the server has. */
let asked = 0;
/** The screens the server has; null = this very build. */
let build: string | null = null;
let protocol = 1;

/** As when somebody picks the tablet up. */
const look = () => monitor.page.evaluate(() => document.dispatchEvent(new Event('visibilitychange')));

const words = () => wordsOf(monitor.page.locator('body'));

/** A slow machine's questions are on their way for a while: none came for a second. */
const settled = async (): Promise<void> => {
  for (let before = -1; before !== asked;) {
    before = asked;
    await sleep(1_000);
  }
};

beforeAll(async () => {
  place = await Place.open();
  const { server } = place;
  await server.call('POST', '/api/login', { passphrase: firstPassphrase(server) });
  const { body } = await server.call<NewRunAnswer>('POST', '/api/runs', {
    scenarioId: 'cashew-cookery-club',
    packId: 'anaphylaxis-uk-2021',
  });
  faculty = await server.faculty(body.runId);
  monitor = await place.device([1024, 768], 'few', KEEPS_APP);
  await monitor.context.route('**/_app/version.json', (route) => {
    asked += 1;
    return build === null ? route.continue() : route.fulfill({ json: { version: build } });
  });
  await monitor.context.routeWebSocket(/api.socket/, (line) => {
    const up = line.connectToServer();
    up.onMessage((text) => line.send(String(text).replace('"protocol":1', `"protocol":${protocol}`)));
  });
  await joinByCode(monitor, server, body.joinCode);
  monitor.page.on('load', () => (loads += 1));
}, 240_000);

afterAll(() => {
  faculty?.close();
  return place?.close();
});

it('load the server’s before a run and after it, once, and never while it goes on', async () => {
  await until('the monitor asked which screens there are', () => asked > 0);
  await look();
  await settled();
  expect(loads).toBe(0);

  await faculty.tap({ kind: 'run-started' });
  // Its page has it, not its line alone: what came over the line waits for a busy page.
  await until('the monitor runs', async () => !/Not started|Waiting for the first/.test(await words()));
  await settled();
  build = 'another build';
  const before = asked;
  await look();
  await faculty.tap({ kind: 'run-paused', why: 'faculty' });
  await until('the monitor is paused', async () => (await words()).includes('The run clock is stopped'));
  await sleep(500);
  expect([loads, asked - before]).toEqual([0, 0]);

  await faculty.tap({ kind: 'run-ended', why: 'faculty' }, { baseSeq: faculty.faculty.seq });
  await until('the monitor has loaded itself again', () => loads > 0);
  // What came is still not the server’s: it is not loaded again and again.
  await until('it asked again', () => asked > before + 1);
  await sleep(500);
  expect(loads).toBe(1);
  expect(monitor.complaints).toEqual([]);
}, 60_000);

it('say in words that the server speaks another language', async () => {
  protocol = 2;
  await monitor.page.reload();
  await monitor.page.getByText('This screen is out of date').waitFor();
  expect(await words()).toContain('The server speaks version 2; this screen speaks 1. Load the page again.');
  protocol = 1;
  await monitor.page.getByRole('button', { name: 'Load the page again' }).click();
  await until('the monitor follows its run again', async () => /has ended|clock is stopped/.test(await words()));
}, 60_000);
