/** The network goes and comes back, first under the console, then under the monitor; the server never stops. */
import { afterAll, beforeAll, expect, it } from 'vitest';
import type { RunExport } from '@breathline/engine';
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
  tapped,
  until,
} from './drive.ts';

let place: Place;
let faculty: Device;
let monitor: Device;
let runId = '';

beforeAll(async () => {
  place = await Place.open();
  faculty = await place.faculty([1366, 768], KEEPS_APP);
  monitor = await place.device([1024, 768], 'few', KEEPS_APP);
  await place.server.call('POST', '/api/login', { passphrase: firstPassphrase(place.server) });
  runId = await startRunOf(faculty, 'Cashew anaphylaxis after the cookery club');
  await joinByCode(monitor, place.server, await joinCodeOf(faculty));
  await faculty.page.getByRole('link', { name: 'Go to console' }).first().click();
  await button(faculty, 'Start the run').click();
  await tapped(faculty, button(faculty, /^ECG\s*put on$/), 'ECG leads on');
  await until('the monitor shows a heart rate', async () => (await monitorNumber(monitor, 'heart')) !== null);
}, 240_000);

afterAll(() => place?.close());

/** The run clock now, as the monitor (which stays in touch) was last told it; and when it was told. */
const runClock = (): number => monitor.monitor.clockMs;

it('keeps the taps of a console without a network, says that they wait, and merges them at their true times', async () => {
  await faculty.page.getByRole('tab', { name: 'Log' }).click();
  await faculty.context.setOffline(true);
  await faculty.page.getByText('Not connected: this clock runs on here').waitFor();
  const wentAt = runClock();
  const tapAt = new Map<string, number>();
  tapAt.set('lie-flat', runClock());
  await button(faculty, 'Lie flat').click();
  await until('three seconds have gone by', () => runClock() > wentAt + 3_000);
  tapAt.set('oxygen-non-rebreathe-mask', runClock());
  await button(faculty, 'Oxygen 15 L/min').click();
  const waiting = faculty.page.getByRole('list', { name: 'Taps waiting for the server' });
  await waiting.getByText('Lie flat').waitFor();
  expect(await waiting.getByRole('listitem').count()).toBe(2);
  await faculty.page.getByText('(2 waiting)').waitFor();
  // One tapped by mistake is taken back while it waits: it comes withdrawn.
  await button(faculty, 'Call for help').first().click();
  await faculty.page.getByText('(3 waiting)').waitFor();
  await faculty.page.getByRole('button', { name: 'Undo', exact: true }).click();
  await waiting.getByRole('listitem').filter({ hasText: 'Call for help' }).getByText('taken back').waitFor();
  await faculty.shot('offline-waiting');
  // Nothing of it has reached the server meanwhile.
  await until('ten seconds have gone by', () => runClock() > wentAt + 10_000);
  expect(interventions(await exported())).toEqual([]);

  await faculty.context.setOffline(false);
  await until('nothing waits any more', async () => (await waiting.count()) === 0);
  await until('both are on the log, and what was taken back is so there', async () => {
    const run = await exported();
    return undone(run).length === 1 && interventions(run).length === 2;
  });
  await faculty.shot('offline-merged');
  const events = interventions(await exported());
  for (const event of events) {
    const at = tapAt.get(event.intervention) ?? NaN;
    expect(Math.abs(event.occurredAtMs - at), `${event.intervention} at its true time`).toBeLessThanOrEqual(1_000);
    // The patient feels it only now: what the screens have shown is not rewritten.
    expect(event.appliedAtMs).toBeGreaterThanOrEqual(wentAt + 10_000);
  }
  expect(events.map(({ intervention }) => intervention)).toEqual(['lie-flat', 'oxygen-non-rebreathe-mask']);
}, 120_000);

it('says on a monitor without a network that the signal is lost, and is back within two seconds of it', async () => {
  await monitor.context.setOffline(true);
  await monitor.page.locator('.monitor[data-notice^="Signal lost"]').waitFor();
  expect(await monitorNumber(monitor, 'heart')).toBeNull();
  // Long enough for several tries at the server to fail.
  await sleep(4_000);
  await monitor.page.evaluate(() => {
    addEventListener('online', () => {
      const from = performance.now();
      const look = setInterval(() => {
        const digits = document.querySelector('[data-band="heart"] .digits')?.textContent ?? '';
        if (!/\d/.test(digits) || document.querySelector('.monitor[data-notice=""]') === null) return;
        clearInterval(look);
        Object.assign(globalThis, { backAfterMs: performance.now() - from });
      }, 20);
    });
  });
  await monitor.context.setOffline(false);
  await monitor.page.waitForFunction(() => 'backAfterMs' in globalThis);
  const tookMs = await monitor.page.evaluate(() => (globalThis as unknown as { backAfterMs: number }).backAfterMs);
  expect(tookMs, 'ms from the network to a live number').toBeLessThan(2_000);
  expect([...faculty.complaints, ...monitor.complaints]).toEqual([]);
}, 120_000);

const exported = async (): Promise<RunExport> => {
  // Asked by the server's own client: the console's network is away.
  return (await place.server.call<RunExport>('GET', `/api/runs/${runId}/export`)).body;
};

const undone = (run: RunExport) =>
  run.events.flatMap((event) => (event.kind === 'event-withdrawn' ? [event.targetSeq] : []));

/** What was done and not taken back. */
const interventions = (run: RunExport) =>
  run.events.flatMap((event) =>
    'intervention' in event && 'amount' in event && !undone(run).includes(event.seq) ? [event] : [],
  );
