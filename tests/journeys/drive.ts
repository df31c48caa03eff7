/**
 * What the journeys share: a real server with the shipped scenarios and the built screens, a real Chromium, and a
 * record of every frame each screen was sent.
 */
import path from 'node:path';
import type { Browser, BrowserContext, BrowserContextOptions, Locator, Page } from 'playwright-core';
import type { AckMessage, FacultyFrame, MonitorFrame, ServerMessage } from '@breathline/protocol';
import { KEEPS_APP, launch, newScreen, type Build, type Frames } from '../browser.ts';
import { TestServer, sleep } from '../faults/server.ts';

export { KEEPS_APP, launch };

export const ROOT = path.resolve(import.meta.dirname, '../..');

/** Long enough for two slow cores that build and test something else at the same time, ms. */
export const PATIENCE_MS = 30_000;

/** The server as `npm start` runs it: shipped scenarios, built screens, a passphrase of its own making. */
export const realServer = (env: Record<string, string> = {}): TestServer =>
  new TestServer({
    BREATHLINE_API_ONLY: '0',
    BREATHLINE_SCENARIOS: path.join(ROOT, 'scenarios'),
    BREATHLINE_PASSPHRASE: '',
    ...env,
  });

/** The passphrase the server printed when it first started. */
export const firstPassphrase = (server: TestServer): string => {
  const found = /Faculty passphrase[^:]*: (.+)/.exec(server.output)?.[1]?.trim();
  if (!found) throw new Error(`No passphrase was printed:\n${server.output}`);
  return found;
};

/** One screen: a browser context of its own (a device), its page, and all that its sockets brought. */
export class Device {
  readonly context: BrowserContext;
  readonly page: Page;
  /** Every frame received, as text, oldest first. */
  readonly texts: string[] = [];
  readonly #read: ServerMessage[] = [];
  /** Every frame sent, as text. */
  readonly sent: string[] = [];
  /** Errors the page itself reported; a journey ends with none. */
  readonly complaints: string[] = [];

  private constructor(context: BrowserContext, page: Page) {
    this.context = context;
    this.page = page;
    page.setDefaultTimeout(PATIENCE_MS);
    page.on('websocket', (socket) => {
      socket.on('framereceived', ({ payload }) => void this.texts.push(String(payload)));
      socket.on('framesent', ({ payload }) => void this.sent.push(String(payload)));
    });
    page.on('pageerror', (error) => void this.complaints.push(String(error)));
  }

  /** A new screen. Unless every frame is asked for it draws a few a second at most, so that two cores drive many screens. */
  static async open(
    browser: Browser,
    size: readonly [number, number],
    frames: Frames = 'few',
    more: BrowserContextOptions = {},
  ): Promise<Device> {
    const context = await newScreen(browser, size, frames, more);
    return new Device(context, await context.newPage());
  }

  /** Every frame received, oldest first; each is read once, however often this is asked. */
  get messages(): readonly ServerMessage[] {
    for (let at = this.#read.length; at < this.texts.length; at += 1)
      this.#read.push(JSON.parse(this.texts[at]!) as ServerMessage);
    return this.#read;
  }

  get facultyFrames(): FacultyFrame[] {
    return this.messages.filter((message): message is FacultyFrame => message.t === 'faculty');
  }

  get monitorFrames(): MonitorFrame[] {
    return this.messages.filter((message): message is MonitorFrame => message.t === 'monitor');
  }

  get acks(): AckMessage[] {
    return this.messages.filter((message): message is AckMessage => message.t === 'ack');
  }

  get faculty(): FacultyFrame {
    return this.#last('faculty') as FacultyFrame;
  }

  get monitor(): MonitorFrame {
    return this.#last('monitor') as MonitorFrame;
  }

  #last(t: ServerMessage['t']): ServerMessage | undefined {
    const text = this.texts.findLast((each) => each.startsWith(`{"t":"${t}"`));
    return text === undefined ? undefined : (JSON.parse(text) as ServerMessage);
  }

  /** A picture, where SHOTS names a folder. */
  async shot(name: string): Promise<void> {
    const folder = process.env['SHOTS'];
    if (folder) await this.page.screenshot({ path: path.join(folder, `${name}.png`) });
  }
}

/** A server and a browser of their own, and the screens opened there: what a journey begins and ends with. */
export class Place {
  readonly server: TestServer;
  #browser: Browser | null = null;

  private constructor(env: Record<string, string>) {
    this.server = realServer(env);
  }

  static async open(env: Record<string, string> = {}, build: Build = 'small'): Promise<Place> {
    const place = new Place(env);
    await place.server.start();
    place.#browser = await launch([], build);
    return place;
  }

  /** One more screen, by its width and height in pixels. */
  device(size: readonly [number, number], frames: Frames = 'few', more: BrowserContextOptions = {}): Promise<Device> {
    if (!this.#browser) throw new Error('The browser is not open.');
    return Device.open(this.#browser, size, frames, more);
  }

  /** One more screen, signed in as faculty with the passphrase that the server printed. */
  async faculty(size: readonly [number, number], more: BrowserContextOptions = {}): Promise<Device> {
    const device = await this.device(size, 'few', more);
    await signIn(device, this.server, firstPassphrase(this.server));
    return device;
  }

  async close(): Promise<void> {
    await this.#browser?.close();
    await this.server.dispose();
  }
}

/** Waits until something holds, looking often; says what it was when it never does. */
export const until = async (
  what: string,
  holds: () => boolean | Promise<boolean>,
  withinMs = PATIENCE_MS,
): Promise<void> => {
  const deadline = performance.now() + withinMs;
  while (!(await holds())) {
    if (performance.now() > deadline) throw new Error(`Waited ${withinMs / 1000} s in vain until ${what}.`);
    await sleep(50);
  }
};

/** The words of a part of the page, as read: one plain space between any two, unbreakable ones too. */
export const wordsOf = async (part: Locator): Promise<string> => (await part.innerText()).replace(/\s+/g, ' ');

export const button = (device: Device, name: string | RegExp): Locator => device.page.getByRole('button', { name });

/** Chooses how a debrief is led; on a narrow screen that lies behind a button. */
export const chooseStructure = async (page: Page, id: string): Promise<void> => {
  const fold = page.getByRole('button', { name: 'structure and length' });
  await fold
    .or(page.getByLabel('Structure', { exact: true }))
    .filter({ visible: true })
    .first()
    .waitFor();
  if ((await fold.isVisible()) && (await fold.getAttribute('aria-expanded')) === 'false') await fold.click();
  await page.getByLabel('Structure', { exact: true }).selectOption(id);
};

/** Signed in and in the library, as a person gets there. */
export const signInByHand = async (faculty: Device, server: TestServer, passphrase: string): Promise<void> => {
  await faculty.page.goto(server.origin);
  await faculty.page.getByLabel('Faculty passphrase').fill(passphrase);
  await button(faculty, 'Sign in').click();
  await faculty.page.waitForURL('**/library');
};

/** Signed in and in the library, without the page in between. */
export const signIn = async (faculty: Device, server: TestServer, passphrase: string): Promise<void> => {
  const answer = await faculty.page.request.post(`${server.origin}/api/login`, {
    data: { passphrase },
    headers: { origin: server.origin },
  });
  if (!answer.ok()) throw new Error(`Signing in was refused: ${answer.status()} ${await answer.text()}`);
  await faculty.page.goto(`${server.origin}/library`);
};

/** From the library to the prebrief card of a new run. */
export const startRunOf = async (faculty: Device, title: string): Promise<string> => {
  const entry = faculty.page.getByRole('article', { name: title });
  await entry.getByRole('button', { name: 'Start a run' }).click();
  await faculty.page.waitForURL('**/prebrief/*');
  return new URL(faculty.page.url()).pathname.split('/').at(-1) ?? '';
};

/** The six characters shown to faculty. */
export const joinCodeOf = async (faculty: Device): Promise<string> => {
  await until('the join code is known', () => faculty.texts.some((text) => text.startsWith('{"t":"faculty"')));
  return faculty.faculty.joinCode;
};

/** A second device types the code, as a person does. */
export const joinByCode = async (monitor: Device, server: TestServer, code: string): Promise<void> => {
  await monitor.page.goto(`${server.origin}/join`);
  await monitor.page.getByLabel('Type the code').fill(code.toLowerCase());
  await monitor.page.waitForURL('**/monitor');
  await until('the monitor has a frame', () => monitor.texts.some((text) => text.startsWith('{"t":"monitor"')));
};

/** Reads a number off the monitor; null when it shows none. */
export const monitorNumber = async (monitor: Device, place: string): Promise<number | null> => {
  const digits = monitor.page.locator(`[data-band="${place}"] .digits, [data-tile="${place}"] .digits`);
  if ((await digits.count()) === 0) return null;
  const text = (await digits.first().innerText()).trim();
  return /^\d/.test(text) ? Number.parseFloat(text) : null;
};

/** A tap on the console that the server has put on disk: the page says so at its foot. */
export const tapped = async (faculty: Device, target: Locator, label: string): Promise<void> => {
  await target.click();
  const last = faculty.page.getByRole('status', { name: 'Last logged' });
  await until(`the foot of the console says that “${label}” is logged`, async () => {
    const [words, state] = [await last.locator('strong').allInnerTexts(), await last.getAttribute('class')];
    return words[0] === label && /\blogged\b/.test(state ?? '');
  });
};

/** A frame may be told of here so long after the page had it, ms. */
const HEARD_LATE_MS = 1_000;

/**
 * Looks at the monitor ten times a second, from inside its page, until asked for what it saw: how often it looked, and
 * every time a number stood there although no frame had come for longer than the screen may wait.
 */
export const watchMonitor = async (
  monitor: Device,
): Promise<() => Promise<{ readonly samples: number; readonly frozen: readonly string[] }>> => {
  // What came last is known here, on a busy machine a moment after the page has drawn it; how the page looks is known
  // there. A frame counts from when it was received here.
  let count = monitor.texts.length;
  const heard = [Date.now()];
  const ear = setInterval(() => {
    const now = monitor.texts.slice(count).some((text) => text.startsWith('{"t":"monitor"'));
    count = monitor.texts.length;
    if (now) heard.push(Date.now());
  }, 20);
  await monitor.page.evaluate(() => {
    const looks: { at: number; digits: string; notice: string }[] = [];
    Object.assign(globalThis, { looks });
    setInterval(() => {
      const digits = Array.from(document.querySelectorAll('.digits'))
        .map((each) => each.textContent)
        .join(' ');
      looks.push({
        at: Date.now(),
        digits,
        notice: document.querySelector<HTMLElement>('.monitor')?.dataset['notice'] ?? '',
      });
    }, 100);
  });
  return async () => {
    clearInterval(ear);
    const looks = await monitor.page.evaluate(
      () => (globalThis as unknown as { looks: { at: number; digits: string; notice: string }[] }).looks,
    );
    // The screen waits 2 s and looks four times a second; the rest is for a slow machine.
    // While it says that it runs on alone its numbers are marked as held; that has an end too.
    const frozen = looks.filter(({ at, digits, notice }) => {
      const last = heard.findLast((when) => when <= at + HEARD_LATE_MS) ?? at;
      return /\d/.test(digits) && at - last > (notice === 'Running on alone' ? 21_500 : 3_500);
    });
    return { samples: looks.length, frozen: frozen.map((look) => JSON.stringify(look)) };
  };
};
