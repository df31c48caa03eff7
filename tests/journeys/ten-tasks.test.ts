/**
 * Ten things (and a few more) an educator does in the middle of a drill, on a tablet of 1024x768, by real clicks. Each
 * starts from the run screen as it stands and ends when the server has it; taps are counted, and none takes more than
 * two but editing a dose. Run by itself it prints the table: npx vitest run tests/journeys/ten-tasks.test.ts
 */
import type { Browser, Locator } from 'playwright-core';
import { afterAll, beforeAll, expect, it } from 'vitest';
import type { RunEvent } from '@breathline/engine';
import type { TestServer } from '../faults/server.ts';
import { Device, button, firstPassphrase, launch, realServer, signIn, startRunOf, until } from './drive.ts';

let server: TestServer;
let browser: Browser;
let faculty: Device;
let taps = 0;
let scrolled = false;

beforeAll(async () => {
  server = realServer();
  await server.start();
  browser = await launch();
  faculty = await Device.open(browser, [1024, 768]);
  await signIn(faculty, server, firstPassphrase(server));
  await startRunOf(faculty, 'Cashew anaphylaxis after the cookery club');
  await faculty.page.getByRole('link', { name: 'Go to console' }).first().click();
  await button(faculty, 'Start the run').click();
  await until('the run goes', () => faculty.faculty.view.phase === 'running' && faculty.faculty.view.clockMs > 15_000);
}, 240_000);

afterAll(async () => {
  await browser?.close();
  await server?.dispose();
});

const events = (): RunEvent[] => faculty.facultyFrames.flatMap(({ log }) => log.map(({ event }) => event));
const act = () => faculty.page.getByRole('region', { name: 'Actions', exact: true });
const top = () => faculty.page.getByRole('banner');
const hero = () => faculty.page.getByRole('region', { name: 'Adrenaline, intramuscular' });
const drawer = () => faculty.page.locator('#deck-panel');
const tab = (name: string) => faculty.page.getByRole('tablist', { name: 'Drawers' }).getByRole('tab', { name }).first();
const letter = (name: string) => faculty.page.getByRole('tab', { name, exact: true });

/** One tap; whether what is tapped had to be scrolled to first is part of the table. */
const tap = async (target: Locator): Promise<void> => {
  await target.waitFor();
  const box = await target.boundingBox();
  const inFoot = await target.evaluate((node) => node.closest('footer') !== null);
  const foot = await faculty.page.locator('footer.foot').boundingBox();
  const edge = inFoot ? 768 : (foot?.y ?? 768);
  if (box === null || box.y < 0 || box.y + box.height > edge + 1) scrolled = true;
  await target.click();
  taps += 1;
};

interface Task {
  readonly task: string;
  readonly does: () => Promise<void>;
  /** True once the server has it. */
  readonly done: (since: number) => boolean;
  /** Taps back to the run screen's own state, not part of the task. */
  readonly after?: () => Promise<void>;
}

const logged =
  (kind: RunEvent['kind'], more: (event: RunEvent) => boolean = () => true) =>
  (since: number) =>
    events().some((event) => event.seq > since && event.kind === kind && more(event));
const given = (id: string, step: string) =>
  logged('intervention', (event) => event.kind === 'intervention' && event.intervention === id && event.step === step);

const TASKS: readonly Task[] = [
  {
    task: 'adrenaline said',
    does: () => tap(hero().getByRole('button', { name: /^Said/ })),
    done: given('adrenaline-im', 'said'),
  },
  {
    task: 'adrenaline drawn up',
    does: () => tap(hero().getByRole('button', { name: /^Drawn up/ })),
    done: given('adrenaline-im', 'drawn-up'),
  },
  {
    task: 'adrenaline given, dose seen',
    does: () => tap(hero().getByRole('button', { name: /^Given dose seen/ })),
    done: given('adrenaline-im', 'given'),
  },
  {
    task: 'oxygen on',
    does: () => tap(act().getByRole('button', { name: 'Oxygen 15 L/min' })),
    done: given('oxygen-non-rebreathe-mask', 'given'),
  },
  { task: 'mark this moment', does: () => tap(button(faculty, 'Mark').last()), done: logged('mark') },
  {
    task: 'team looked again, and what to say',
    does: () => tap(faculty.page.getByRole('group', { name: 'Under way' }).getByRole('button', { name: /Reassessed/ })),
    done: logged('assessment'),
  },
  {
    task: 'something 20 s ago',
    does: async () => {
      await tap(faculty.page.getByRole('group', { name: 'When the next tap happened' }).getByText('20s'));
      await tap(act().getByRole('button', { name: 'Lie flat' }));
    },
    done: logged('intervention', (event) => event.appliedAtMs - event.occurredAtMs >= 10_000),
  },
  {
    task: 'undo the last tap',
    does: () => tap(faculty.page.getByRole('status', { name: 'Last logged' }).getByRole('button', { name: 'Undo' })),
    done: logged('event-withdrawn'),
  },
  {
    task: 'a pupil check',
    does: async () => {
      await tap(letter('Disability'));
      await tap(act().getByRole('button', { name: 'Pupils' }));
    },
    done: logged('assessment', (event) => event.kind === 'assessment' && event.intervention === 'check-pupils'),
    after: () => faculty.page.getByRole('tab', { name: /^Usual/ }).click(),
  },
  {
    task: 'patient worse, slowly',
    does: async () => {
      await tap(tab('Steer'));
      await tap(
        drawer()
          .getByRole('button', { name: /^Worse/ })
          .first(),
      );
    },
    done: logged('course-steered'),
  },
  {
    task: 'a call for help, and who made it',
    does: async () => {
      await tap(act().getByRole('button', { name: 'Call for help' }));
      await tap(faculty.page.getByRole('group', { name: 'Who did it (optional)' }).getByText('Nurse one'));
    },
    done: logged('intervention', (event) => event.kind === 'intervention' && event.givenBy === 'Nurse one'),
  },
  {
    task: 'kit sent for, with its delay',
    does: async () => {
      await tap(button(faculty, 'Kit sent for'));
      await tap(drawer().getByRole('button', { name: 'Resus trolley' }));
    },
    done: logged('errand-sent'),
  },
  {
    task: 'a request noted',
    does: async () => {
      await tap(tab('People'));
      await tap(drawer().getByRole('button', { name: 'Senior help' }));
    },
    done: logged('request-made'),
  },
  {
    task: 'the request answered, from elsewhere',
    does: async () => {
      await tap(
        faculty.page.getByRole('group', { name: 'Under way' }).getByRole('button', { name: /Asked: Senior help/ }),
      );
      await tap(
        drawer()
          .getByRole('button', { name: /^Given/ })
          .first(),
      );
    },
    done: logged('request-met'),
  },
  {
    task: 'a system problem',
    does: async () => {
      await tap(button(faculty, 'System problem').first());
      await tap(drawer().getByRole('button', { name: /^Drug/ }).first());
    },
    done: logged('system-problem'),
  },
  {
    task: 'wind back to the start',
    does: async () => {
      await tap(button(faculty, 'Wind back: again from a moment'));
      await tap(drawer().getByRole('button', { name: /The start/ }));
    },
    done: logged('wound-back'),
  },
  {
    task: 'pause, and carry on',
    does: async () => {
      await tap(top().getByRole('button', { name: 'Pause' }));
      await until('paused', () => faculty.faculty.view.phase === 'paused');
      await tap(top().getByRole('button', { name: 'Carry on' }));
    },
    done: logged('run-resumed'),
  },
];

it('does each of them in two taps at most, the commonest with nothing scrolled', async () => {
  const rows: { task: string; taps: number; scrolled: boolean; 'time to log, ms': number }[] = [];
  for (const { task, does, done, after } of TASKS) {
    const since = Math.max(0, ...events().map((event) => event.seq));
    taps = 0;
    scrolled = false;
    const from = performance.now();
    await does();
    await until(`the server has “${task}”`, () => done(since));
    rows.push({ task, taps, scrolled, 'time to log, ms': Math.round(performance.now() - from) });
    await after?.();
  }
  console.table(rows);
  for (const row of rows) expect(row.taps, row.task).toBeLessThanOrEqual(2);
  // What is done most stands in view, and what is wanted from anywhere comes into view with its first tap.
  for (const row of rows.slice(0, 9)) expect(row.scrolled, row.task).toBe(false);
  for (const task of ['kit sent for, with its delay', 'a system problem', 'wind back to the start'])
    expect(rows.find((row) => row.task === task)?.scrolled, task).toBe(false);
  expect(faculty.complaints).toEqual([]);
}, 240_000);

it('shows all ten usual actions and every sign under way without scrolling', async () => {
  await hero()
    .getByRole('button', { name: /^Given dose seen/ })
    .click();
  await tab('Steer').click();
  await drawer()
    .getByRole('button', { name: /^Worse/ })
    .first()
    .click();
  await tab('People').click();
  await drawer().getByRole('button', { name: 'Senior help' }).click();
  await until('all three are logged', () => faculty.faculty.view.live?.requests.length === 1);
  const edge = (await faculty.page.locator('footer.foot').boundingBox())?.y ?? 0;
  const tiles = act().getByRole('tabpanel').getByRole('group');
  expect(await tiles.count()).toBe(10);
  for (const tile of await tiles.all()) {
    const box = await tile.boundingBox();
    expect((box?.y ?? 0) + (box?.height ?? 0), await tile.innerText()).toBeLessThanOrEqual(edge);
  }
  const chips = faculty.page.getByRole('group', { name: 'Under way' });
  await chips.getByText('Asked: Senior help').waitFor();
  expect(await chips.locator('.chip').count()).toBeGreaterThanOrEqual(5);
  expect(await chips.evaluate((node) => node.scrollWidth - node.clientWidth)).toBeLessThanOrEqual(1);
}, 60_000);

it('takes “adr im” and Enter, and reaches every drawer by its key', async () => {
  await faculty.page.keyboard.press('/');
  await faculty.page.keyboard.type('adr im');
  const since = Math.max(0, ...events().map((event) => event.seq));
  await faculty.page.keyboard.press('Enter');
  await until('the next step of adrenaline is logged', () => given('adrenaline-im', 'said')(since));
  for (const [key, title] of [
    ['l', 'Log'],
    ['j', 'Cues'],
    ['e', 'Steer'],
    ['i', 'Script'],
    ['y', 'Say'],
  ] as const) {
    await faculty.page.keyboard.press(key);
    await until(`${title} is open`, async () => (await tab(title).getAttribute('aria-selected')) === 'true');
  }
}, 60_000);
