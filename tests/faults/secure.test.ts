import { execFileSync } from 'node:child_process';
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { request as plainRequest, type IncomingHttpHeaders } from 'node:http';
import { request } from 'node:https';
import { connect } from 'node:net';
import { tmpdir } from 'node:os';
import path from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import WebSocket from 'ws';
import { PASSPHRASE, TestServer } from './server.ts';

const ROOT = path.resolve(import.meta.dirname, '../..');

interface Heard {
  readonly status: number;
  readonly headers: IncomingHttpHeaders;
  readonly text: string;
}

/** One request, over https where the address says so, by somebody who trusts `ca` alone. */
const ask = (
  address: string,
  {
    ca,
    method = 'GET',
    body,
    headers = {},
  }: { ca?: string; method?: string; body?: string; headers?: Record<string, string> } = {},
): Promise<Heard> =>
  new Promise((resolve, reject) => {
    const options = {
      method,
      headers: { ...headers, ...(body ? { 'content-type': 'application/json' } : {}) },
      ...(ca ? { ca } : {}),
    };
    const send = address.startsWith('https:') ? request : plainRequest;
    const sent = send(address, options, (response) => {
      let text = '';
      response.on('data', (data: Buffer) => (text += data.toString('latin1')));
      response.on('end', () => resolve({ status: response.statusCode ?? 0, headers: response.headers, text }));
    });
    sent.on('error', reject);
    sent.end(body);
  });

describe('over https with the site’s own certificate', () => {
  let server: TestServer;
  let ca: string;
  let printed: string;
  let plain: string;

  beforeAll(async () => {
    server = new TestServer({ HOST: '0.0.0.0' });
    printed = execFileSync(process.execPath, ['apps/server/bin/certificate.mjs'], {
      cwd: ROOT,
      encoding: 'utf8',
      env: { ...process.env, ...server.env, BREATHLINE_DATA: server.dataFolder },
    });
    ca = readFileSync(path.join(server.dataFolder, 'certificate/authority.pem'), 'utf8');
    await server.start();
    plain = server.origin.replace('https:', 'http:');
  });

  afterAll(() => server.dispose());

  it('the next start uses it, and says how a device comes to trust it', () => {
    expect(printed).toMatch(/A new authority and a certificate for this machine were made/);
    expect(printed).toMatch(/Compare on the device \(SHA-256\): ([0-9A-F]{2}:){31}[0-9A-F]{2}/);
    expect(server.origin).toMatch(/^https:/);
    expect(server.output).toContain(`open ${plain} on it once`);
  });

  it('signs in with a cookie that never goes out unencrypted, and gives https addresses to join by', async () => {
    const body = JSON.stringify({ passphrase: PASSPHRASE });
    const signedIn = await ask(`${server.origin}/api/login`, {
      ca,
      method: 'POST',
      body,
      headers: { origin: server.origin },
    });
    expect(signedIn.status).toBe(204);
    const [cookie = ''] = signedIn.headers['set-cookie'] ?? [];
    expect(cookie).toMatch(/; HttpOnly; Secure; SameSite=Strict|; Secure; HttpOnly|; HttpOnly; Secure/i);
    const { text } = await ask(`${server.origin}/api/network`, { ca, headers: { cookie: cookie.split(';')[0] ?? '' } });
    const network = JSON.parse(text) as { origins: string[]; secure: boolean; trustAt: string };
    expect(network).toMatchObject({ secure: true, trustAt: plain });
    expect(network.origins).toContain(server.origin);
    expect(network.origins.every((origin) => origin.startsWith('https:'))).toBe(true);
  });

  it('takes a socket over wss, and from the same site only', async () => {
    const open = (origin: string) =>
      new Promise<string>((resolve) => {
        const socket = new WebSocket(`${server.origin.replace('https', 'wss')}/api/socket`, { ca, origin });
        socket.on('open', () => (socket.terminate(), resolve('open')));
        socket.on('unexpected-response', (sent, { statusCode }) => {
          sent.destroy();
          resolve(String(statusCode));
        });
        socket.on('error', (error) => resolve(error.message));
      });
    expect(await open(server.origin)).toBe('open');
    expect(await open('https://elsewhere.example.org')).toBe('403');
  });

  it('is refused by whoever does not trust its authority', async () => {
    await expect(ask(`${server.origin}/api/health`)).rejects.toThrow(/certificate/);
  });

  it('hands the authority out over plain http on the same port, with how to trust it, and nothing else', async () => {
    const authority = await ask(`${plain}/authority.crt`);
    expect(authority.headers['content-type']).toBe('application/x-x509-ca-cert');
    const der = Buffer.from(authority.text, 'latin1').toString('base64');
    expect(der).toBe(ca.replace(/-----[^-]+-----|\s/g, ''));
    const page = await ask(`${plain}/join?code=%3Cscript%3E`);
    expect(page.status).toBe(200);
    expect(page.text).toContain(`href="${server.origin.replaceAll(/[&<>"']/g, '')}/join?code=%3Cscript%3E"`);
    expect(page.text).toContain('NOT FOR CLINICAL USE');
    for (const address of ['/api/me', '/api/runs', '/api/socket']) {
      const { status, headers } = await ask(`${plain}${address}`);
      expect([address, status, headers.location]).toEqual([address, 308, `${server.origin}${address}`]);
    }
    const signIn = await ask(`${plain}/api/login`, {
      method: 'POST',
      body: JSON.stringify({ passphrase: PASSPHRASE }),
    });
    expect([signIn.status, signIn.headers['set-cookie']]).toEqual([403, undefined]);
    expect((await ask(`${plain}/`, { headers: { host: 'elsewhere.example.org' } })).status).toBe(403);
  });

  it('outlives connections that say nothing, half a word, or rubbish, and still stops at once', async () => {
    const { hostname, port } = new URL(server.origin);
    const sockets = ['', '\x16', '\x16\x03\x01\xff\xff', 'GET', '\x00\x00'].map((text) => {
      const socket = connect(Number(port), hostname);
      socket.on('error', () => undefined);
      socket.write(text, 'latin1');
      return socket;
    });
    await new Promise((resolve) => setTimeout(resolve, 300));
    expect((await ask(`${server.origin}/api/health`, { ca })).status).toBe(200);
    const from = Date.now();
    expect(await server.stop()).toBe(0);
    expect(Date.now() - from).toBeLessThan(8_000);
    for (const socket of sockets) socket.destroy();
  });
});

describe('a server whose certificate can not be used', () => {
  it('says so in words and does not fall back to plain http', async () => {
    const folder = mkdtempSync(path.join(tmpdir(), 'breathline-pem-'));
    const file = path.join(folder, 'list.pem');
    writeFileSync(file, 'bread, milk');
    const server = new TestServer({ BREATHLINE_CERT: file, BREATHLINE_KEY: path.join(folder, 'gone.pem') });
    await expect(server.start()).rejects.toThrow();
    expect(server.output).toMatch(
      /gone\.pem can not be read \(ENOENT\)\. Mend what BREATHLINE_CERT and BREATHLINE_KEY name/,
    );
    expect(server.output).not.toMatch(/\n\s+at |Open http/);
    await server.dispose();
    rmSync(folder, { recursive: true });
  });
});
