/**
 * Over https, as a ward has it: the site's own certificate, a learners' monitor on a network address that trusts it. Only
 * there do browsers keep a screen awake, keep the page on the device and offer to install it.
 */
import { execFileSync } from 'node:child_process';
import { X509Certificate, createHash } from 'node:crypto';
import { readFileSync } from 'node:fs';
import path from 'node:path';
import type { Browser } from 'playwright-core';
import { afterAll, beforeAll, expect, it } from 'vitest';
import { lanAddresses } from '../../apps/server/src/network.ts';
import type { TestServer } from '../faults/server.ts';
import {
  Device,
  KEEPS_APP,
  ROOT,
  button,
  firstPassphrase,
  joinByCode,
  joinCodeOf,
  launch,
  monitorNumber,
  realServer,
  signInByHand,
  startRunOf,
  until,
  wordsOf,
} from './drive.ts';

/** On a machine with no network but loopback a made-up name stands for its address there. */
const NAME = 'drills.example.org';

let server: TestServer;
let browser: Browser;
let origin: string;

/** What a browser that trusts this certificate and no other is told: the hash of its key. */
const hashOfKey = (pem: string): string =>
  createHash('sha256')
    .update(new X509Certificate(pem).publicKey.export({ type: 'spki', format: 'der' }))
    .digest('base64');

beforeAll(async () => {
  const [lan] = lanAddresses();
  server = realServer({ HOST: '0.0.0.0', BREATHLINE_HOSTS: NAME });
  execFileSync(process.execPath, ['apps/server/bin/certificate.mjs'], {
    cwd: ROOT,
    stdio: 'ignore',
    env: { ...process.env, ...server.env, BREATHLINE_DATA: server.dataFolder },
  });
  await server.start();
  const { port } = new URL(server.origin);
  origin = server.origin = `https://${lan ?? NAME}:${port}`;
  const certificate = readFileSync(path.join(server.dataFolder, 'certificate/server.pem'), 'utf8');
  browser = await launch(
    [`--ignore-certificate-errors-spki-list=${hashOfKey(certificate)}`, `--host-resolver-rules=MAP ${NAME} 127.0.0.1`],
    'whole',
  );
}, 240_000);

afterAll(async () => {
  await browser?.close();
  await server?.dispose();
});

it('a monitor joins by code and shows numbers, its screen is kept awake, and it can be installed', async () => {
  const faculty = await Device.open(browser, [1366, 768]);
  await signInByHand(faculty, server, firstPassphrase(server));
  const runId = await startRunOf(faculty, 'Cashew anaphylaxis after the cookery club');
  const code = await joinCodeOf(faculty);
  expect(await wordsOf(faculty.page.getByRole('main'))).toContain(
    `open ${origin.replace('https:', 'http:')} on it once`,
  );

  const monitor = await Device.open(browser, [1024, 768], 'few', KEEPS_APP);
  const lines: string[] = [];
  monitor.page.on('websocket', (socket) => lines.push(socket.url()));
  await joinByCode(monitor, server, code);
  expect(monitor.page.url()).toBe(`${origin}/monitor`);
  expect(lines.length).toBeGreaterThan(0);
  for (const line of lines) expect(line).toMatch(/^wss:/);
  expect(await monitor.page.evaluate(() => isSecureContext)).toBe(true);

  // Kept on the device: the worker is at work, and with the manifest the browser finds nothing against installing it.
  const active = () =>
    monitor.page.evaluate(async () => {
      const { scope, active: worker } = await navigator.serviceWorker.ready;
      return [scope, worker?.state];
    });
  await expect.poll(active, { timeout: 30_000 }).toEqual([`${origin}/`, 'activated']);
  const devtools = await monitor.context.newCDPSession(monitor.page);
  const manifest = await devtools.send('Page.getAppManifest');
  expect(manifest.errors).toEqual([]);
  expect(JSON.parse(manifest.data ?? '{}')).toMatchObject({ display: 'standalone', start_url: '/join' });
  // Its icons are pictures of the size they claim, one of them for the shortcut on a phone (192) and for its opening (512).
  const icons = await monitor.page.evaluate(async (text) => {
    const listed = (JSON.parse(text) as { icons: { src: string; sizes: string; type: string }[] }).icons;
    const pictures = listed.filter(({ type }) => type === 'image/png');
    return Promise.all(
      pictures.map(async ({ src, sizes }) => {
        const picture = await createImageBitmap(await (await fetch(src)).blob());
        return [sizes, `${picture.width}x${picture.height}`];
      }),
    );
  }, manifest.data ?? '{}');
  for (const [claimed, found] of icons) expect(found).toBe(claimed);
  expect(icons.map(([claimed]) => claimed)).toEqual(expect.arrayContaining(['192x192', '512x512']));
  const { installabilityErrors } = await devtools.send('Page.getInstallabilityErrors');
  // A window of its own per test counts as a private one, where nothing can be installed: that alone may stand.
  expect(installabilityErrors.map(({ errorId }) => errorId).filter((id) => id !== 'in-incognito')).toEqual([]);

  await button(monitor, 'Set up this screen').click();
  await until('the screen is kept awake', async () =>
    (await wordsOf(monitor.page.getByRole('dialog'))).includes('This screen is being kept awake.'),
  );
  await monitor.page.keyboard.press('Escape');

  await faculty.page.goto(`${origin}/console/${runId}`);
  await button(faculty, 'Start the run').click();
  await button(faculty, /^ECG\s*put on$/).click();
  await until('the monitor shows a heart rate', async () => (await monitorNumber(monitor, 'heart')) !== null);
  expect(monitor.complaints).toEqual([]);
}, 120_000);
