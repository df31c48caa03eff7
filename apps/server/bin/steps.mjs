/**
 * The steps from a fresh clone to something that runs: each is skipped when it is done already. Only Node's own modules
 * are used here, since nothing else may be installed yet.
 */
import { spawnSync } from 'node:child_process';
import { createRequire } from 'node:module';
import { accessSync, constants, existsSync, mkdirSync, readFileSync, statSync } from 'node:fs';
import path from 'node:path';
import { ROOT, isFresh, keepStamp, stampOf } from './stamp.mjs';

/** Something a person must put right; its message is all they need to see. */
export class CannotGoOn extends Error {}

const at = (...parts) => path.join(ROOT, ...parts);

/** The Prisma command line reaches SQLite through JavaScript, so nothing is fetched and nobody is told. */
export const PRISMA_ENV = {
  PRISMA_SCHEMA_ENGINE_BINARY: process.execPath,
  PRISMA_QUERY_ENGINE_LIBRARY: process.execPath,
  PRISMA_ENGINES_CHECKSUM_IGNORE_MISSING: '1',
  PRISMA_SKIP_POSTINSTALL_GENERATE: '1',
  PRISMA_HIDE_UPDATE_MESSAGE: '1',
  CHECKPOINT_DISABLE: '1',
};

const run = (command, args, { what, env = {}, cwd = ROOT }) => {
  const result = spawnSync(command, args, {
    cwd,
    env: { ...process.env, ...env },
    encoding: 'utf8',
    stdio: ['ignore', 'pipe', 'pipe'],
    maxBuffer: 64 * 1024 * 1024,
  });
  if (result.error) throw new CannotGoOn(`${what} failed: ${result.error.message}`);
  if (result.status !== 0) {
    throw new CannotGoOn(`${what} failed:\n${(result.stdout ?? '') + (result.stderr ?? '')}`.trim());
  }
  return result.stdout ?? '';
};

const node = (script, args, options) => run(process.execPath, [at(script), ...args], options);

export const checkNode = (say) => {
  const [major, minor] = process.versions.node.split('.').map(Number);
  if (major > 22)
    say(`Breathline is tested with Node 20 and 22; this is ${process.version}. If it fails, use one of those.`);
  if (major > 20 || (major === 20 && minor >= 19)) return;
  throw new CannotGoOn(
    `Breathline needs Node 20.19 or newer; this is ${process.version}. Install it from https://nodejs.org.`,
  );
};

/** Installs the packages when there are none, or when the list of them has changed. */
export const install = (say) => {
  const stamp = stampOf(['package-lock.json']);
  // npm's own note of what it installed; older than the lock file means that the lock file came later.
  const note = at('node_modules/.package-lock.json');
  const present = existsSync(note);
  if (
    present &&
    (isFresh('install', stamp, 'node_modules') || statSync(note).mtimeMs >= statSync(at('package-lock.json')).mtimeMs)
  ) {
    keepStamp('install', stamp);
    return;
  }
  say('Installing packages (a minute or two, once)…');
  const npm = process.env.npm_execpath;
  const args = ['ci', '--no-audit', '--no-fund'];
  const options = { what: 'npm ci', env: PRISMA_ENV };
  if (npm && npm.endsWith('.js')) run(process.execPath, [npm, ...args], options);
  else run(process.platform === 'win32' ? 'npm.cmd' : 'npm', args, options);
  keepStamp('install', stamp);
};

/** Generates the database client from the schema. */
export const generate = (say) => {
  const stamp = stampOf(['prisma/schema.prisma', 'node_modules/prisma/package.json']);
  if (isFresh('generate', stamp, 'apps/server/src/generated/client.ts')) return;
  say('Generating the database client…');
  node('node_modules/prisma/build/index.js', ['generate'], { what: 'prisma generate', env: PRISMA_ENV });
  keepStamp('generate', stamp);
};

const SERVER_SOURCES = [
  'apps/server/src',
  'apps/server/package.json',
  'packages',
  'prisma/schema.prisma',
  'package.json',
  'package-lock.json',
];
const WEB_SOURCES = ['apps/web', 'packages', 'package-lock.json'];

/** Bundles the server's own sources; installed packages stay outside. */
export const buildServer = async (say) => {
  const stamp = stampOf(SERVER_SOURCES);
  if (isFresh('server', stamp, 'apps/server/dist/server.mjs')) return;
  say('Building the server…');
  const require = createRequire(import.meta.url);
  const esbuild = require('esbuild');
  const { version } = JSON.parse(readFileSync(at('package.json'), 'utf8'));
  try {
    await esbuild.build({
      absWorkingDir: ROOT,
      entryPoints: ['apps/server/src/server.ts', 'apps/server/src/rehearsal-worker.ts'],
      outdir: 'apps/server/dist',
      outExtension: { '.js': '.mjs' },
      bundle: true,
      platform: 'node',
      format: 'esm',
      target: 'node20',
      sourcemap: 'linked',
      logLevel: 'silent',
      define: { __BREATHLINE_VERSION__: JSON.stringify(version) },
      plugins: [
        {
          name: 'installed-packages-stay-outside',
          setup: (build) => {
            build.onResolve({ filter: /^[^./]/ }, ({ path: name, kind }) =>
              kind === 'entry-point' || name.startsWith('@breathline/') ? undefined : { path: name, external: true },
            );
          },
        },
      ],
    });
  } catch (error) {
    throw new CannotGoOn(`The server could not be built:\n${error.message}`);
  }
  keepStamp('server', stamp);
};

/** Builds the screens. */
export const buildWeb = (say) => {
  const stamp = stampOf(WEB_SOURCES);
  if (isFresh('web', stamp, 'apps/web/build')) return;
  say('Building the screens…');
  // SvelteKit looks for its files in the working folder.
  run(process.execPath, [at('node_modules/vite/bin/vite.js'), 'build'], {
    what: 'The build of the screens',
    cwd: at('apps/web'),
  });
  keepStamp('web', stamp);
};

/** Makes a folder and what it lies in. Node's own way of doing this never returns below /proc, or on some drives gone away. */
const makeFolder = (folder) => {
  if (existsSync(folder)) {
    if (!statSync(folder).isDirectory()) throw Object.assign(new Error(), { code: 'ENOTDIR' });
    return;
  }
  makeFolder(path.dirname(folder));
  mkdirSync(folder, { mode: 0o700 });
};

/** Makes the data folder, and says so when it can not be written. */
export const dataFolder = () => {
  const folder = path.resolve(ROOT, process.env.BREATHLINE_DATA || '.data');
  try {
    makeFolder(folder);
    accessSync(folder, constants.W_OK);
  } catch (error) {
    throw new CannotGoOn(
      `The data folder ${folder} can not be written (${error.code ?? error.message}). Give this user the right to write there, or set BREATHLINE_DATA to another folder.`,
    );
  }
  return folder;
};

/** Brings the database up to date. The command line is not started when it is. */
export const migrate = async (say, folder) => {
  const { DatabaseError, missingMigrations, databaseFile } = await import('../dist/server.mjs');
  try {
    if (missingMigrations(databaseFile(folder), at('prisma/migrations')).length === 0) return;
  } catch (error) {
    if (error instanceof DatabaseError) throw new CannotGoOn(error.message);
    throw error;
  }
  say('Preparing the database…');
  node('node_modules/prisma/build/index.js', ['migrate', 'deploy'], {
    what: 'Preparing the database',
    env: { ...PRISMA_ENV, BREATHLINE_DATA: folder },
  });
};
