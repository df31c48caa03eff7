import { mkdtempSync, readFileSync, readdirSync, rmSync, truncateSync, writeFileSync, cpSync } from 'node:fs';
import { tmpdir } from 'node:os';
import path from 'node:path';
import { ReadySchema, check } from '@breathline/protocol';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { buildApp } from '../src/app.ts';
import { StoreCopies } from '../src/store/store-copies.ts';
import { configFor, makeApp, signIn } from './helpers.ts';

const outside = mkdtempSync(path.join(tmpdir(), 'breathline-copies-'));
afterAll(() => rmSync(outside, { recursive: true, force: true }));

interface Backup {
  readonly last: { readonly madeAt: string; readonly bytes: number; readonly runs: number } | null;
  readonly problem: string | null;
  readonly stale: number;
}

describe('copies of the store', () => {
  let app: Awaited<ReturnType<typeof makeApp>>;
  let call: Awaited<ReturnType<typeof signIn>>;
  let folder: string;
  const backup = async (): Promise<Backup> => {
    const { body } = await call('GET', '/api/ready');
    expect(check(ReadySchema, body)).toMatchObject({ ok: true });
    return body!['backup'] as Backup;
  };
  /** Files of any copy that hold these words. */
  const holding = (words: string): string[] =>
    readdirSync(folder, { recursive: true, withFileTypes: true })
      .filter((entry) => entry.isFile() && readFileSync(path.join(entry.parentPath, entry.name)).includes(words))
      .map(({ name }) => name);

  beforeAll(async () => {
    app = await makeApp();
    call = await signIn(app);
    folder = path.join(app.dataFolder, 'copies');
    await call('POST', '/api/runs', { scenarioId: 'fault-drill', packId: 'fixture-pack' });
  });
  afterAll(() => app.dispose());

  it('are told of on the board: none, then one with its moment, size and runs', async () => {
    expect(await backup()).toMatchObject({ last: null, problem: null });
    const from = new Date().toISOString();
    expect(await app.services.backup.makeNow()).toBe(true);
    const { last } = await backup();
    expect(last).toMatchObject({ runs: 1 });
    expect(last!.madeAt >= from && last!.bytes > 10_000).toBe(true);
  });

  it('can be started on, with every run and the same passphrase', async () => {
    const [copy] = await new StoreCopies(app.dataFolder, folder).list();
    const data = path.join(outside, 'put-back');
    cpSync(copy!.folder, data, { recursive: true });
    const again = await buildApp(configFor(data, { BREATHLINE_PASSPHRASE: '' }));
    try {
      expect(again.newPassphrase).toBeNull();
      const { body } = await (await signIn(again))('GET', '/api/runs');
      expect((body!['runs'] as object[]).length).toBe(1);
    } finally {
      await again.close();
    }
  });

  it('are not made while a drill runs, and one that begins cuts a copy short without a trace', async () => {
    const { body } = await call('POST', '/api/runs', { scenarioId: 'fault-drill', packId: 'fixture-pack' });
    const runId = String(body!['runId']);
    let n = 0;
    const tap = (command: object, baseSeq: number) =>
      call('POST', `/api/runs/${runId}/commands`, {
        t: 'command',
        clientId: 'a-console',
        n: (n += 1),
        command,
        baseSeq,
      });
    const before = (await backup()).last;
    const making = app.services.backup.makeNow();
    expect((await tap({ kind: 'run-started' }, 0)).status).toBe(200);
    expect(await making).toBe(false);
    expect(await app.services.backup.makeNow()).toBe(false);
    expect(await backup()).toMatchObject({ last: before, problem: null });
    expect(readdirSync(folder).length).toBe(1);
    expect((await tap({ kind: 'run-ended', why: 'over' }, 1)).status).toBe(200);
    expect(await app.services.backup.makeNow()).toBe(true);
    expect((await backup()).last).toMatchObject({ runs: 2 });
  });

  it('keep nothing of what was erased: a fresh one is made and the others go', async () => {
    await call('POST', '/api/people', { pseudonym: 'heron', name: 'Jane Mapleton', consent: false });
    expect(await app.services.backup.makeNow()).toBe(true);
    expect(holding('Jane Mapleton')).toEqual(['breathline.db']);
    expect((await call('PATCH', '/api/people/heron', { name: '' })).status).toBe(200);
    expect((await backup()).stale).toBe(3);
    expect(await app.services.backup.makeNow()).toBe(true);
    expect(await backup()).toMatchObject({ stale: 0, last: { runs: 2 } });
    expect(readdirSync(folder).length).toBe(1);
    expect(holding('Jane Mapleton')).toEqual([]);
    // The same for a run that is deleted as a whole.
    const { body } = await call('GET', '/api/runs');
    const [{ runId }] = body!['runs'] as [{ runId: string }];
    expect((await call('DELETE', `/api/runs/${runId}`)).status).toBe(204);
    expect((await backup()).stale).toBe(1);
    expect(await app.services.backup.makeNow()).toBe(true);
    expect(await backup()).toMatchObject({ stale: 0, last: { runs: 1 } });
    expect(holding(runId)).toEqual([]);
  });

  it('count only while they are as they were made', async () => {
    const copies = new StoreCopies(app.dataFolder, folder);
    const [copy] = await copies.list();
    truncateSync(path.join(copy!.folder, 'breathline.db'), 4096);
    expect((await backup()).last).toBeNull();
  });

  it('are kept for the last few, and the one with the most runs whatever its age', async () => {
    const copies = new StoreCopies(app.dataFolder, path.join(outside, 'many'));
    const { folder: made, bytes } = await copies.make(new Date('2026-01-01T00:00:00Z'));
    const base = path.join(made, '..', path.basename(made).replace(/20260101.*/, ''));
    for (let day = 2; day <= 9; day += 1) {
      cpSync(made, `${base}2026010${day}T000000000Z`, { recursive: true });
      const note = { madeAt: `2026-01-0${day}T00:00:00.000Z`, bytes, runs: day === 3 ? 99 : day };
      writeFileSync(path.join(`${base}2026010${day}T000000000Z`, 'copy.json'), JSON.stringify(note));
    }
    await copies.prune(null);
    expect((await copies.list()).map(({ madeAt }) => madeAt.slice(8, 10))).toEqual([
      '09',
      '08',
      '07',
      '06',
      '05',
      '03',
    ]);
    await copies.prune('2026-01-08T12:00:00.000Z');
    expect((await copies.list()).map(({ madeAt }) => madeAt.slice(8, 10))).toEqual(['09']);
    // Another store's copies in the same folder are not touched.
    expect(await new StoreCopies(outside, copies.folder).list()).toEqual([]);
  });

  it('that can not be made are told of in words, and drills go on', async () => {
    writeFileSync(path.join(outside, 'a-file'), '');
    const other = await makeApp({ BREATHLINE_BACKUP: path.join(outside, 'a-file/copies') });
    try {
      const ask = await signIn(other);
      expect(await other.services.backup.makeNow()).toBe(false);
      const { body } = await ask('GET', '/api/ready');
      expect((body!['backup'] as Backup).problem).toMatch(
        /a-file\/copies can not be written \(ENOTDIR\)\. Give this user/,
      );
      expect((await ask('POST', '/api/runs', { scenarioId: 'fault-drill', packId: 'fixture-pack' })).status).toBe(200);
    } finally {
      await other.dispose();
    }
    const full = new StoreCopies(app.dataFolder, path.join(outside, 'full'), Number.MAX_SAFE_INTEGER);
    await expect(full.make()).rejects.toThrow(
      /^No room for a copy in .*full: \d+ MB needed, \d+ MB free\. Free some, or set/,
    );
    expect(await full.list()).toEqual([]);
  });
});
