/**
 * The monitor page in a real browser, fed made-up frames over a real socket: what it shows, what it must never show,
 * and what it costs. `WEB_BUILD=/some/folder` tests another build; `SHOTS=/some/folder` writes a picture of each state.
 */
import { execFileSync } from 'node:child_process';
import { existsSync, mkdirSync, readFileSync, statSync } from 'node:fs';
import { createServer, type Server } from 'node:http';
import type { AddressInfo } from 'node:net';
import { extname, join } from 'node:path';
import { fileURLToPath } from 'node:url';
import type { Browser, Page } from 'playwright-core';
import { afterAll, afterEach, beforeAll, describe, expect, it } from 'vitest';
import { WebSocketServer } from 'ws';
import { LAYOUTS, ROOMS, type Layout } from '../../src/lib/monitor/settings.svelte.ts';
import { demoFrame, type DemoCase } from '../../src/lib/monitor/demo.ts';
import { axeFindings } from '../../../../tests/axe.ts';
import { launch, newScreen, type Frames } from '../../../../tests/browser.ts';

const BUILD = process.env['WEB_BUILD'] ?? fileURLToPath(new URL('../../build', import.meta.url));
const SIZES = [
  [1920, 1080],
  [1366, 768],
  [1024, 768],
  [390, 844],
] as const;
const TYPES: Record<string, string> = {
  '.html': 'text/html',
  '.js': 'text/javascript',
  '.css': 'text/css',
  '.svg': 'image/svg+xml',
  '.woff2': 'font/woff2',
  '.png': 'image/png',
  '.webmanifest': 'application/manifest+json',
};
const shots = process.env['SHOTS'];

/** What the stand-in server sends; each test sets it. */
let sending: { name: DemoCase; drop: (n: number) => boolean; silent: boolean } = {
  name: 'well',
  drop: () => false,
  silent: true,
};
/** What the site has set; each test sets it. */
let site: { inSitu: boolean; soundCapPercent: number; palette: string; wardAlarm: null } | null = null;
let http: Server;
let origin: string;
let browser: Browser;
let timer: ReturnType<typeof setInterval>;

beforeAll(async () => {
  if (!existsSync(join(BUILD, 'index.html'))) {
    execFileSync('npm', ['run', 'build'], { cwd: fileURLToPath(new URL('../..', import.meta.url)), stdio: 'inherit' });
  }
  http = createServer((request, response) => {
    const path = new URL(request.url ?? '/', 'http://x').pathname;
    if (path === '/api/join') {
      response.writeHead(200, { 'content-type': 'application/json' });
      response.end(JSON.stringify({ ticket: 'made-up', title: 'Made-up patient', ...(site ? { site } : {}) }));
      return;
    }
    let file = join(BUILD, path);
    if (!file.startsWith(BUILD) || !existsSync(file) || statSync(file).isDirectory()) file = join(BUILD, 'index.html');
    response.writeHead(200, { 'content-type': TYPES[extname(file)] ?? 'application/octet-stream' });
    response.end(readFileSync(file));
  });
  const sockets = new WebSocketServer({ server: http, path: '/api/socket' });
  sockets.on('connection', (socket) => {
    socket.on('message', (data) => {
      const message = JSON.parse(String(data)) as { t: string; n?: number };
      if (message.t === 'join')
        socket.send(JSON.stringify({ t: 'hello', protocol: 1, role: 'monitor', screenId: 's1' }));
      if (message.t === 'ping' && !sending.silent) socket.send(JSON.stringify({ t: 'pong', n: message.n }));
    });
  });
  const began = performance.now();
  let n = 0;
  timer = setInterval(() => {
    n += 1;
    if (sending.silent || sending.drop(n)) return;
    const frame = demoFrame(sending.name, 350_000 + Math.round((performance.now() - began) / 100) * 100);
    // As the server does: a blanked frame has nothing in it.
    const sent = frame.blank ? { ...frame, clockMs: 0, title: '', shown: demoFrame('none', 0).shown } : frame;
    for (const socket of sockets.clients) socket.send(JSON.stringify(sent));
  }, 250);
  await new Promise<void>((resolve) => http.listen(0, '127.0.0.1', resolve));
  origin = `http://127.0.0.1:${(http.address() as AddressInfo).port}`;
  browser = await launch();
});

afterAll(async () => {
  clearInterval(timer);
  await browser?.close();
  http?.closeAllConnections();
  http?.close();
});

/** Two screens serve every test: opening a browser's window anew costs more than most of what is looked at in it. */
const screens = new Map<Frames, Page>();

/** The monitor as it opens with this case, size, room and layout. Where frames are counted, every one is drawn. */
async function open(
  name: DemoCase,
  size: readonly [number, number] = [1366, 768],
  room: 'night' | 'bright' = 'night',
  motion: 'reduce' | 'no-preference' = 'no-preference',
  layout: Layout = 'bed',
  frames: Frames = 'few',
): Promise<Page> {
  sending = { name, drop: () => false, silent: false };
  const page = screens.get(frames) ?? (await (await newScreen(browser, size, frames)).newPage());
  screens.set(frames, page);
  await page.setViewportSize({ width: size[0], height: size[1] });
  await page.emulateMedia({ reducedMotion: motion });
  // A page of the same origin that is no app: only its storage is wanted.
  await page.goto(`${origin}/icon.svg`);
  await page.evaluate(
    ([kept, shown]) => {
      sessionStorage.clear();
      localStorage.clear();
      sessionStorage.setItem('breathline-join-code', 'ABC123');
      localStorage.setItem('breathline-monitor', JSON.stringify({ room: kept, layout: shown }));
    },
    [room, layout] as const,
  );
  await page.goto(`${origin}/monitor`);
  await page.waitForSelector('.monitor header strong, .monitor .emergency');
  return page;
}

/** A screen that nobody looks at draws nothing. */
afterEach(async () => {
  for (const page of screens.values()) await page.goto('about:blank');
});

async function picture(page: Page, name: string): Promise<void> {
  if (!shots) return;
  mkdirSync(shots, { recursive: true });
  await page.screenshot({ path: join(shots, `monitor-${name}.png`) });
}

const words = (page: Page): Promise<string> => page.evaluate(() => document.body.innerText);

/** Share of a trace's pixels that hold ink. */
const ink = (page: Page, band: string): Promise<number> =>
  page.evaluate((id) => {
    const canvas = document.querySelector<HTMLCanvasElement>(`[data-band="${id}"] canvas`);
    if (!canvas) return 0;
    const { data } = canvas.getContext('2d')!.getImageData(0, 0, canvas.width, canvas.height);
    let inked = 0;
    for (let i = 3; i < data.length; i += 4) if (data[i]! > 0) inked += 1;
    return inked / (data.length / 4);
  }, band);

/** All is laid out for the size just set, and a little of every trace is drawn. */
const settled = async (page: Page): Promise<void> => {
  await page.evaluate(
    () => new Promise((resolve) => requestAnimationFrame(() => requestAnimationFrame(() => resolve(null)))),
  );
  await page.waitForTimeout(shots ? 2500 : 500);
};

/** What lies outside its own part of the screen. */
const cutOff = (page: Page): Promise<string[]> =>
  page.evaluate(() => {
    const out: string[] = [];
    if (document.documentElement.scrollWidth > innerWidth) out.push('page scrolls sideways');
    for (const element of document.querySelectorAll(
      '.digits, .second-number, .note, .age, .unit, [data-band] h2, [data-tile] h2',
    )) {
      const box = element.getBoundingClientRect();
      const home = element.closest('[data-band], [data-tile]')!.getBoundingClientRect();
      if (
        box.left < home.left - 1 ||
        box.right > home.right + 1 ||
        box.bottom > home.bottom + 3 ||
        box.top < home.top - 3
      )
        out.push(`${element.className}: ${element.textContent}`);
    }
    return out;
  });

// The bedside layout has every size of its own below; of the others a laptop and a phone tell what the sizes between do.
describe('every other layout and room', () => {
  for (const layout of LAYOUTS.filter((one) => one !== 'bed'))
    for (const room of ROOMS)
      it(`${layout}, ${room}: axe finds nothing at laptop and phone size, and nothing scrolls sideways`, async () => {
        const page = await open('results', SIZES[1], room, 'no-preference', layout);
        for (const size of [SIZES[1], SIZES[3]]) {
          await page.setViewportSize({ width: size[0], height: size[1] });
          await settled(page);
          await picture(page, `${layout}-${size.join('x')}-${room}`);
          expect(await axeFindings(page), size.join('x')).toEqual([]);
          expect(await cutOff(page), size.join('x')).toEqual([]);
        }
      }, 90_000);

  for (const palette of ['strong', 'amber'])
    for (const room of ROOMS)
      it(`palette ${palette}, ${room}: its colours are worn, and axe finds nothing`, async () => {
        const usual = await open('shock', [1366, 768], room);
        const colour = (page: Page): Promise<string> =>
          page.locator('[data-band="heart"] .digits').evaluate((digits) => getComputedStyle(digits).color);
        const plain = await colour(usual);
        site = { inSitu: false, soundCapPercent: 100, palette, wardAlarm: null };
        const page = await open('shock', [1366, 768], room);
        site = null;
        await settled(page);
        await picture(page, `palette-${palette}-${room}`);
        expect(await colour(page)).not.toBe(plain);
        expect(await axeFindings(page)).toEqual([]);
      }, 60_000);
});

describe('every size and room', () => {
  for (const room of ROOMS)
    it(`${room}: at each size axe finds nothing, nothing is cut off, the mark stands`, async () => {
      const page = await open('shock', SIZES[0], room);
      await page.waitForSelector('.digits');
      for (const size of SIZES) {
        await page.setViewportSize({ width: size[0], height: size[1] });
        await settled(page);
        const name = `${size.join('x')}-${room}`;
        await picture(page, `shock-${name}`);
        expect(await axeFindings(page), name).toEqual([]);
        expect(await words(page), name).toContain('SIMULATION – NOT FOR CLINICAL USE');
        expect(await cutOff(page), name).toEqual([]);
      }
    }, 90_000);

  /*
   * Read at 5 m. ISO 9241-303 asks for characters of at least 16 minutes of arc: 23 mm at 5 m. Digits of this face are
   * 0.67 of its size (measured). A 24 inch screen of 1920x1080 has 0.277 mm to a pixel; a 15.6 inch of 1366x768, 0.253.
   * The 16 minutes are from memory.
   */
  it.each([
    [1920, 1080, 0.277],
    [1366, 768, 0.253],
  ])('%dx%d: heart, oxygen, breathing and pressure can be read at 5 m', async (width, height, mmPerPx) => {
    const page = await open('well', [width, height]);
    const sizes = await page.evaluate(() =>
      [...document.querySelectorAll('.digits')].map((element) => Number.parseFloat(getComputedStyle(element).fontSize)),
    );
    expect(sizes.length).toBe(7);
    for (const size of sizes.slice(0, 5)) expect(size * 0.67 * mmPerPx).toBeGreaterThan(23);
  });
});

describe('what must never be shown', () => {
  it('a number or a trace for a device that is not attached', async () => {
    const page = await open('none');
    await page.waitForTimeout(800);
    await picture(page, 'none');
    expect(await page.locator('canvas').count()).toBe(0);
    expect(await page.locator('.digits').count()).toBe(0);
    expect(await words(page)).toContain('ECG leads not attached');
  });

  it('anything of the patient during a real emergency, from the moment it is called', async () => {
    const page = await open('well');
    await page.waitForTimeout(800);
    sending.name = 'blank';
    await page.waitForSelector('.emergency', { timeout: 1500 });
    await picture(page, 'blank');
    const said = await words(page);
    expect(said).toContain('Stop: real emergency');
    expect(said).toContain('SIMULATION – NOT FOR CLINICAL USE');
    expect(said).not.toMatch(/\d/);
    expect(await page.locator('canvas').count()).toBe(0);
    sending.name = 'well';
    await page.waitForSelector('[data-band="heart"] .digits', { timeout: 1500 });
  });

  it('a frozen number: two seconds without a frame and numbers are held, twenty and they are gone, and all comes back', async () => {
    const page = await open('well');
    await page.waitForTimeout(1500);
    sending.silent = true;
    const from = performance.now();
    await page.waitForSelector('[data-notice="Running on alone"]', { timeout: 6000 });
    expect(performance.now() - from).toBeGreaterThan(1500);
    expect(performance.now() - from).toBeLessThan(3500);
    await page.waitForTimeout(1200);
    // Held: every number is marked, has lost its colour, and the clock says that it is a guess; the trace goes on.
    await picture(page, 'held');
    expect(await page.locator('.held .digits').count()).toBe(7);
    expect(await page.getByText('held, not new', { exact: true }).count()).toBe(7);
    expect(await page.locator('.clock').innerText()).toContain('about');
    const headAt = async () => (await page.evaluate(() => window.__monitorStats!.headMs))!;
    const before = await headAt();
    await page.waitForTimeout(1000);
    expect((await headAt()) - before).toBeGreaterThan(700);
    expect(await ink(page, 'heart')).toBeGreaterThan(0);

    await page.waitForSelector('[data-notice^="Signal lost"]', { timeout: 25_000 });
    expect(performance.now() - from).toBeGreaterThan(18_000);
    expect(performance.now() - from).toBeLessThan(24_000);
    await picture(page, 'lost');
    const shown = await page.locator('.digits').allInnerTexts();
    expect(shown.length).toBe(7);
    for (const text of shown) expect(text).not.toMatch(/\d/);
    expect(await page.locator('.clock').innerText()).not.toMatch(/\d/);
    expect(await ink(page, 'heart')).toBe(0);
    sending.silent = false;
    await page.waitForSelector('[data-notice=""]', { timeout: 4000 });
    await page.waitForTimeout(1500);
    expect(await ink(page, 'heart')).toBeGreaterThan(0);
    expect(await page.locator('.held').count()).toBe(0);
  }, 90_000);
});

describe('traces', () => {
  it('are not torn when every third frame is lost', async () => {
    const page = await open('well', [1366, 768], 'night', 'no-preference', 'bed', 'every');
    sending.drop = (n) => n % 3 === 0;
    await page.waitForTimeout(6500);
    // Every column that the pen has passed holds ink, from the left edge to the pen.
    const bare = await page.evaluate(() => {
      const canvas = document.querySelector<HTMLCanvasElement>('[data-band="heart"] canvas')!;
      const { data, width, height } = canvas.getContext('2d')!.getImageData(0, 0, canvas.width, canvas.height);
      const gaps: number[] = [];
      for (let x = 0; x < width; x += 1) {
        let inked = false;
        for (let y = 0; y < height; y += 1) if (data[(y * width + x) * 4 + 3]! > 0) inked = true;
        if (!inked) gaps.push(x);
      }
      // Runs of bare columns, wrapping: one for the gap ahead of the pen.
      return gaps.filter((x) => !gaps.includes((x + width - 1) % width)).length;
    });
    expect(bare).toBe(1);
  });

  it('stand still, redrawn about once a second, for people who ask for less motion', async () => {
    const page = await open('well', [1366, 768], 'night', 'reduce', 'bed', 'every');
    await page.waitForTimeout(2500);
    const changes = await page.evaluate(async () => {
      const canvas = document.querySelector<HTMLCanvasElement>('[data-band="oxygen"] canvas')!;
      let last = '';
      let count = 0;
      const until = performance.now() + 4000;
      while (performance.now() < until) {
        await new Promise((resolve) => requestAnimationFrame(resolve));
        const now = canvas.toDataURL();
        if (now !== last) count += 1;
        last = now;
      }
      return count;
    });
    expect(changes).toBeGreaterThanOrEqual(3);
    expect(changes).toBeLessThanOrEqual(6);
  });

  it('report what they cost, from the page and from the browser', async () => {
    const page = await open('well', [1920, 1080], 'night', 'no-preference', 'bed', 'every');
    // With sound on, as in a drill.
    await page.mouse.click(900, 400);
    await page.waitForTimeout(2000);
    const session = await page.context().newCDPSession(page);
    await session.send('Performance.enable');
    const busy = async (): Promise<number> =>
      (await session.send('Performance.getMetrics')).metrics.find((m) => m.name === 'TaskDuration')!.value * 1000;
    const before = await busy();
    await page.waitForTimeout(4000);
    const perSecond = ((await busy()) - before) / 4;
    // On cores that are lent elsewhere for a second a figure comes later; none may be missing in the end.
    await page.waitForFunction(
      () => window.__monitorStats!.heardPerS > 2 && window.__monitorStats!.soundMsPerS > 0,
      undefined,
      { timeout: 20_000 },
    );
    const stats = await page.evaluate(() => window.__monitorStats!);
    console.log(
      `monitor 1920x1080: ${stats.busyMsPerS.toFixed(0)} ms/s drawing and sound (sound ${stats.soundMsPerS.toFixed(1)}), ${perSecond.toFixed(0)} ms/s main thread, ${stats.drawnPerS.toFixed(0)} frames/s`,
    );
    // Not a timing test: only that the figures are there and of a sane kind.
    expect(stats.busyMsPerS).toBeGreaterThan(0);
    expect(stats.soundMsPerS).toBeGreaterThan(0);
    expect(stats.heardPerS).toBeGreaterThan(2);
    expect(stats.headMs).not.toBeNull();
  });
});
