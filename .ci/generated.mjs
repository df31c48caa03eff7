/**
 * Files that follow from other files must be what those make. The migrations are checked here; the JSON Schemas of the
 * scenario language by `packages/scenario/test/schema.test.ts`; and nothing that was built or tested may have changed a
 * committed file.
 */
import { execFileSync, spawnSync } from 'node:child_process';
import { mkdtempSync, readFileSync, readdirSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import path from 'node:path';

const ROOT = path.resolve(import.meta.dirname, '..');
let failed = false;

// The migrations must lead to the schema: a change of one without the other would only show on a fresh machine.
const { PRISMA_ENV } = await import('../apps/server/bin/steps.mjs');
const { default: Sqlite } = await import('better-sqlite3');
const scratch = mkdtempSync(path.join(tmpdir(), 'breathline-generated-'));
const wanted = spawnSync(
  process.execPath,
  [
    'node_modules/prisma/build/index.js',
    'migrate',
    'diff',
    '--from-empty',
    '--to-schema-datamodel',
    'prisma/schema.prisma',
    '--script',
  ],
  { cwd: ROOT, encoding: 'utf8', env: { ...process.env, ...PRISMA_ENV, BREATHLINE_DATA: scratch } },
);
rmSync(scratch, { recursive: true, force: true });

/** Tables, columns and indexes of a database made by `scripts`, as plain lines. */
const outline = (scripts) => {
  const db = new Sqlite(':memory:');
  for (const script of scripts) db.exec(script);
  const lines = [];
  for (const { name } of db.prepare("SELECT name FROM sqlite_master WHERE type = 'table' ORDER BY name").all()) {
    for (const column of db.pragma(`table_info("${name}")`)) {
      lines.push(
        `${name}.${column.name} ${column.type} notnull=${column.notnull} default=${column.dflt_value} pk=${column.pk}`,
      );
    }
    for (const key of db.pragma(`foreign_key_list("${name}")`))
      lines.push(`${name}.${key.from} -> ${key.table}.${key.to} ${key.on_delete}`);
    for (const index of db.pragma(`index_list("${name}")`)) {
      const columns = db.pragma(`index_info("${index.name}")`).map((column) => column.name);
      lines.push(`${name} index (${columns.join(', ')}) unique=${index.unique}`);
    }
  }
  return lines.sort().join('\n');
};

const folders = readdirSync(path.join(ROOT, 'prisma/migrations'), { withFileTypes: true })
  .filter((entry) => entry.isDirectory())
  .map((entry) => entry.name)
  .sort();
const migrated = outline(
  folders.map((name) => readFileSync(path.join(ROOT, 'prisma/migrations', name, 'migration.sql'), 'utf8')),
);
if (wanted.status !== 0 || outline([wanted.stdout]) !== migrated) {
  console.error('The migrations do not lead to prisma/schema.prisma. Add a migration under prisma/migrations.');
  console.error(wanted.stderr);
  failed = true;
}

// In a clean checkout, anything changed by now was changed by the build or the tests.
if (process.env.CI) {
  const changed = execFileSync('git', ['status', '--porcelain'], { cwd: ROOT, encoding: 'utf8' }).trim();
  if (changed) {
    console.error(`Building and testing changed files that are committed, or left new ones:\n${changed}`);
    failed = true;
  }
}

if (!failed) console.log('Generated files are what the sources make.');
process.exit(failed ? 1 : 0);
