/**
 * Copies a store while its server runs, in a process of its own that can be stopped at once: the database (whole as of one
 * moment, without what was erased from it), its pictures, and a check that the copy opens and holds every run. Prints what
 * it found as JSON. Arguments: data folder, folder of the copy.
 */
import { chmodSync, closeSync, cpSync, existsSync, fsyncSync, openSync, statSync } from 'node:fs';
import path from 'node:path';
import Sqlite from 'better-sqlite3';

const NAME = 'breathline.db';
const [dataFolder, target] = process.argv.slice(2);

const runsIn = (db) => db.prepare('SELECT count(*) AS runs FROM Run').get().runs;

const sync = (file) => {
  const handle = openSync(file, 'r+');
  fsyncSync(handle);
  closeSync(handle);
};

const file = path.join(target, NAME);
const store = new Sqlite(path.join(dataFolder, NAME), { readonly: true, timeout: 10_000 });
const before = runsIn(store);
// Not a copy page by page: pages set free by an erasure still hold its words.
store.prepare('VACUUM INTO ?').run(file);
const after = runsIn(store);
store.close();
chmodSync(file, 0o600);
sync(file);

const photos = path.join(dataFolder, 'photos');
if (existsSync(photos)) cpSync(photos, path.join(target, 'photos'), { recursive: true });

const copy = new Sqlite(file, { readonly: true });
const integrity = copy.pragma('integrity_check', { simple: true });
const runs = runsIn(copy);
copy.close();
console.log(JSON.stringify({ integrity, runs, before, after, bytes: statSync(file).size }));
