/** The one place that opens Chromium for tests, soak and benches: the same browser with the same switches everywhere. */
import { chromium, type Browser } from 'playwright-core';

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

/** A real Chromium without a window: the one named in BREATHLINE_CHROMIUM, else Debian's. */
export const launch = (more: readonly string[] = []): Promise<Browser> =>
  chromium.launch({
    executablePath: process.env['BREATHLINE_CHROMIUM'] ?? '/usr/bin/chromium',
    args: [...SWITCHES, ...more],
  });
