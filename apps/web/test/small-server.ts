/**
 * A small stand-in for the server: hands out the built client and invented answers, so that pages can be looked at in
 * every condition (full, empty, failing, slow) without a database. Invented patients and places only.
 */
import { cpSync, createReadStream, existsSync, mkdtempSync, rmSync, statSync } from 'node:fs';
import { createServer, type IncomingMessage, type Server, type ServerResponse } from 'node:http';
import { tmpdir } from 'node:os';
import { extname, join, normalize } from 'node:path';
import { fileURLToPath } from 'node:url';
import { WebSocketServer } from 'ws';
import type { RunCard, ScenarioCard } from '@breathline/protocol';

export const BUILD = fileURLToPath(new URL('../build', import.meta.url));

const MIME: Record<string, string> = {
  '.html': 'text/html; charset=utf-8',
  '.js': 'text/javascript',
  '.css': 'text/css',
  '.svg': 'image/svg+xml',
  '.woff2': 'font/woff2',
  '.json': 'application/json',
};

export const SCENARIOS: ScenarioCard[] = [
  {
    id: 'sesame-museum-trip',
    title: 'Sesame reaction on a school trip',
    summary:
      'A girl of seven becomes breathless minutes after a shared lunch. The first dose of adrenaline helps, but not enough.',
    level: 'novice',
    setting: 'First-aid room of a museum, then the emergency department',
    patientText: 'Girl, 7 years, known sesame allergy',
    ageYears: 7,
    weightKg: 23,
    guidelines: [
      { id: 'anaphylaxis-a', title: 'Anaphylaxis: emergency treatment (2021)' },
      { id: 'anaphylaxis-b', title: 'Anaphylaxis: our own hospital’s edition' },
    ],
    objectives: [
      'Gives intramuscular adrenaline before any other drug',
      'Lies the child flat with legs raised, and does not let her stand',
      'Repeats adrenaline five minutes after the first when problems persist',
      'Says “anaphylaxis” aloud within two minutes of the signs',
    ],
    warnings: 2,
    file: 'sesame-museum-trip.yaml',
  },
  {
    id: 'wasp-orchard',
    title: 'Wasp sting in the orchard, with shock',
    summary: 'A grower collapses after a sting to the neck. Skin signs are few; the pressure falls early.',
    level: 'intermediate',
    setting: 'Resuscitation bay',
    patientText: 'Man, 52 years, takes a beta-blocker',
    ageYears: 52,
    weightKg: 84.5,
    guidelines: [{ id: 'anaphylaxis-a', title: 'Anaphylaxis: emergency treatment (2021)' }],
    objectives: ['Recognises shock without a rash', 'Gives fluid early and enough', 'Calls for help'],
    warnings: 0,
    file: 'wasp-orchard.yaml',
  },
];

const BROKEN = [
  {
    file: 'half-finished.yaml',
    errors: [
      {
        code: 'unknown-state',
        severity: 'error',
        file: 'half-finished.yaml',
        line: 31,
        column: 13,
        endLine: 31,
        endColumn: 20,
        path: 'states.arrival.transitions.0.to',
        message: 'Found the state “setling”, which is not in this thread.',
        hint: 'Did you mean “settling”?',
      },
    ],
  },
];

const run = (runId: string, more: Partial<RunCard>): RunCard => ({
  runId,
  scenarioId: 'sesame-museum-trip',
  scenarioTitle: 'Sesame reaction on a school trip',
  packId: 'anaphylaxis-a',
  phase: 'ready',
  clockMs: 0,
  joinCode: 'AC7DE9',
  createdAt: '2026-11-25T09:15:00.000Z',
  endedAt: null,
  imported: false,
  ...more,
});

export const RUNS: RunCard[] = [
  run('r1', {}),
  run('r2', { phase: 'paused', clockMs: 372_000, createdAt: '2026-11-24T13:40:00.000Z' }),
  run('r3', {
    phase: 'ended',
    clockMs: 1_104_000,
    scenarioTitle: 'Wasp sting in the orchard, with shock',
    joinCode: null,
    createdAt: '2026-11-20T08:05:00.000Z',
    endedAt: '2026-11-20T08:31:00.000Z',
  }),
  run('r4', {
    phase: 'ended',
    clockMs: 845_000,
    joinCode: null,
    imported: true,
    createdAt: '2026-10-02T15:00:00.000Z',
  }),
];

const DEFINITION = {
  packId: 'anaphylaxis-a',
  seed: 1,
  library: { hash: 'x', interventions: [], packs: [{ id: 'anaphylaxis-a', title: 'Anaphylaxis', edition: '2021' }] },
  scenario: {
    id: 'sesame-museum-trip',
    title: 'Sesame reaction on a school trip',
    timeCompression: 'Runs in real time; the ambulance is already on its way.',
    patient: { name: 'Wren', ageText: '7 years', weightKg: 23, allergies: ['sesame'] },
    equipment: ['Simulated adrenaline 1 mg in 1 mL, marked', 'Oximeter probe', 'Non-rebreathe mask, child'],
    prebrief: {
      roles: [
        { role: 'Team leader', says: 'Stands back, speaks, decides.' },
        { role: 'First and second responder', says: 'Examine, treat, say what you do aloud.' },
        { role: 'Teacher', says: 'Played by faculty; knows what was eaten.' },
      ],
      room: ['Trolley at hip height', 'Monitor screen where all can see it', 'Phone that reaches faculty only'],
      real: ['Time', 'Your hands, your words and your calls to each other', 'The drug calculations'],
      notReal: ['The child: a manikin', 'Every drug and fluid', 'Skin: ask, and faculty will say what you see'],
      timePlan: '5 min prebrief, 12 min drill, 20 min debrief',
      handover:
        'Wren is seven. Ten minutes ago she shared a friend’s lunch at the museum. Now she says her throat feels funny, and she has been sick once. She is on the couch in front of you.',
    },
  },
};

/** What a page should meet. */
export interface Condition {
  signedIn?: boolean;
  empty?: boolean;
  /** Every data call fails with a problem. */
  failing?: boolean;
  /** Data never comes. */
  slow?: boolean;
}

export interface SmallServer {
  readonly url: string;
  readonly received: { method: string; path: string; body: unknown }[];
  condition: Condition;
  close(): Promise<void>;
}

async function readBody(request: IncomingMessage): Promise<unknown> {
  const parts: Buffer[] = [];
  for await (const part of request) parts.push(part as Buffer);
  const text = Buffer.concat(parts).toString('utf8');
  return text === '' ? undefined : JSON.parse(text);
}

function problem(response: ServerResponse, status: number, code: string, title: string, detail: string, hint: string) {
  response.writeHead(status, { 'content-type': 'application/problem+json' });
  response.end(JSON.stringify({ type: 'about:blank', status, code, title, detail, hint }));
}

function answerApi(server: SmallServer, path: string, method: string, body: unknown, response: ServerResponse): void {
  const json = (value: unknown) => {
    response.writeHead(200, { 'content-type': 'application/json' });
    response.end(JSON.stringify(value));
  };
  const { condition } = server;
  if (path === '/api/me') return json({ role: condition.signedIn === false ? null : 'faculty' });
  if (path === '/api/login') {
    if ((body as { passphrase?: string }).passphrase !== 'open sesame') {
      return problem(
        response,
        401,
        'bad-passphrase',
        'Not signed in',
        'That is not the passphrase.',
        'Check and try again.',
      );
    }
    condition.signedIn = true;
    response.writeHead(204).end();
    return;
  }
  if (path === '/api/join') {
    if ((body as { code?: string }).code !== 'AC7DE9') {
      return problem(
        response,
        404,
        'no-such-code',
        'No such code',
        'No open run has this code.',
        'Check it with faculty.',
      );
    }
    return json({ ticket: 'm1', title: 'A child is unwell' });
  }
  if (condition.slow) return;
  if (condition.failing) {
    return problem(
      response,
      500,
      'store-failed',
      'The store failed',
      'The database could not be read.',
      'Look at the server’s own window; it names the file.',
    );
  }
  if (path === '/api/scenarios') {
    return json(condition.empty ? { scenarios: [], broken: [] } : { scenarios: SCENARIOS, broken: BROKEN });
  }
  if (path === '/api/scenarios/sesame-museum-trip') {
    return json({
      scenario: DEFINITION.scenario,
      text: '',
      warnings: [
        { line: 12, column: 3, message: 'No debrief question asks about roles.' },
        { line: 0, column: 0, message: 'No rehearsal leaves the patient untreated.' },
      ],
    });
  }
  if (path === '/api/runs' && method === 'POST') return json({ runId: 'r1', joinCode: 'AC7DE9' });
  if (path === '/api/runs') return json({ runs: condition.empty ? [] : RUNS });
  if (path === '/api/library') return json(DEFINITION.library);
  if (path === '/api/runs/import') return json({ runId: 'r4' });
  if (/^\/api\/runs\/[^/]+\/ticket$/.test(path)) return json({ ticket: 't' });
  if (path === '/api/runs/r3/export') return json({ format: 'breathline-run', formatVersion: 1, runId: 'r3' });
  const one = /^\/api\/runs\/([^/]+)$/.exec(path);
  const found = RUNS.find((entry) => entry.runId === one?.[1]);
  if (found) return json({ run: found, definition: DEFINITION });
  return problem(response, 404, 'not-found', 'Not found', `Nothing is kept at ${path}.`, 'Go back to the library.');
}

function answerFile(build: string, path: string, response: ServerResponse): void {
  const wanted = normalize(join(build, path));
  const file =
    wanted.startsWith(build) && existsSync(wanted) && statSync(wanted).isFile() ? wanted : join(build, 'index.html');
  response.writeHead(200, { 'content-type': MIME[extname(file)] ?? 'application/octet-stream' });
  createReadStream(file).pipe(response);
}

/** Starts on a free loopback port, on a copy of the build, so that a rebuild meanwhile does not pull it away. */
export async function startSmallServer(): Promise<SmallServer> {
  const build = mkdtempSync(join(tmpdir(), 'breathline-web-'));
  cpSync(BUILD, build, { recursive: true });
  const lines = new WebSocketServer({ noServer: true });
  const http: Server = createServer((request, response) => {
    const path = decodeURIComponent(new URL(request.url ?? '/', 'http://x').pathname);
    if (!path.startsWith('/api/')) return answerFile(build, path, response);
    void readBody(request).then((body) => {
      server.received.push({ method: request.method ?? '', path, body });
      answerApi(server, path, request.method ?? 'GET', body, response);
    });
  });
  http.on('upgrade', (request, socket, head) => {
    lines.handleUpgrade(request, socket, head, (line) => {
      const log: unknown[] = [];
      const frame = (part: unknown[]) =>
        line.send(
          JSON.stringify({
            t: 'faculty',
            roleSeq: log.length + 1,
            seq: log.length,
            restarted: false,
            view: { phase: 'ready' },
            log: part,
            derived: [],
            screens: { monitors: 1, faculty: 1 },
            joinCode: 'AC7DE9',
          }),
        );
      line.on('message', (data) => {
        const message = JSON.parse(String(data));
        if (message.t === 'join') {
          line.send(JSON.stringify({ t: 'hello', protocol: 1, role: 'faculty', screenId: 's' }));
          frame([]);
        } else if (message.t === 'ping') {
          line.send(JSON.stringify({ t: 'pong', n: message.n }));
        } else if (message.t === 'command') {
          const entry = { event: { seq: log.length + 1, ...message.command }, withdrawnBy: null };
          log.push(entry);
          server.received.push({ method: 'WS', path: 'command', body: message.command });
          line.send(JSON.stringify({ t: 'ack', n: message.n, seq: log.length, warnings: [] }));
          frame([entry]);
        }
      });
    });
  });
  await new Promise<void>((done) => http.listen(0, '127.0.0.1', done));
  const { port } = http.address() as { port: number };
  const server: SmallServer = {
    url: `http://127.0.0.1:${port}`,
    received: [],
    condition: {},
    close: () =>
      new Promise((done) => {
        for (const line of lines.clients) line.terminate();
        http.closeAllConnections();
        http.close(() => {
          rmSync(build, { recursive: true, force: true });
          done();
        });
      }),
  };
  return server;
}
