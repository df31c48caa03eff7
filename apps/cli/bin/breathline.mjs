#!/usr/bin/env node
/**
 * Starts the command line. Bundles the sources into dist/ when that is missing or older than they are, so that the second
 * call is fast and no separate build step can be forgotten.
 */
import { existsSync, mkdirSync, readdirSync, renameSync, rmSync, statSync } from 'node:fs';
import { dirname, join } from 'node:path';
import { fileURLToPath, pathToFileURL } from 'node:url';

const cli = dirname(dirname(fileURLToPath(import.meta.url)));
const root = dirname(dirname(cli));
const bundle = join(cli, 'dist', 'breathline.mjs');

/** Time of the newest source file below a folder, ms. */
function newest(folder) {
  let latest = 0;
  for (const entry of readdirSync(folder, { withFileTypes: true })) {
    const path = join(folder, entry.name);
    if (entry.isDirectory()) latest = Math.max(latest, newest(path));
    else if (entry.name.endsWith('.ts')) latest = Math.max(latest, statSync(path).mtimeMs);
  }
  return latest;
}

function stale() {
  if (!existsSync(bundle)) return true;
  const built = statSync(bundle).mtimeMs;
  const sources = [
    join(cli, 'src'),
    ...['patient', 'scenario', 'engine', 'debrief'].map((name) => join(root, 'packages', name, 'src')),
  ];
  return sources.some((folder) => newest(folder) >= built);
}

async function build() {
  let esbuild;
  try {
    esbuild = await import('esbuild');
  } catch {
    console.error(
      'breathline: the parts it is built from are not installed. Run "npm install" (or "npm start") in the project folder first.',
    );
    process.exit(2);
  }
  mkdirSync(dirname(bundle), { recursive: true });
  // Written beside and renamed, so that two calls at once never read half a file.
  const fresh = `${bundle}.${process.pid}.tmp.mjs`;
  try {
    await esbuild.build({
      entryPoints: [join(cli, 'src', 'main.ts')],
      outfile: fresh,
      bundle: true,
      platform: 'node',
      format: 'esm',
      target: 'node20',
      logLevel: 'silent',
      absWorkingDir: root,
      banner: {
        js: "import { createRequire as __createRequire } from 'node:module'; const require = __createRequire(import.meta.url);",
      },
    });
    renameSync(fresh, bundle);
  } catch (error) {
    rmSync(fresh, { force: true });
    const first = error.errors?.[0];
    const place = first?.location ? `${first.location.file}:${first.location.line}: ` : '';
    console.error(`breathline: could not be built. ${place}${first?.text ?? error.message}`);
    process.exit(2);
  }
}

if (stale()) await build();
const { main } = await import(pathToFileURL(bundle).href);
process.exitCode = await main(process.argv.slice(2), { root });
