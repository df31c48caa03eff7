/** An empty database with every migration in it, made once for all tests: a server of theirs begins with a copy. */
import { execFileSync } from 'node:child_process';
import { createHash } from 'node:crypto';
import {
  copyFileSync,
  existsSync,
  mkdirSync,
  mkdtempSync,
  readFileSync,
  readdirSync,
  renameSync,
  rmSync,
} from 'node:fs';
import { tmpdir } from 'node:os';
import path from 'node:path';
import { PRISMA_ENV } from '../apps/server/bin/steps.mjs';
import { ROOT } from './root.ts';

/** What the migrations say, as a short name. */
const migrations = (): string => {
  const folder = path.join(ROOT, 'prisma/migrations');
  const hash = createHash('sha256');
  for (const name of readdirSync(folder).sort()) {
    const file = path.join(folder, name, 'migration.sql');
    if (existsSync(file)) hash.update(name).update(readFileSync(file));
  }
  return hash.digest('hex').slice(0, 16);
};

/** Puts `breathline.db` into a data folder, as `prisma migrate deploy` makes it. */
export const putEmptyDatabase = (dataFolder: string): void => {
  const kept = path.join(ROOT, 'node_modules/.cache/breathline', `empty-${migrations()}.db`);
  if (!existsSync(kept)) {
    const folder = mkdtempSync(path.join(tmpdir(), 'breathline-empty-'));
    execFileSync(process.execPath, ['node_modules/prisma/build/index.js', 'migrate', 'deploy'], {
      cwd: ROOT,
      stdio: 'ignore',
      env: { ...process.env, ...PRISMA_ENV, BREATHLINE_DATA: folder },
    });
    mkdirSync(path.dirname(kept), { recursive: true });
    // Under its name only once whole: another test file may be looking for it.
    const fresh = `${kept}.${process.pid}`;
    copyFileSync(path.join(folder, 'breathline.db'), fresh);
    renameSync(fresh, kept);
    rmSync(folder, { recursive: true, force: true });
  }
  copyFileSync(kept, path.join(dataFolder, 'breathline.db'));
};
