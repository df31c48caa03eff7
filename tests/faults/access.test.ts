import { once } from 'node:events';
import { request } from 'node:http';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import WebSocket from 'ws';
import type { RefusedMessage } from '@breathline/protocol';
import { TestScreen, TestServer, type Problem } from './server.ts';

let server: TestServer;
let runId: string;
let joinCode: string;

beforeAll(async () => {
  server = await TestServer.signedIn();
  ({ runId, joinCode } = await server.newRun());
});

afterAll(async () => {
  await server.dispose();
});

/** A request exactly as written: `fetch` would tidy the path. */
const raw = (path: string, headers: Record<string, string> = {}): Promise<{ status: number; text: string }> =>
  new Promise((resolve, reject) => {
    const { hostname, port } = new URL(server.origin);
    const sent = request({ hostname, port, path, headers }, (response) => {
      let text = '';
      response.on('data', (data: Buffer) => (text += data.toString()));
      response.on('end', () => resolve({ status: response.statusCode ?? 0, text }));
    });
    sent.on('error', reject);
    sent.end();
  });

describe('every faculty route without a cookie', () => {
  const routes = (): [string, string, unknown?][] => [
    ['GET', '/api/scenarios'],
    ['GET', '/api/scenarios/fault-drill'],
    ['GET', '/api/library'],
    ['GET', '/api/runs'],
    ['POST', '/api/runs', { scenarioId: 'fault-drill', packId: 'fixture-pack' }],
    ['GET', `/api/runs/${runId}`],
    ['POST', `/api/runs/${runId}/ticket`, {}],
    ['POST', `/api/runs/${runId}/commands`, { t: 'command', clientId: 'a', n: 1, command: { kind: 'run-started' } }],
    ['GET', `/api/runs/${runId}/export`],
    ['POST', '/api/runs/import', {}],
    ['GET', `/api/runs/${runId}/scorecard`],
    ['GET', `/api/runs/${runId}/explain?vital=spo2Percent`],
    ['GET', `/api/runs/${runId}/scores`],
    ['GET', '/api/programme'],
    ['GET', '/api/programme.csv'],
    ['GET', '/api/problems'],
    ['GET', '/api/problems.csv'],
    ['GET', '/api/people'],
    ['GET', '/api/retention'],
    ['PATCH', `/api/runs/${runId}/about`, {}],
  ];

  it('is refused, with no more said to a cookie made up than to none', async () => {
    for (const [method, address, body] of routes()) {
      for (const headers of [{}, { cookie: 'breathline_session=made-up' }] as Record<string, string>[]) {
        const answer = await server.call<Problem>(method, address, body, { anonymous: true, headers });
        expect([method, address, answer.status, answer.body.code]).toEqual([method, address, 401, 'not-signed-in']);
        expect(answer.headers.get('content-type')).toContain('application/problem+json');
      }
    }
    expect((await server.call('GET', '/api/me', undefined, { anonymous: true })).body).toEqual({ role: null });
  });

  it('a run that is not there and one that is look the same to a stranger', async () => {
    const there = await server.call('GET', `/api/runs/${runId}`, undefined, { anonymous: true });
    const not = await server.call('GET', '/api/runs/nothing', undefined, { anonymous: true });
    expect(not).toMatchObject({ status: there.status, body: there.body });
  });

  it('and each of them answers to a cookie: the refusals above are for want of one, not a wrong address', async () => {
    for (const [method, address, body] of routes()) {
      const { status } = await server.call(method, address, body);
      expect([address, status === 401 || status === 404]).toEqual([address, false]);
    }
  });
});

describe('other sites', () => {
  const upgrade = async (headers: Record<string, string>): Promise<number> => {
    const socket = new WebSocket(`${server.origin.replace('http', 'ws')}/api/socket`, { headers });
    socket.on('error', () => undefined);
    const opened = once(socket, 'open').then(() => 101);
    const refused = once(socket, 'unexpected-response').then(
      ([, response]) => (response as { statusCode: number }).statusCode,
    );
    const status = await Promise.race([opened, refused]);
    socket.terminate();
    return status;
  };

  it('may not open a socket: refused before the upgrade', async () => {
    expect(await upgrade({ origin: 'http://evil.example' })).toBe(403);
    expect(await upgrade({ origin: 'http://127.0.0.1:1' })).toBe(403);
    expect(await upgrade({ origin: 'null' })).toBe(403);
    expect(await upgrade({ origin: server.origin })).toBe(101);
  });

  it('may not post, and may not read through a name pointed here', async () => {
    const posted = await server.call<Problem>(
      'POST',
      '/api/logout',
      {},
      { headers: { origin: 'http://evil.example' } },
    );
    expect([posted.status, posted.body.code]).toEqual([403, 'foreign-origin']);
    const { status } = await raw('/api/health', { host: 'evil.example' });
    expect(status).toBe(403);
  });

  it('get a policy that runs no script but our own, frames nothing and calls nothing', async () => {
    const { headers } = await server.call('GET', '/api/health');
    const policy = headers.get('content-security-policy') ?? '';
    expect(policy).toContain("default-src 'self'");
    expect(policy).not.toMatch(/script-src[^;]*unsafe/);
    expect(policy).toContain("frame-ancestors 'none'");
    expect(headers.get('cache-control')).toBe('no-store');
  });
});

describe('paths that lead out', () => {
  it.each([
    '/../package.json',
    '/..%2f..%2fpackage.json',
    '/%2e%2e/%2e%2e/prisma/schema.prisma',
    '/_app/..%5c..%5c..%5cpackage.json',
    '/api/scenarios/..%2f..%2fpackage.json',
    '/api/scenarios/%2e%2e%2fformulary%2ffixture',
    '/.data/breathline.db',
    '/.git/config',
  ])('%s gives nothing away', async (path) => {
    const { status, text } = await raw(path);
    expect(text).not.toMatch(/"workspaces"|datasource|SQLite format|repositoryformatversion|adrenaline/);
    expect([200, 400, 401, 403, 404]).toContain(status);
    if (status === 200) expect(text).toContain('<html');
  });
});

describe('tickets', () => {
  it('work once', async () => {
    const { body } = await server.call<{ ticket: string }>(
      'POST',
      '/api/join',
      { code: joinCode },
      { anonymous: true },
    );
    const first = await TestScreen.join(server.origin, body.ticket);
    const second = await TestScreen.open(server.origin);
    second.send({ t: 'join', ticket: body.ticket });
    const refused = await second.until<RefusedMessage>((message) => message.t === 'refused');
    expect(refused.code).toBe('bad-ticket');
    first.close();
    second.close();
  });

  it('lead to a token that lets the same screen back in as often as its line breaks, as what it was', async () => {
    const monitor = await server.monitor(joinCode);
    for (let time = 0; time < 2; time += 1) {
      const back = await TestScreen.join(server.origin, monitor.again);
      expect(back.received[0]).toMatchObject({ t: 'hello', role: 'monitor', again: monitor.again });
      back.close();
    }
    expect(monitor.again).not.toContain(runId);
    // Nor is it a session.
    const headers = { cookie: `breathline_session=${monitor.again}` };
    expect((await server.call('GET', '/api/runs', undefined, { anonymous: true, headers })).status).toBe(401);
    monitor.close();
  });

  it('lead nobody of faculty back once faculty signed out; a monitor stays a monitor', async () => {
    const faculty = await server.faculty(runId);
    const monitor = await server.monitor(joinCode);
    expect((await server.call('POST', '/api/logout', {})).status).toBe(204);
    try {
      const late = await TestScreen.open(server.origin);
      late.send({ t: 'join', ticket: faculty.again });
      expect(await late.until((message) => message.t === 'refused')).toMatchObject({ code: 'bad-ticket' });
      const back = await TestScreen.join(server.origin, monitor.again);
      for (const screen of [faculty, monitor, late, back]) screen.close();
    } finally {
      await server.login();
    }
  });

  it('a monitor’s opens a monitor and nothing more: its commands are refused, all but the real-emergency stop', async () => {
    const monitor = await server.monitor(joinCode);
    const faculty = await server.faculty(runId);
    const { seq } = faculty.faculty;
    expect((await monitor.refused({ kind: 'note', text: 'x' })).code).toBe('wrong-role');
    expect((await monitor.refused({ kind: 'device-attached', device: 'ecg' })).code).toBe('wrong-role');
    expect((await monitor.refused({ kind: 'real-emergency-cleared' })).code).toBe('wrong-role');
    expect(faculty.faculty.seq).toBe(seq);
    // The acknowledgement carries no number of the log.
    expect(await monitor.tap({ kind: 'real-emergency-stop' })).toMatchObject({ seq: 0, warnings: [] });
    await faculty.until((message) => message.t === 'faculty' && message.view.realEmergency);
    await faculty.tap({ kind: 'real-emergency-cleared' });
    monitor.close();
    faculty.close();
  });
});

describe('guessing', () => {
  it('join codes: after ten wrong ones even the right one has to wait', async () => {
    const own = await TestServer.signedIn();
    const run = await own.newRun();
    const join = (code: string) => own.call<Problem>('POST', '/api/join', { code }, { anonymous: true });
    const spaced = `${run.joinCode.slice(0, 3).toLowerCase()} ${run.joinCode.slice(3)}`;
    expect((await join(spaced)).status).toBe(200);
    for (let attempt = 0; attempt < 10; attempt += 1) expect((await join('AAAAAA')).body.code).toBe('wrong-code');
    const blocked = await join(run.joinCode);
    expect([blocked.status, blocked.body.code]).toEqual([429, 'too-many-attempts']);
    // The crew's code is behind the same count.
    expect((await join(run.crewCode)).body.code).toBe('too-many-attempts');

    const login = (passphrase: string) => own.call<Problem>('POST', '/api/login', { passphrase }, { anonymous: true });
    const wrong = await Promise.all(Array.from({ length: 12 }, () => login('wrong words entirely')));
    expect(wrong.filter(({ status }) => status === 401).length).toBeLessThanOrEqual(5);
    expect((await login('quiet orange kettle')).status).toBe(429);
    await own.dispose();
  });
});

describe('the passphrase', () => {
  it('is printed once, forgives capitals and spaces, and is kept only as a slow hash', async () => {
    const own = new TestServer({ BREATHLINE_PASSPHRASE: '' });
    await own.start();
    const passphrase = /write it down\): (.+)/.exec(own.output)?.[1] ?? '';
    expect(passphrase.split(' ')).toHaveLength(5);
    const answer = await own.call('POST', '/api/login', {
      passphrase: `  ${passphrase.toUpperCase().replace(/ /g, '   ')} `,
    });
    expect(answer.status).toBe(204);
    const cookie = answer.headers.get('set-cookie') ?? '';
    expect(cookie).toMatch(/HttpOnly/);
    expect(cookie).toMatch(/SameSite=Strict/);
    await own.stop();
    await own.start();
    expect(own.output).not.toContain(passphrase);
    await own.call('POST', '/api/logout', {});
    expect((await own.call('GET', '/api/runs')).status).toBe(401);
    await own.dispose();
  });
});
