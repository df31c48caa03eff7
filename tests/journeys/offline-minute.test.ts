/**
 * A console and a learners' monitor that are away while their drill goes on: taps of every kind, merged at their true
 * times, and a monitor that says so. Another console stays in touch and sees all of it.
 * `BREATHLINE_AWAY_S=60 npx vitest run tests/journeys/offline-minute.test.ts` stays away for a whole minute and prints figures.
 */
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import type { RunEvent, RunExport } from '@breathline/engine';
import { sleep, type TestScreen } from '../faults/server.ts';
import {
  Device,
  KEEPS_APP,
  Place,
  button,
  firstPassphrase,
  joinByCode,
  monitorNumber,
  startRunOf,
  tapped,
  until,
  watchMonitor,
} from './drive.ts';

const AWAY_S = Number(process.env['BREATHLINE_AWAY_S'] ?? 15);
/** A tap's time in the log against the run clock when the finger came down, ms. */
const TRUE_WITHIN_MS = 500;

let place: Place;
let faculty: Device;
let other: TestScreen;
let monitor: TestScreen;
/** What the learners look at. */
let screen: Device;
let seen: Awaited<ReturnType<typeof watchMonitor>>;
let runId = '';

beforeAll(async () => {
  place = await Place.open();
  faculty = await place.faculty([1366, 768], KEEPS_APP);
  await place.server.call('POST', '/api/login', { passphrase: firstPassphrase(place.server) });
  runId = await startRunOf(faculty, 'Cashew anaphylaxis after the cookery club');
  other = await place.server.faculty(runId);
  monitor = await place.server.monitor(other.faculty.joinCode);
  screen = await place.device([1024, 768], 'few', KEEPS_APP);
  await joinByCode(screen, place.server, other.faculty.joinCode);
  await faculty.page.getByRole('link', { name: 'Go to console' }).first().click();
  await button(faculty, 'Start the run').click();
  await tapped(faculty, button(faculty, /^ECG\s*put on$/), 'ECG leads on');
  await tapped(faculty, button(faculty, 'Call for help'), 'Call for help');
  await until('the monitor shows a heart rate', async () => (await monitorNumber(screen, 'heart')) !== null);
  seen = await watchMonitor(screen);
  await faculty.page.getByRole('tab', { name: 'Log' }).click();
}, 240_000);

afterAll(() => {
  other?.close();
  monitor?.close();
  return place?.close();
});

const exported = async (): Promise<RunExport> =>
  (await place.server.call<RunExport>('GET', `/api/runs/${runId}/export`)).body;

/** What the wall clock lacks to the run clock, ms: from the frame that came quickest of those of two seconds. */
const runAhead = async (): Promise<number> => {
  let best = -Infinity;
  let last = monitor.monitor.clockMs;
  const end = Date.now() + 2_000;
  while (Date.now() < end) {
    await sleep(5);
    const { clockMs } = monitor.monitor;
    if (clockMs === last) continue;
    last = clockMs;
    best = Math.max(best, clockMs - Date.now());
  }
  return best;
};

interface Tapped {
  readonly what: string;
  readonly wallMs: number;
  /** Said to have happened so long before. */
  readonly agoMs: number;
}

/** Clicks, and says when the page felt it on the wall clock that every page of this machine shares. */
const tap = async (what: string, click: () => Promise<void>, agoMs = 0): Promise<Tapped> => {
  if (agoMs > 0) await faculty.page.getByRole('button', { name: /–10s/ }).click();
  await faculty.page.evaluate(() => {
    addEventListener('click', () => Object.assign(globalThis, { feltMs: Date.now() }), { capture: true, once: true });
  });
  await click();
  const wallMs = await faculty.page.evaluate(() => (globalThis as unknown as { feltMs: number }).feltMs);
  return { what, wallMs, agoMs };
};

const waitingList = () => faculty.page.getByRole('list', { name: 'Taps waiting for the server' });
const banner = () => faculty.page.getByText('Not connected: this clock runs on here');
const hero = () => faculty.page.getByRole('region', { name: 'Adrenaline, intramuscular' });

/** What an event is, in the words the taps below go by. */
const nameOf = (event: RunEvent): string => {
  switch (event.kind) {
    case 'intervention':
      return `${event.intervention} ${event.step ?? ''}`.trim();
    case 'assessment':
      return `looked: ${event.intervention}`;
    case 'device-attached':
      return `on: ${event.device}`;
    default:
      return event.kind;
  }
};

describe('a console away for a while', { timeout: 300_000 }, () => {
  it('loses no tap, doubles none, and has each at its true time', async () => {
    const ahead = await runAhead();
    const before = (await exported()).events;
    const help = before.find((event) => event.kind !== 'run-started' && 'intervention' in event);
    await Promise.all([faculty, screen].map(({ context }) => context.setOffline(true)));
    const wentMs = Date.now();
    await banner().waitFor();
    const press = (name: string | RegExp) => () => button(faculty, name).first().click();
    const ways: readonly (readonly [string, () => Promise<void>, number?])[] = [
      ['lie-flat', press('Lie flat')],
      ['adrenaline-im said', () => hero().getByRole('button', { name: /^Said/ }).click()],
      ['mark', press(/^Mark$/)],
      [
        'adrenaline-im drawn-up',
        () =>
          hero()
            .getByRole('button', { name: /^Drawn up/ })
            .click(),
      ],
      ['adrenaline-im given', () => hero().getByRole('button', { name: 'Given dose seen' }).click()],
      [
        'event-withdrawn',
        () =>
          faculty.page
            .getByRole('button', { name: /^Undo: .*elp/ })
            .first()
            .click(),
      ],
      ['oxygen-non-rebreathe-mask', press('Oxygen 15 L/min'), 10_000],
      ['on: oximeter', press(/^SpO2\s*put on$/)],
      ['looked', press(/^Reassessed$/)],
      ['on: bp-cuff', press(/^(NIBP|BP|Cuff|Blood pressure).*put on$/)],
      ['says-anaphylaxis', press('Says anaphylaxis')],
    ];
    const taps: Tapped[] = [];
    for (const [at, [what, click, agoMs]] of ways.entries()) {
      await sleep(Math.max(0, wentMs + ((at + 0.5) * AWAY_S * 1000) / (ways.length + 1) - Date.now()));
      taps.push(await tap(what, click, agoMs));
      if (what === 'looked') await faculty.page.getByRole('tab', { name: 'Log' }).click();
    }
    // Said all the while: that they are kept, and how many.
    await faculty.page.getByText(`(${taps.length} waiting)`).waitFor();
    expect(await waitingList().getByRole('listitem').count()).toBe(taps.length);
    await faculty.shot('away-waiting');
    expect((await exported()).events).toHaveLength(before.length);
    await sleep(Math.max(0, wentMs + AWAY_S * 1000 - Date.now()));
    await faculty.context.setOffline(false);
    const backMs = Date.now();
    // The list is put away as soon as the line stands; each tap is on the log a moment later.
    await until('nothing waits any more', async () => (await waitingList().count()) === 0);
    let news: RunExport['events'] = [];
    await until('every tap is on the log', async () => {
      news = (await exported()).events.slice(before.length).filter(({ by }) => by.role === 'lead');
      return news.length >= taps.length;
    });
    const mergedMs = Date.now() - backMs;
    // In the order they were tapped, each once.
    const told = news.map((event) => nameOf(event));
    expect(told.map((name) => (name.startsWith('looked') ? 'looked' : name))).toEqual(
      taps.map(({ what }) => expect.stringContaining(what)),
    );
    const off = news.map((event, at) => event.occurredAtMs - (taps[at]!.wallMs + ahead - taps[at]!.agoMs));
    for (const [at, ms] of off.entries()) {
      // An undo is about a line: it stands where it reached the log.
      if (news[at]!.kind === 'event-withdrawn') continue;
      expect(Math.abs(ms), `${told[at]} is ${Math.round(ms)} ms off`).toBeLessThan(TRUE_WITHIN_MS);
    }
    const undone = news.find((event) => event.kind === 'event-withdrawn');
    expect(undone?.kind === 'event-withdrawn' && undone.targetSeq).toBe(help?.seq);
    // The other console and the monitor have it too.
    await until('the other console has every line', () => news.every(({ seq }) => other.log.has(seq)));
    await until('the monitor has the probe and the cuff', () =>
      ['oximeter', 'bp-cuff'].every((device) => monitor.monitor.shown.attached.includes(device as 'oximeter')),
    );
    const most = Math.max(...off.filter((_, at) => news[at]!.kind !== 'event-withdrawn').map(Math.abs));
    console.log(
      `${taps.length} taps in ${AWAY_S} s away: none lost, at most ${Math.round(most)} ms off, merged ${mergedMs} ms after the network`,
    );
  });

  it('says on the learners’ monitor that the signal is lost, with no number left standing, until it is back', async () => {
    await screen.page.locator('.monitor[data-notice="Signal lost: ask faculty"]').waitFor();
    expect(await monitorNumber(screen, 'heart')).toBeNull();
    await screen.context.setOffline(false);
    await until('the monitor shows a heart rate', async () => (await monitorNumber(screen, 'heart')) !== null);
    const { samples, frozen } = await seen();
    expect(samples).toBeGreaterThan(100);
    expect(frozen).toEqual([]);
    expect([...faculty.complaints, ...screen.complaints]).toEqual([]);
  });
});
