/**
 * `npm run bench`: every tests/bench/*.bench.ts, one line a figure with its ratio to a baseline run beside it. Figures are
 * for people to read and compare; nothing here passes or fails by time.
 *
 *   --json       the figures as JSON, and nothing else, on standard output
 *   NAME...      only benches whose file name contains one of these
 */
import { mkdirSync, mkdtempSync, readdirSync, rmSync } from 'node:fs';
import { cpus } from 'node:os';
import { dirname, join } from 'node:path';
import { fileURLToPath, pathToFileURL } from 'node:url';
import { build } from 'esbuild';

const here = dirname(fileURLToPath(import.meta.url));
const root = dirname(dirname(here));
const args = process.argv.slice(2);
const json = args.includes('--json');
const only = args.filter((arg) => !arg.startsWith('-'));
const unknown = args.filter((arg) => arg.startsWith('-') && arg !== '--json');
if (unknown.length > 0) {
  console.error(`bench: unknown flag ${unknown.join(', ')}; there is --json`);
  process.exit(2);
}

const files = readdirSync(here)
  .filter((name) => name.endsWith('.bench.ts'))
  .filter((name) => only.length === 0 || only.some((part) => name.includes(part)))
  .sort();
if (files.length === 0) {
  console.error(only.length === 0 ? 'bench: there are no benches' : `bench: no bench is called ${only.join(' or ')}`);
  process.exit(2);
}

// Inside the project, so that packages left out of a bundle are found from there.
mkdirSync(join(root, 'node_modules', '.cache'), { recursive: true });
const folder = mkdtempSync(join(root, 'node_modules', '.cache', 'bench-'));
const figures = [];
let failed = 0;
try {
  for (const name of files) {
    const outfile = join(folder, name.replace(/\.ts$/, '.mjs'));
    try {
      await build({
        entryPoints: [join(here, name)],
        outfile,
        bundle: true,
        platform: 'node',
        format: 'esm',
        target: 'node20',
        logLevel: 'silent',
        // Native and generated parts cannot be bundled; a bench that needs them loads them as they are.
        external: ['better-sqlite3', '@prisma/*', 'playwright-core', 'esbuild', 'fsevents'],
        banner: {
          js: "import { createRequire as __createRequire } from 'node:module'; const require = __createRequire(import.meta.url);",
        },
      });
      const { default: bench } = await import(pathToFileURL(outfile).href);
      for (const figure of await bench()) {
        figures.push({ bench: name.replace(/\.bench\.ts$/, ''), ...figure });
        if (!json) console.log(line(figure));
      }
    } catch (error) {
      failed++;
      console.error(`bench: ${name} could not be run: ${error?.errors?.[0]?.text ?? error?.stack ?? error}`);
    }
  }
} finally {
  rmSync(folder, { recursive: true, force: true });
}

function number(value) {
  if (!Number.isFinite(value)) return String(value);
  return Math.abs(value) >= 100 ? Math.round(value).toLocaleString('en-GB') : value.toPrecision(3);
}

function line({ name, value, unit, baseline, ratio }) {
  const beside = baseline === undefined ? '' : `   baseline ${number(baseline)}   ratio ${number(ratio)}`;
  return `${name.padEnd(58)} ${number(value).padStart(10)} ${unit}${beside}`;
}

if (json)
  console.log(
    JSON.stringify(
      { machine: `${cpus().length} x ${cpus()[0]?.model ?? 'unknown'}`, node: process.version, figures },
      null,
      2,
    ),
  );
process.exitCode = failed > 0 ? 1 : 0;
