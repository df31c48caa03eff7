import { once } from 'node:events';
import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { createServer, type AddressInfo } from 'node:net';
import { tmpdir } from 'node:os';
import path from 'node:path';
import { afterEach, describe, expect, it } from 'vitest';
import { lanAddresses } from '../../apps/server/src/network.ts';
import { TestServer } from './server.ts';

let server: TestServer | null = null;

afterEach(async () => {
  await server?.dispose();
  server = null;
});

/** Starts a server that must not start, and gives what it said. */
const complaint = async (env: Record<string, string>): Promise<string> => {
  server = new TestServer(env);
  await expect(server.start()).rejects.toThrow();
  const { output } = server;
  // One or two sentences for a person, never a stack of file names.
  expect(output).not.toMatch(/\n\s+at /);
  return output;
};

describe('a server that can not start says why', () => {
  it('when the port is taken, with another to try', async () => {
    const holder = createServer().listen(0, '127.0.0.1');
    await once(holder, 'listening');
    const { port } = holder.address() as AddressInfo;
    expect(await complaint({ PORT: String(port) })).toContain(
      `Port ${port} is taken by another program. Stop it, or choose another: PORT=${port + 1} npm start`,
    );
    holder.close();
  });

  it('when PORT is no port', async () => {
    expect(await complaint({ PORT: 'often' })).toContain('PORT is "often": expected a whole number from 0 to 65535');
  });

  it('when the data folder can not be written', async () => {
    const folder = mkdtempSync(path.join(tmpdir(), 'breathline-file-'));
    writeFileSync(path.join(folder, 'a-file'), '');
    expect(await complaint({ BREATHLINE_DATA: path.join(folder, 'a-file/data') })).toMatch(
      /The data folder .* can not be written/,
    );
    // Where Node's own way of making folders never returns.
    if (process.platform === 'linux')
      expect(await complaint({ BREATHLINE_DATA: '/proc/breathline/data' })).toMatch(/can not be written \(ENOENT\)/);
    rmSync(folder, { recursive: true });
  });

  it('when the database is not one', async () => {
    const folder = mkdtempSync(path.join(tmpdir(), 'breathline-broken-'));
    writeFileSync(path.join(folder, 'breathline.db'), 'this is not a database, it is a shopping list');
    expect(await complaint({ BREATHLINE_DATA: folder })).toMatch(/is not a database/);
    rmSync(folder, { recursive: true });
  });
});

describe('a server that starts', () => {
  it('says the address, how to let others in and how to stop; PORT and HOST are honoured', async () => {
    server = new TestServer({ HOST: '0.0.0.0' });
    await server.start();
    const opened = [...server.output.matchAll(/^Open (\S+)(.*)$/gm)].map(([, address, more]) => [address, more]);
    // An address of the network first, since codes shown on a page opened there are for other devices too.
    const { port } = new URL(server.origin);
    expect(opened).toEqual([
      ...lanAddresses().map((address) => [`http://${address}:${port}`, '']),
      [`http://127.0.0.1:${port}`, ' (on this machine only)'],
    ]);
    expect(server.output).toContain('NOT FOR CLINICAL USE');
    expect(server.output).not.toContain('HOST=0.0.0.0 npm start');
    expect((await server.call<{ ok: boolean }>('GET', '/api/health')).body.ok).toBe(true);
  });

  it('does not start the database’s command line when there is nothing to migrate', async () => {
    server = new TestServer();
    await server.start();
    expect(server.output).not.toContain('Preparing the database');
  });
});
