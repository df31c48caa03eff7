/**
 * Whether something must be built again: a stamp over the contents of what it is made from, kept beside what was made.
 * Contents, not times: a fresh checkout of the same sources has other times.
 */
import { createHash } from 'node:crypto';
import { existsSync, mkdirSync, readFileSync, readdirSync, writeFileSync } from 'node:fs';
import path from 'node:path';

export const ROOT = path.resolve(import.meta.dirname, '../../..');

const SKIPPED = new Set(['node_modules', 'dist', 'build', '.svelte-kit', 'generated', '.git', 'test']);

const filesIn = (entry) => {
  const full = path.join(ROOT, entry);
  if (!existsSync(full)) return [];
  const found = [];
  const visit = (folder) => {
    for (const item of readdirSync(folder, { withFileTypes: true })) {
      if (SKIPPED.has(item.name)) continue;
      const at = path.join(folder, item.name);
      if (item.isDirectory()) visit(at);
      else if (item.isFile()) found.push(at);
    }
  };
  try {
    visit(full);
  } catch (error) {
    if (error.code !== 'ENOTDIR') throw error;
    found.push(full);
  }
  return found;
};

/** A hash over names and contents of files and folders, given from the root. */
export const stampOf = (entries) => {
  const hash = createHash('sha256');
  for (const file of entries.flatMap(filesIn).sort()) {
    hash.update(path.relative(ROOT, file)).update('\0').update(readFileSync(file)).update('\0');
  }
  return hash.digest('hex');
};

const stampFile = (name) => path.join(ROOT, 'node_modules/.cache/breathline', name);

/** True when `made` is there and was made from exactly this. */
export const isFresh = (name, stamp, made) =>
  existsSync(path.join(ROOT, made)) && existsSync(stampFile(name)) && readFileSync(stampFile(name), 'utf8') === stamp;

export const keepStamp = (name, stamp) => {
  mkdirSync(path.dirname(stampFile(name)), { recursive: true });
  writeFileSync(stampFile(name), stamp);
};
