import { rmSync } from 'node:fs';
import { afterEach, expect, it } from 'vitest';
import type { RunEvent } from '@breathline/engine';
import { Database, missingMigrations, databaseFile } from '../src/store/database.ts';
import { EventStore, type StoredEvent } from '../src/store/event-store.ts';
import { configFor, makeApp, makeDataFolder } from './helpers.ts';

const folders: string[] = [];
const open = async () => {
  const folder = makeDataFolder();
  folders.push(folder);
  return Database.open(folder, configFor(folder).migrationsFolder);
};

afterEach(() => {
  for (const folder of folders.splice(0)) rmSync(folder, { recursive: true, force: true });
});

const stored = (seq: number, more: object = {}): StoredEvent => ({
  event: {
    kind: 'note',
    text: `note ${seq}`,
    seq,
    take: 1,
    appliedAtMs: 0,
    occurredAtMs: 0,
    wallTime: '2026-01-01T00:00:00.000Z',
    by: { role: 'lead' },
    ...more,
  } as RunEvent,
  requestHash: null,
  warnings: [],
});

const makeRun = (database: Database, id: string) =>
  database.write((prisma) =>
    prisma.run.create({
      data: {
        id,
        scenarioId: 's',
        scenarioTitle: 's',
        packId: 'p',
        engineVersion: '0',
        phase: 'ready',
        definition: '{}',
      },
    }),
  );

it('syncs in full, and still does after writes and transactions on the same connection', async () => {
  const database = await open();
  expect(await database.synchronous()).toBe(2);
  await makeRun(database, 'a');
  const events = new EventStore(database);
  await Promise.all([1, 2, 3].map((seq) => events.append('a', stored(seq))));
  expect(await database.synchronous()).toBe(2);
  await database.close();
});

it('gives back what it was given, words and all', async () => {
  const database = await open();
  await makeRun(database, 'a');
  const events = new EventStore(database);
  await events.append('a', stored(1, { clientId: 'seat', clientNumber: 2 ** 40 }));
  expect(await events.load('a')).toEqual([stored(1, { clientId: 'seat', clientNumber: 2 ** 40 })]);
  // Erasing the words leaves the line.
  await database.write((prisma) => prisma.eventText.deleteMany());
  expect((await events.load('a'))[0]?.event).toMatchObject({ kind: 'note', text: '(erased)', seq: 1 });
  await database.close();
});

it('refuses together everything numbered after a lost event, and takes the next', async () => {
  const database = await open();
  await makeRun(database, 'a');
  await makeRun(database, 'b');
  const events = new EventStore(database);
  await events.append('a', stored(1));
  // Line 1 again: the disk says no. Lines 2 and 3 were numbered after it; run b was in another batch.
  const lost = [stored(1), stored(2), stored(3)].map((one) => events.append('a', one));
  for (const one of lost) await expect(one).rejects.toThrow();
  await events.append('b', stored(1));
  await events.append('a', stored(2));
  expect((await events.load('a')).map(({ event }) => event.seq)).toEqual([1, 2]);
  await database.close();
});

it('a line the disk will not take disturbs no other run, and nothing before it', async () => {
  const database = await open();
  await makeRun(database, 'a');
  await makeRun(database, 'b');
  const events = new EventStore(database);
  await events.append('a', stored(1));
  // One window: line 1 of run a again, between two lines that are well and beside another run's.
  const answers = await Promise.allSettled([
    events.append('a', stored(2)),
    events.append('a', stored(1)),
    events.append('a', stored(3)),
    events.append('b', stored(1)),
  ]);
  expect(answers.map(({ status }) => status)).toEqual(['fulfilled', 'rejected', 'rejected', 'fulfilled']);
  expect((await events.load('a')).map(({ event }) => event.seq)).toEqual([1, 2]);
  expect((await events.load('b')).map(({ event }) => event.seq)).toEqual([1]);
  await database.close();
});

it('a tap is refused as not saved when the disk fails, and the same tap works once it is well', async () => {
  const app = await makeApp();
  const faculty = { role: 'faculty' } as const;
  const { runId } = await app.services.runs.create(faculty, { scenarioId: 'fault-drill', packId: 'fixture-pack' });
  const note = (n: number) =>
    app.services.runs.command(faculty, runId, {
      t: 'command',
      clientId: 'desk',
      n,
      command: { kind: 'note', text: 'x' },
    });
  await note(1);
  await app.database.write((prisma) => prisma.$executeRawUnsafe('ALTER TABLE Event RENAME TO EventAway'));
  await expect(note(2)).rejects.toMatchObject({ problem: { code: 'not-saved' } });
  await app.database.write((prisma) => prisma.$executeRawUnsafe('ALTER TABLE EventAway RENAME TO Event'));
  expect(await note(2)).toMatchObject({ seq: 2 });
  await app.dispose();
});

it('knows which migrations a database lacks', async () => {
  const folder = makeDataFolder();
  folders.push(folder);
  const { migrationsFolder } = configFor(folder);
  expect(missingMigrations(databaseFile(folder), migrationsFolder)).toEqual([]);
  expect(missingMigrations(`${folder}/none.db`, migrationsFolder).length).toBeGreaterThan(0);
});
