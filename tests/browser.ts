/** The one place that opens Chromium for tests, soak and benches: the same browser with the same switches everywhere. */
import { existsSync } from 'node:fs';
import { chromium, type Browser, type BrowserContext, type BrowserContextOptions } from 'playwright-core';

/**
 * Features of the browser that no page under test meets. Each window of a full Chromium otherwise draws a pop-up of its
 * address bar in a renderer of its own: measured at 1.5 s of processor time for every window, seen or not. A list given
 * here replaces the driver's own, so the driver's are named again.
 */
const WITHOUT = [
  'WebUIOmniboxPopup',
  'WebUIOmniboxAimPopup',
  'AimEnabled',
  'AvoidUnnecessaryBeforeUnloadCheckSync',
  'DestroyProfileOnBrowserClose',
  'HttpsUpgrades',
  'HttpsFirstBalancedModeAutoEnable',
  'LensOverlay',
  'MediaRouter',
  'PaintHolding',
  'ThirdPartyStoragePartitioning',
  'AvoidCorsURLLoaderRestartOnRedirect',
  'OptimizationHints',
  'NetworkTimeServiceQuerying',
  'PreconnectToSearch',
];

const SWITCHES = [
  '--no-sandbox',
  '--disable-gpu',
  '--disable-quic',
  '--no-first-run',
  '--disable-background-networking',
  '--disable-component-update',
  '--disable-sync',
  // Several screens are live at once; a browser would slow the ones behind.
  '--disable-background-timer-throttling',
  '--disable-renderer-backgrounding',
  '--disable-backgrounding-occluded-windows',
  `--disable-features=${WITHOUT.join(',')}`,
];

/**
 * Debian's Chromium twice: `small`, built without windows, draws the same pages for a fifth less processor time; `whole`
 * also keeps a screen awake, can be installed into, and plays sound without a delay of its own. `npm test` names what it
 * found; where there is no small one the whole one does for both.
 */
export type Build = 'small' | 'whole';

const WHOLE = process.env['BREATHLINE_CHROMIUM'] ?? '/usr/bin/chromium';
const SMALL = process.env['BREATHLINE_CHROMIUM_SMALL'] ?? '/usr/bin/chromium-headless-shell';

/** A real Chromium without a window. */
export const launch = (more: readonly string[] = [], build: Build = 'small'): Promise<Browser> =>
  chromium.launch({
    executablePath: build === 'small' && existsSync(SMALL) ? SMALL : WHOLE,
    args: [...SWITCHES, ...more],
  });

/** `every`: as fast as the display goes, where frames or their times are looked at. */
export type Frames = 'few' | 'every';

/** As often as a slow tablet draws. */
const FRAMES_PER_S = 15;

/** Runs in the page before anything else: animation frames come this often at most; everything else is as it was. */
const drawSeldom = (framesPerS: number): void => {
  const draw = window.requestAnimationFrame.bind(window);
  const leave = window.cancelAnimationFrame.bind(window);
  const asked = new Map<number, number>();
  let last = 0;
  window.requestAnimationFrame = (work) => {
    const rest = Math.max(0, last + 1000 / framesPerS - performance.now());
    const id = window.setTimeout(() => {
      asked.set(
        id,
        draw((now) => {
          asked.delete(id);
          last = now;
          work(now);
        }),
      );
    }, rest);
    return id;
  };
  window.cancelAnimationFrame = (id) => {
    window.clearTimeout(id);
    const frame = asked.get(id);
    if (frame !== undefined) leave(frame);
    asked.delete(id);
  };
};

/**
 * For a screen that must open without a network. The app's service worker fetches all of the app at the first look and
 * stands between page and server at every later one (1.8 s of processor time a window, 0.6 s a load), so a screen is
 * without it unless this is given.
 */
export const KEEPS_APP: BrowserContextOptions = { serviceWorkers: 'allow' };

/** A device of its own: nothing kept from any other. */
export const newScreen = async (
  browser: Browser,
  size: readonly [number, number],
  frames: Frames = 'few',
  more: BrowserContextOptions = {},
): Promise<BrowserContext> => {
  const context = await browser.newContext({
    serviceWorkers: 'block',
    ...more,
    viewport: { width: size[0], height: size[1] },
  });
  if (frames === 'few') await context.addInitScript(drawSeldom, FRAMES_PER_S);
  return context;
};
