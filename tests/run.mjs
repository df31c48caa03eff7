/**
 * `npm test`: from a fresh clone to every suite. Installs what is missing (a browser too, where apt can), generates and
 * builds, runs everything, and ends with one plain line of counts. Only Node's own modules at the top.
 */
import { spawnSync } from 'node:child_process';
import { accessSync, constants, existsSync, mkdirSync, readFileSync, rmSync } from 'node:fs';
import path from 'node:path';
import { CannotGoOn, buildServer, buildWeb, checkNode, generate, install } from '../apps/server/bin/steps.mjs';
import { ROOT } from '../apps/server/bin/stamp.mjs';

const say = (line) => console.log(line);

const onPath = (names) => {
  for (const folder of (process.env.PATH ?? '').split(path.delimiter)) {
    for (const name of names) {
      const file = path.join(folder, name);
      try {
        accessSync(file, constants.X_OK);
        return file;
      } catch {
        // Not here; look on.
      }
    }
  }
  return null;
};

const WHOLE = ['chromium', 'chromium-browser', 'google-chrome', 'google-chrome-stable'];
/** Draws the same pages for a fifth less processor time; not every Debian has it, and nothing needs it. */
const SMALL = ['chromium-headless-shell'];

/** A program: the one that was given, else on the path, else from apt where this user may; null without. */
const found = (given, names, what) => {
  if (given && existsSync(given)) return given;
  const there = onPath(names);
  if (there) return there;
  const apt = onPath(['apt-get']);
  const root = typeof process.getuid === 'function' && process.getuid() === 0;
  const sudo = root ? null : onPath(['sudo']);
  if (!apt || (!root && !sudo)) return null;
  say(`Installing ${what} for the browser tests…`);
  const env = { ...process.env, DEBIAN_FRONTEND: 'noninteractive' };
  const as = (args) => {
    const [command, ...rest] = root ? [apt, ...args] : [sudo, '-n', apt, ...args];
    return spawnSync(command, rest, { stdio: ['ignore', 'ignore', 'pipe'], env, encoding: 'utf8', timeout: 600_000 });
  };
  as(['update', '-qq']);
  const result = as(['install', '-y', '-qq', '--no-install-recommends', names[0]]);
  if (result.status !== 0) say(`apt could not install ${what}: ${(result.stderr ?? '').trim().split('\n').at(-1)}`);
  return onPath(names);
};

const count = (report) => ({
  passed: report.numPassedTests ?? 0,
  failed: report.numFailedTests ?? 0,
  skipped: (report.numPendingTests ?? 0) + (report.numTodoTests ?? 0),
  // A file that could not be loaded, or whose setting-up failed, has no failed test to count and is a failure all the same.
  brokenFiles: (report.testResults ?? []).filter(
    ({ status, assertionResults }) =>
      status === 'failed' && !assertionResults.some((assertion) => assertion.status === 'failed'),
  ).length,
});

const main = async () => {
  checkNode(say);
  install(say);
  generate(say);
  await buildServer(say);
  buildWeb(say);
  const browser = found(process.env.BREATHLINE_CHROMIUM, WHOLE, 'Chromium');
  if (browser === null) {
    throw new CannotGoOn(
      'The browser tests need Chromium, and apt can not install it here. Install Chromium, or name one in BREATHLINE_CHROMIUM.',
    );
  }
  const small = found(process.env.BREATHLINE_CHROMIUM_SMALL, SMALL, 'the smaller build of Chromium') ?? browser;
  const folder = path.join(ROOT, 'test-results');
  mkdirSync(folder, { recursive: true });
  const file = path.join(folder, 'vitest.json');
  rmSync(file, { force: true });
  const only = process.argv.slice(2);
  const result = spawnSync(
    process.execPath,
    [
      path.join(ROOT, 'node_modules/vitest/vitest.mjs'),
      'run',
      '--reporter=default',
      '--reporter=json',
      `--outputFile.json=${file}`,
      ...only,
    ],
    {
      cwd: ROOT,
      stdio: ['ignore', 'inherit', 'inherit'],
      env: { ...process.env, BREATHLINE_CHROMIUM: browser, BREATHLINE_CHROMIUM_SMALL: small },
    },
  );
  if (!existsSync(file)) throw new CannotGoOn('The test runner ended without a report.');
  const report = JSON.parse(readFileSync(file, 'utf8'));
  const { passed, failed, skipped, brokenFiles } = count(report);
  const failures = failed + brokenFiles;
  if (brokenFiles > 0)
    say(`${brokenFiles} test file(s) could not be loaded or set up; each is counted as one failure.`);
  if (passed + failures === 0) say('No test ran.');
  const bad = failures > 0 || passed === 0 || result.status !== 0 || report.success !== true;
  if (bad && failures === 0 && passed > 0) say('The test runner reported an error outside any test (see above).');
  say(`${passed} passed, ${failures} failed${skipped > 0 ? `, ${skipped} skipped` : ''}`);
  process.exitCode = bad ? 1 : 0;
};

main().catch((error) => {
  console.error(error instanceof CannotGoOn ? `\n${error.message}\n` : error);
  process.exitCode = 1;
});
