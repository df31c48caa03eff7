/**
 * `npm run soak`: one long run with four screens in a real browser, taps and broken networks by a seed, and a server that is
 * killed once. Not part of `npm test`: it takes as long as a drill. Prints a table; exits 1 when something did not hold.
 *
 *   --minutes N   how long the run goes on (60)
 *   --seed N      which taps and which breaks (1)
 *   --json        the findings as JSON at the end
 */
import { mkdirSync, rmSync } from 'node:fs';
import path from 'node:path';
import { pathToFileURL } from 'node:url';
import { build } from 'esbuild';
import { buildServer, buildWeb, checkNode, generate } from '../../apps/server/bin/steps.mjs';

const here = import.meta.dirname;
const root = path.resolve(here, '../..');

const options = { minutes: 60, seed: 1, json: false };
const args = process.argv.slice(2);
for (let at = 0; at < args.length; at += 1) {
  const [name, inline] = args[at].split('=');
  if (name === '--json') options.json = true;
  else if (name === '--minutes' || name === '--seed') {
    const value = Number(inline ?? args[++at]);
    if (!Number.isFinite(value) || value <= 0) stopWith(`${name} needs a number above 0`);
    options[name.slice(2)] = value;
  } else stopWith(`unknown flag ${args[at]}; there are --minutes N, --seed N and --json`);
}

function stopWith(words) {
  console.error(`soak: ${words}`);
  process.exit(2);
}

// In a fresh clone nothing is built yet, and the drill below bundles what the build makes.
checkNode(console.log);
generate(console.log);
await buildServer(console.log);
buildWeb(console.log);

// As deep as tests/journeys, so that what is found from a file's own place is found from here too.
const folder = path.join(root, 'node_modules/.cache');
mkdirSync(folder, { recursive: true });
const outfile = path.join(folder, `soak-${process.pid}.mjs`);
let held = false;
try {
  await build({
    entryPoints: [path.join(here, 'soak.ts')],
    outfile,
    bundle: true,
    platform: 'node',
    format: 'esm',
    target: 'node20',
    logLevel: 'warning',
    external: ['better-sqlite3', '@prisma/*', 'playwright-core', 'esbuild', 'fsevents'],
    banner: {
      js: "import { createRequire as __createRequire } from 'node:module'; const require = __createRequire(import.meta.url);",
    },
  });
  const { soak } = await import(pathToFileURL(outfile).href);
  held = await soak(options);
} catch (error) {
  console.error('soak: it could not be run to its end:', error?.stack ?? error);
} finally {
  rmSync(outfile, { force: true });
}
process.exit(held ? 0 : 1);
