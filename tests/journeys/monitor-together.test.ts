/**
 * Two monitors of one run: they show the same moment to a quarter of a second, heed the same press, and one whose network
 * goes runs on alone with its numbers marked as held, and is back with the other within two seconds.
 */
import { afterAll, beforeAll, expect, it } from 'vitest';
import { sleep } from '../faults/server.ts';
import {
  Device,
  KEEPS_APP,
  Place,
  button,
  firstPassphrase,
  joinByCode,
  joinCodeOf,
  monitorNumber,
  startRunOf,
  until,
} from './drive.ts';

let place: Place;
let faculty: Device;
let one: Device;
let two: Device;
/** Where any of the three screens asked for anything. */
const asked = new Set<string>();

beforeAll(async () => {
  place = await Place.open({}, 'whole');
  faculty = await place.faculty([1366, 768]);
  one = await place.device([1024, 768], 'every');
  two = await place.device([390, 844], 'every', KEEPS_APP);
  for (const { context, page } of [faculty, one, two]) {
    context.on('request', (request) => void asked.add(new URL(request.url()).origin));
    page.on('websocket', (socket) => void asked.add(new URL(socket.url()).origin.replace(/^ws/, 'http')));
  }
  await one.page.addInitScript(() => {
    const { wakeLock } = navigator;
    const ask = wakeLock.request.bind(wakeLock);
    wakeLock.request = async (type) => {
      const lock = await ask(type);
      Object.assign(globalThis, { awake: lock });
      return lock;
    };
  });
  await place.server.call('POST', '/api/login', { passphrase: firstPassphrase(place.server) });
  const runId = await startRunOf(faculty, 'Cashew anaphylaxis after the cookery club');
  const code = await joinCodeOf(faculty);
  await joinByCode(one, place.server, code);
  await joinByCode(two, place.server, code);
  await faculty.page.getByRole('link', { name: 'Go to console' }).first().click();
  await button(faculty, 'Start the run').click();
  await until('both monitors are told that it runs', () =>
    [one, two].every((screen) => screen.monitor.phase === 'running'),
  );
  let n = 0;
  for (const device of ['ecg', 'oximeter', 'bp-cuff']) {
    n += 1;
    await place.server.call('POST', `/api/runs/${runId}/commands`, {
      t: 'command',
      clientId: 'monitor-together',
      n,
      command: { kind: 'device-attached', device },
    });
  }
  n += 1;
  await place.server.call('POST', `/api/runs/${runId}/commands`, {
    t: 'command',
    clientId: 'monitor-together',
    n,
    command: { kind: 'learner-controls', cuff: true, silence: true, probes: true },
  });
  for (const screen of [one, two])
    await until('a heart rate is shown', async () => (await monitorNumber(screen, 'heart')) !== null);
}, 240_000);

afterAll(() => place?.close());

/** What a screen has drawn up to, against the clock all pages of this machine share, for a while. */
const drawn = (screen: Device, forMs: number): Promise<{ wall: number; head: number }[]> =>
  screen.page.evaluate(async (wait) => {
    const seen: { wall: number; head: number }[] = [];
    const from = performance.now();
    while (performance.now() - from < wait) {
      await new Promise((resolve) => requestAnimationFrame(resolve));
      const head = (globalThis as unknown as { __monitorStats?: { headMs: number | null } }).__monitorStats?.headMs;
      if (head != null) seen.push({ wall: performance.timeOrigin + performance.now(), head });
    }
    return seen;
  }, forMs);

const widest = (a: readonly { wall: number; head: number }[], b: readonly { wall: number; head: number }[]): number => {
  const apart = a.flatMap(({ wall, head }) => {
    const near = b.reduce((best, each) => (Math.abs(each.wall - wall) < Math.abs(best.wall - wall) ? each : best));
    // Set right for the two looks not falling on the same instant.
    return Math.abs(near.wall - wall) < 100 ? [Math.abs(near.head - head - (near.wall - wall))] : [];
  });
  expect(apart.length).toBeGreaterThan(10);
  return Math.max(...apart);
};

it('never disagree by more than a quarter of a second', async () => {
  await sleep(2_000);
  const [a, b] = await Promise.all([drawn(one, 6_000), drawn(two, 6_000)]);
  const most = widest(a, b);
  console.log(`two monitors: at most ${most.toFixed(0)} ms apart over ${a.length} looks`);
  expect(most).toBeLessThan(250);
}, 60_000);

it('a press at one bed is seen on both', async () => {
  await one.page.locator('[data-press="cuff"]').click();
  for (const screen of [one, two])
    await until('the cuff is seen to inflate', () => screen.monitor.shown.cuff.inflating);
  await one.page.getByText('Cuff now: done').waitFor();
  // The answer tells a learner’s screen no number of the log.
  expect(one.acks.at(-1)?.seq).toBe(0);
  await two.page.locator('[data-press="silence"]').click();
  for (const screen of [one, two]) await screen.page.getByText('Alarm sound paused').waitFor();
}, 60_000);

it('without its network one runs on alone with its numbers held, takes no press, and joins the other again', async () => {
  await one.context.setOffline(true);
  await one.page.locator('.monitor[data-notice="Running on alone"]').waitFor();
  const held = one.page.locator('.held[data-band="heart"]');
  await held.getByText('held, not new').waitFor();
  const [before] = (await drawn(one, 200)).slice(-1);
  await sleep(1_500);
  const [after] = (await drawn(one, 200)).slice(-1);
  expect(after!.head - before!.head).toBeGreaterThan(900);
  const sent = one.sent.length;
  await one.page.locator('[data-press="silence"]').click();
  await one.page.getByText('the server is not heard').waitFor();
  expect(one.sent.slice(sent).filter((text) => text.includes('"command"'))).toEqual([]);
  await one.context.setOffline(false);
  const from = Date.now();
  await one.page.locator('.monitor[data-notice=""]').waitFor();
  expect(Date.now() - from).toBeLessThan(2_000);
  await sleep(1_500);
  const [a, b] = await Promise.all([drawn(one, 2_000), drawn(two, 2_000)]);
  expect(widest(a, b)).toBeLessThan(250);
  expect([...one.complaints, ...two.complaints]).toEqual([]);
}, 90_000);

it('opens without a network once it has been kept, and says that it waits', async () => {
  await two.page.waitForFunction(() => navigator.serviceWorker.controller !== null);
  await two.context.setOffline(true);
  await two.page.reload();
  await two.page.getByText('Connecting').first().waitFor();
  await two.context.setOffline(false);
  await until('it has joined again', async () => (await monitorNumber(two, 'heart')) !== null);
}, 90_000);

it('keeps its screen awake', async () => {
  const held = () =>
    one.page.evaluate(() => {
      const { awake } = globalThis as unknown as { awake?: WakeLockSentinel };
      return awake?.type === 'screen' && !awake.released;
    });
  await until('the browser keeps the screen awake', held);
}, 30_000);

it('may be installed: the browser finds nothing against it', async () => {
  const devtools = await two.context.newCDPSession(two.page);
  const { installabilityErrors } = await devtools.send('Page.getInstallabilityErrors');
  // A test's windows are private ones, where nothing can be installed.
  const against = installabilityErrors.filter(({ errorId }) => errorId !== 'in-incognito');
  expect(against).toEqual([]);
  const { url, errors, data } = await devtools.send('Page.getAppManifest');
  expect([new URL(url).origin, errors]).toEqual([place.server.origin, []]);
  const manifest = JSON.parse(data ?? '{}') as { display: string; icons: { src: string; sizes: string }[] };
  expect(manifest.display).toMatch(/standalone|fullscreen/);
  for (const { src } of manifest.icons) {
    const icon = await two.page.request.get(new URL(src, url).href);
    expect([icon.status(), icon.headers()['content-type']]).toEqual([200, expect.stringMatching(/^image\//)]);
  }
}, 30_000);

it('needs nothing but its own server: console and monitors asked nowhere else', () => {
  expect([...asked]).toEqual([place.server.origin]);
});

it('anybody at a monitor may stop the drill for a real emergency: two taps, and every screen is blank within two seconds', async () => {
  await two.page.mouse.click(200, 200);
  const stop = two.page.getByRole('button', { name: 'Stop: real emergency' });
  await stop.click();
  expect(one.monitor.blank).toBe(false);
  const from = Date.now();
  await two.page.getByRole('button', { name: /^Tap again/ }).click();
  for (const screen of [one, two]) await until('its screen is blank', () => screen.monitor.blank);
  expect(Date.now() - from).toBeLessThan(2_000);
  await faculty.page.getByRole('heading', { name: 'STOPPED: REAL EMERGENCY' }).waitFor();
}, 60_000);
