import { chmodSync, cpSync, existsSync, mkdtempSync, readFileSync, rmSync, symlinkSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import path from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import type { Library } from '@breathline/scenario';
import { ROOT } from '../src/config.ts';
import { OWN_HOST, makeApp, signIn } from './helpers.ts';

let app: Awaited<ReturnType<typeof makeApp>>;
let call: Awaited<ReturnType<typeof signIn>>;
let folder: string;

beforeAll(async () => {
  folder = mkdtempSync(path.join(tmpdir(), 'breathline-packs-'));
  cpSync(path.join(ROOT, 'tests/faults/scenarios'), folder, { recursive: true });
  app = await makeApp({ BREATHLINE_SCENARIOS: folder });
  call = await signIn(app);
});

afterAll(async () => {
  await app.dispose();
  rmSync(folder, { recursive: true, force: true });
});

const fork = (as: string, id = 'fixture-pack', title?: string) =>
  call('POST', `/api/packs/${id}/fork`, { as, ...(title === undefined ? {} : { title }) });
const packs = async () => ((await call('GET', '/api/library')).body as unknown as Library).packs;

describe('a site’s own copy', () => {
  it('is written beside the published pack and is in the library at once', async () => {
    const made = await fork('our-own', 'fixture-pack', 'Ours');
    expect(made.status).toBe(200);
    expect(made.body).toMatchObject({ id: 'our-own', file: 'guidelines/our-own.yaml' });
    expect(readFileSync(path.join(folder, 'guidelines/our-own.yaml'), 'utf8')).toContain('forked-from: fixture-pack');
    expect((await packs()).find(({ id }) => id === 'our-own')).toMatchObject({
      title: 'Ours',
      forkedFrom: 'fixture-pack',
    });
    const listed = (await call('GET', '/api/packs')).body!;
    expect(listed['files']).toContainEqual({ id: 'our-own', file: 'guidelines/our-own.yaml' });
    expect(listed['folder']).toBe(path.join(folder, 'guidelines'));
  });

  it('is never written over another file or pack', async () => {
    expect(await fork('our-own')).toMatchObject({ status: 409, body: { code: 'same-pack-id' } });
    writeFileSync(path.join(folder, 'guidelines/half-done.yaml'), 'breathline: 1\nkind: pack\nid: [');
    expect(await fork('half-done')).toMatchObject({ status: 409, body: { code: 'same-pack-id' } });
    expect(readFileSync(path.join(folder, 'guidelines/half-done.yaml'), 'utf8')).toContain('id: [');
  });

  it('a file with errors is listed with them and takes nothing else away', async () => {
    const listed = (await call('GET', '/api/packs')).body as { broken: { file: string; errors: unknown[] }[] };
    expect(listed.broken.map(({ file }) => file)).toEqual(['guidelines/half-done.yaml']);
    expect(listed.broken[0]!.errors.length).toBeGreaterThan(0);
    expect((await packs()).map(({ id }) => id)).toContain('fixture-pack');
  });

  it.each(['../evil', 'a/b', '/etc/x', 'Ours', 'x'.repeat(70), 'our own', '..'])('no such name: %j', async (as) => {
    const answer = await fork(as);
    expect(answer).toMatchObject({ status: 400, body: { code: 'bad-shape' } });
    expect(existsSync(path.join(folder, '..', 'evil.yaml'))).toBe(false);
  });

  it('of nothing is refused', async () => {
    expect(await fork('ours', 'no-such-pack-here')).toMatchObject({ status: 404, body: { code: 'no-such-pack' } });
  });

  it('can be taken away as a file where the folder is closed', async () => {
    const file = await app.fastify.inject({
      method: 'GET',
      url: '/api/packs/fixture-pack/file?as=away',
      headers: { ...OWN_HOST, ...call.cookie },
    });
    expect(file.statusCode).toBe(200);
    expect(file.headers['content-disposition']).toBe('attachment; filename="away.yaml"');
    expect(file.body).toContain('id: away\nforked-from: fixture-pack\nforked-hash: ');
    expect(existsSync(path.join(folder, 'guidelines/away.yaml'))).toBe(false);
  });

  it('is not written where the guidelines folder leads elsewhere', async () => {
    const outside = mkdtempSync(path.join(tmpdir(), 'breathline-outside-'));
    const led = mkdtempSync(path.join(tmpdir(), 'breathline-led-'));
    cpSync(folder, led, { recursive: true });
    cpSync(path.join(led, 'guidelines'), outside, { recursive: true });
    rmSync(path.join(led, 'guidelines'), { recursive: true });
    symlinkSync(outside, path.join(led, 'guidelines'));
    const other = await makeApp({ BREATHLINE_SCENARIOS: led });
    try {
      const ask = await signIn(other);
      const answer = await ask('POST', '/api/packs/fixture-pack/fork', { as: 'led-away' });
      expect([404, 409]).toContain(answer.status);
      expect(existsSync(path.join(outside, 'led-away.yaml'))).toBe(false);
    } finally {
      await other.dispose();
      rmSync(led, { recursive: true, force: true });
      rmSync(outside, { recursive: true, force: true });
    }
  });

  it('says what to do where the server may not write', async () => {
    const root = process.geteuid?.() === 0;
    chmodSync(folder, 0o755);
    chmodSync(path.join(folder, 'guidelines'), 0o555);
    // Nothing is closed to root: the answer is asked for as nobody.
    if (root) process.seteuid!(65534);
    try {
      expect(await fork('no-room')).toMatchObject({ status: 409, body: { code: 'folder-closed' } });
    } finally {
      if (root) process.seteuid!(0);
      chmodSync(path.join(folder, 'guidelines'), 0o700);
    }
    expect(existsSync(path.join(folder, 'guidelines/no-room.yaml'))).toBe(false);
  });

  it('is faculty’s alone', async () => {
    for (const [method, url] of [
      ['GET', '/api/packs'],
      ['GET', '/api/packs/fixture-pack/file'],
      ['POST', '/api/packs/fixture-pack/fork'],
    ] as const) {
      const answer = await call(method, url, method === 'POST' ? { as: 'stranger' } : undefined, {});
      expect(answer.status, url).toBe(401);
    }
    expect(existsSync(path.join(folder, 'guidelines/stranger.yaml'))).toBe(false);
  });
});
