/**
 * Ten things (and a few more) an educator does in the middle of a drill, on a tablet of 1024x768 and on a phone of 390x844,
 * by real clicks. Each starts from the run screen as it stands and ends when the server has it; taps are counted, and none
 * takes more than two but editing a dose. A caution on a dose takes the place of none of them. Run by itself it prints the
 * tables: npx vitest run tests/journeys/ten-tasks.test.ts
 */
import type { Browser, Locator } from 'playwright-core';
import { afterAll, beforeAll, expect, it } from 'vitest';
import type { RunEvent } from '@breathline/engine';
import type { TestServer } from '../faults/server.ts';
import { Device, button, firstPassphrase, launch, realServer, signIn, startRunOf, until } from './drive.ts';

let server: TestServer;
let browser: Browser;
let faculty: Device;
const TABLET = [1024, 768] as const;
const PHONE = [390, 844] as const;
let taps = 0;
let scrolled = false;

/** A console of this size as it opens there, with a run of its own under way. */
const consoleOf = async (size: readonly [number, number]): Promise<Device> => {
  const device = await Device.open(browser, TABLET);
  await signIn(device, server, firstPassphrase(server));
  await startRunOf(device, 'Cashew anaphylaxis after the cookery club');
  await device.page.getByRole('link', { name: 'Go to console' }).first().click();
  await device.page.waitForURL('**/console/**');
  if (size !== TABLET) {
    await device.page.setViewportSize({ width: size[0], height: size[1] });
    await device.page.reload();
  }
  await button(device, 'Start the run').click();
  await until('the run goes', () => device.faculty.view.phase === 'running' && device.faculty.view.clockMs > 15_000);
  return device;
};

beforeAll(async () => {
  server = realServer();
  await server.start();
  browser = await launch();
  faculty = await consoleOf(TABLET);
}, 240_000);

afterAll(async () => {
  await browser?.close();
  await server?.dispose();
});

const events = (): RunEvent[] => faculty.facultyFrames.flatMap(({ log }) => log.map(({ event }) => event));
const act = () => faculty.page.getByRole('region', { name: 'Actions', exact: true });
const top = () => faculty.page.getByRole('banner');
const hero = () => faculty.page.getByRole('region', { name: 'Adrenaline, intramuscular' });
const onPhone = () => (faculty.page.viewportSize()?.width ?? 0) < 768;
const drawer = () => faculty.page.locator(onPhone() ? 'main.one' : '#deck-panel');
const tab = (name: string) =>
  onPhone()
    ? faculty.page.getByRole('navigation', { name: 'Parts of the console' }).getByRole('button', { name })
    : faculty.page.getByRole('tablist', { name: 'Drawers' }).getByRole('tab', { name }).first();
const letter = (name: string) => faculty.page.getByRole('tab', { name, exact: true });

/** One tap; whether what is tapped had to be scrolled to first is part of the table. */
const tap = async (target: Locator): Promise<void> => {
  await target.waitFor();
  const box = await target.boundingBox();
  const inFoot = await target.evaluate((node) => node.closest('footer, nav.foot') !== null);
  const foot = await faculty.page.locator('footer.foot').boundingBox();
  const bottom = faculty.page.viewportSize()?.height ?? 0;
  const edge = inFoot ? bottom : (foot?.y ?? bottom);
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
    does: () => tap(act().getByRole('button', { name: 'Oxygen 15 L/min' }).first()),
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
      await tap(act().getByRole('button', { name: 'Lie flat' }).first());
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
      await tap(act().getByRole('button', { name: 'Call for help' }).first());
      await tap(faculty.page.getByRole('group', { name: 'Who did it (optional)' }).getByText('Nurse one'));
    },
    done: logged('act-amended', (event) => event.kind === 'act-amended' && event.doneBy === 'Nurse one'),
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

interface Row {
  readonly task: string;
  readonly taps: number;
  readonly scrolled: boolean;
  readonly 'time to log, ms': number;
}

/** Does every task on the screen there is now; each begins where the actions stand. */
const doAll = async (): Promise<readonly Row[]> => {
  const rows: Row[] = [];
  for (const { task, does, done, after } of TASKS) {
    const since = Math.max(0, ...events().map((event) => event.seq));
    taps = 0;
    scrolled = false;
    const from = performance.now();
    await does();
    await until(`the server has “${task}”`, () => done(since));
    rows.push({ task, taps, scrolled, 'time to log, ms': Math.round(performance.now() - from) });
    await after?.();
    if (onPhone()) await tab('Act').click();
  }
  console.table(rows);
  return rows;
};

/** What a thumb is after while the team acts: every button of the actions and of the foot, where it stands. */
const places = () =>
  faculty.page.evaluate(() => {
    const scroller = document.querySelector('main.one, .pane.act');
    scroller?.scrollTo(0, 0);
    return Array.from(
      document.querySelectorAll<HTMLElement>(
        '.pane.act button, footer .anywhere button, footer .mark, nav.foot button',
      ),
    ).map((node) => {
      const { x, y, width, height } = node.getBoundingClientRect();
      const over = document.elementFromPoint(x + width / 2, y + height / 2);
      const seen = over !== null && y + height / 2 < innerHeight;
      return {
        name: node.innerText.replace(/\s+/g, ' ').replace(/\d+:\d\d.*/, ''),
        y,
        height,
        free: !seen || node.contains(over),
      };
    });
  });

it.each([
  ['a tablet', TABLET],
  ['a phone', PHONE],
])(
  'does each of them in two taps at most on %s, the commonest with nothing scrolled',
  async (_name, size) => {
    if (size === PHONE) faculty = await consoleOf(PHONE);
    const rows = await doAll();
    for (const row of rows) expect(row.taps, row.task).toBeLessThanOrEqual(2);
    // What is done most stands in view, and what is wanted from anywhere comes into view with its first tap.
    const inView =
      size === TABLET
        ? rows.slice(0, 9).map(({ task }) => task)
        : ['adrenaline said', 'adrenaline drawn up', 'adrenaline given, dose seen', 'oxygen on', 'mark this moment'];
    for (const task of [...inView, 'kit sent for, with its delay', 'a system problem', 'wind back to the start'])
      expect(rows.find((row) => row.task === task)?.scrolled, task).toBe(false);
    expect(faculty.complaints).toEqual([]);
  },
  300_000,
);

it('moves and covers nothing under a thumb with a caution, on a phone and on a tablet; one tap answers it', async () => {
  if (!onPhone()) faculty = await consoleOf(PHONE);
  const caution = faculty.page.getByRole('group', { name: 'Caution on what was logged' });
  const tenfold = async () => {
    await hero().getByRole('button', { name: /edit/ }).click();
    await faculty.page.getByRole('textbox', { name: 'Amount' }).fill('3000');
    await act()
      .getByRole('button', { name: /^Given dose seen/ })
      .click();
  };
  await button(faculty, 'Mark').last().click();
  const before = await places();
  await tenfold();
  await caution.waitFor();
  const after = await places();
  // In the same place, and free where it was free: nothing lies over it now.
  expect(after.map(({ y, free }) => [y, free])).toEqual(before.map(({ y, free }) => [y, free]));
  await caution.getByRole('button', { name: 'It was so' }).click();
  await until('the caution is gone', async () => (await caution.count()) === 0);
  await tenfold();
  await caution.getByRole('button', { name: /^Undo/ }).click();
  await until('it is taken back, and the caution gone', async () => (await caution.count()) === 0);
  for (const size of [TABLET, [1366, 768] as const]) {
    await faculty.page.setViewportSize({ width: size[0], height: size[1] });
    await until('the columns are there', async () => (await faculty.page.locator('.columns').count()) === 1);
    const wide = await places();
    await tenfold();
    await caution.waitFor();
    const then = await places();
    expect(then.map(({ y, free }) => [y, free])).toEqual(wide.map(({ y, free }) => [y, free]));
    // A tap made meanwhile leaves it to be answered; the end does not.
    await button(faculty, 'Mark').last().click();
    expect(await caution.count()).toBe(1);
    if (size === TABLET) await caution.getByRole('button', { name: 'It was so' }).click();
  }
  await faculty.page.getByRole('button', { name: 'More', exact: true }).click();
  await button(faculty, 'End the run').click();
  await button(faculty, 'Tap again to end the run').click();
  await faculty.page.getByRole('heading', { name: /The run has ended/ }).waitFor();
  expect(await caution.count()).toBe(0);
}, 240_000);

it('shows all ten usual actions and every sign under way without scrolling', async () => {
  faculty = await consoleOf(TABLET);
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
  await button(faculty, 'Kit sent for').click();
  await drawer().getByRole('button', { name: 'Resus trolley' }).click();
  await until('all four are logged', () => faculty.faculty.view.live?.errands.length === 1);
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
}, 180_000);

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
