/**
 * The plug is pulled in the middle of a drill. What both screens say meanwhile, and that nothing the console was told
 * is on disk is missing afterwards.
 */
import { afterAll, beforeAll, expect, it } from 'vitest';
import type { RunExport } from '@breathline/engine';
import type { CommandMessage } from '@breathline/protocol';
import {
  Device,
  Place,
  button,
  joinByCode,
  joinCodeOf,
  monitorNumber,
  startRunOf,
  tapped,
  until,
  watchMonitor,
} from './drive.ts';

let place: Place;
let faculty: Device;
let monitor: Device;

beforeAll(async () => {
  place = await Place.open();
  faculty = await place.faculty([1024, 768]);
  monitor = await place.device([1024, 768]);
}, 240_000);

afterAll(() => place?.close());

it('survives the death of its server: paused at the same second, said on every screen, nothing acknowledged lost', async () => {
  const runId = await startRunOf(faculty, 'Cashew anaphylaxis after the cookery club');
  await joinByCode(monitor, place.server, await joinCodeOf(faculty));
  await faculty.page.getByRole('link', { name: 'Go to console' }).first().click();
  await button(faculty, 'Start the run').click();
  await tapped(faculty, button(faculty, /^ECG\s*put on$/), 'ECG leads on');
  await tapped(faculty, button(faculty, /^SpO2\s*put on$/), 'Oximeter probe on');
  await until(
    'the monitor shows a heart rate and a saturation',
    async () => (await monitorNumber(monitor, 'heart')) !== null && (await monitorNumber(monitor, 'oxygen')) !== null,
  );
  const watch = await watchMonitor(monitor);

  // Taps in a row, the last of them perhaps still on their way when the server dies.
  await tapped(faculty, button(faculty, 'Call for help'), 'Call for help');
  for (const name of ['Oxygen 15 L/min', 'Lie flat', 'Mark', /^Reassessed$/, 'Mark'])
    await button(faculty, name).click();
  await place.server.kill();
  const before = { clockMs: faculty.faculty.view.clockMs, acks: faculty.acks.length };
  expect(before.acks).toBeGreaterThan(3);

  await monitor.page.locator('.monitor[data-notice^="Signal lost"]').waitFor();
  expect(await monitorNumber(monitor, 'heart')).toBeNull();
  expect(await monitorNumber(monitor, 'oxygen')).toBeNull();
  await monitor.shot('restart-lost');
  await faculty.page.getByText('Not connected: this clock runs on here').waitFor();
  // A tap while there is no server at all waits, and says so.
  await button(faculty, 'Says anaphylaxis').click();
  await faculty.page
    .getByRole('status', { name: 'Last logged' })
    .getByText(/waiting/)
    .waitFor();
  await faculty.shot('restart-away');

  place.server.env['PORT'] = new URL(place.server.origin).port;
  await place.server.start();
  await faculty.page.getByText('The server restarted. The run waits, paused, where it was.').waitFor();
  await monitor.page.locator('.monitor[data-notice="Server restarted"]').waitFor();
  await monitor.shot('restart-back');
  await faculty.shot('restart-back');
  expect(faculty.faculty.view.phase).toBe('paused');
  expect(Math.abs(faculty.faculty.view.clockMs - before.clockMs)).toBeLessThanOrEqual(1_000);
  expect(monitor.monitor.clockMs).toBe(faculty.faculty.view.clockMs);
  await until('every tap has its answer', () => faculty.acks.length >= sentTaps().size);

  // Resumed by the button in the banner, the run goes on from there.
  const { clockMs } = faculty.faculty.view;
  await button(faculty, 'Resume').click();
  await until('the clock goes on', () => monitor.monitor.clockMs > clockMs + 500);
  await monitor.page.locator('.monitor[data-notice=""]').waitFor();
  await until('the monitor shows a heart rate again', async () => (await monitorNumber(monitor, 'heart')) !== null);

  const run = (await (
    await faculty.context.request.get(`${place.server.origin}/api/runs/${runId}/export`)
  ).json()) as RunExport;
  expect(run.events.map(({ seq }) => seq)).toEqual(run.events.map((_, at) => at + 1));
  for (const [n, command] of sentTaps()) {
    const ack = faculty.acks.find((each) => each.n === n);
    const kept = run.events.filter((event) => event.clientId === command.clientId && event.clientNumber === n);
    // Acknowledged means on disk, under the number that was acknowledged; sent twice is still once.
    expect(kept.map(({ seq, kind }) => [seq, kind])).toEqual([[ack?.seq, command.command.kind]]);
  }
  const said = run.events.find((event) => 'intervention' in event && event.intervention === 'says-anaphylaxis');
  expect(said).toBeDefined();
  expect(run.events.some((event) => event.kind === 'run-paused' && event.why === 'server-restart')).toBe(true);

  const { samples, frozen } = await watch();
  expect(samples).toBeGreaterThan(50);
  expect(frozen, 'numbers that stood on the monitor with no server behind them').toEqual([]);
  expect([...faculty.complaints, ...monitor.complaints]).toEqual([]);
}, 180_000);

/** The commands of this console, by their number: those it sent again after the break count once. */
const sentTaps = (): Map<number, CommandMessage> => {
  const taps = new Map<number, CommandMessage>();
  // The prebrief page had a seat of its own.
  const seat = faculty.sent.findLast((text) => text.startsWith('{"t":"command"'));
  const { clientId } = JSON.parse(seat ?? '{}') as CommandMessage;
  for (const text of faculty.sent) {
    const message = JSON.parse(text) as CommandMessage;
    if (message.t === 'command' && message.clientId === clientId) taps.set(message.n, message);
  }
  return taps;
};
