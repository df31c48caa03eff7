/** Files of a run over HTTP: each comes, says what it is, and is refused where it should be. */
import { createServer } from 'node:http';
import type { AddressInfo } from 'node:net';
import { afterAll, beforeAll, expect, it, vi } from 'vitest';
import { reviewRun, scoreRun, type Review, type Scorecard } from '@breathline/debrief';
import type { RunExport } from '@breathline/engine';
import { aRun } from '../../../tests/reference/a-run.ts';
import { readConfig } from '../src/config.ts';
import { OUTPUT_NAMES } from '../src/services/output-service.ts';
import { OWN_HOST, makeApp, signIn } from './helpers.ts';

let app: Awaited<ReturnType<typeof makeApp>>;
let cookie: Record<string, string>;
let runId: string;

/** A record store that keeps what it is sent, and answers as it is told. */
const received: { version: unknown; authorization: unknown; body: { id: string }[] }[] = [];
let answers: number | 'silence' = 200;
const store = createServer((request, response) => {
  let body = '';
  request.on('data', (chunk: Buffer) => (body += chunk.toString()));
  request.on('end', () => {
    const { authorization, 'x-experience-api-version': version } = request.headers;
    received.push({ version, authorization, body: JSON.parse(body) as { id: string }[] });
    if (answers !== 'silence') response.writeHead(answers).end('[]');
  });
});

beforeAll(async () => {
  await new Promise<void>((done) => store.listen(0, '127.0.0.1', done));
  const { port } = store.address() as AddressInfo;
  app = await makeApp({
    BREATHLINE_STORE: `http://127.0.0.1:${port}`,
    BREATHLINE_STORE_USER: 'u',
    BREATHLINE_STORE_PASSWORD: 'p',
  });
  const call = await signIn(app);
  cookie = call.cookie;
  const { body: list } = await call('GET', '/api/scenarios');
  const [first] = list!['scenarios'] as { id: string; guidelines: { id: string }[] }[];
  const made = await call('POST', '/api/runs', { scenarioId: first!.id, packId: first!.guidelines[0]!.id });
  runId = String(made.body!['runId']);
  const command = (n: number, body: object, baseSeq?: number) =>
    call('POST', `/api/runs/${runId}/commands`, {
      t: 'command',
      clientId: 'test',
      n,
      command: body,
      ...(baseSeq === undefined ? {} : { baseSeq }),
    });
  await command(1, { kind: 'run-started' });
  await command(2, { kind: 'debrief-note', column: 'take-home', text: 'Say the dose aloud' });
  await command(3, { kind: 'run-ended', why: 'over' }, 2);
});

afterAll(async () => {
  await app.dispose();
  store.close();
  store.closeAllConnections();
});

const get = (url: string, headers: Record<string, string> = cookie) =>
  app.fastify.inject({ method: 'GET', url: `/api/runs/${runId}/${url}`, headers: { ...OWN_HOST, ...headers } });

it('every file comes as an attachment of its own type, and FHIR only when asked for as test data', async () => {
  expect(OUTPUT_NAMES.length).toBe(10);
  for (const name of OUTPUT_NAMES) {
    const plain = await get(`files/${name}`);
    if (name === 'observations.json') {
      expect([plain.statusCode, (plain.json() as { hint: string }).hint]).toEqual([
        400,
        expect.stringContaining('testData=yes'),
      ]);
    }
    const answer = name === 'observations.json' ? await get(`files/${name}?testData=yes`) : plain;
    expect([name, answer.statusCode]).toEqual([name, 200]);
    expect(answer.headers['content-disposition']).toMatch(new RegExp(`attachment; filename="breathline-.*-${name}"`));
    if (name.endsWith('.pdf')) expect(answer.rawPayload.subarray(0, 5).toString()).toBe('%PDF-');
    if (name.endsWith('.csv')) expect(answer.headers['content-type']).toContain('text/csv');
    if (name.endsWith('.json')) expect(() => JSON.parse(answer.body) as unknown).not.toThrow();
  }
});

it('the log comes from a line on, with the clock on the server’s wall', async () => {
  const before = Date.now();
  const answer = (await get('log?after=1')).json<{
    seq: number;
    wallTime: string;
    events: { seq: number; kind: string }[];
  }>();
  expect(answer.seq).toBe(3);
  expect(answer.events.map(({ seq, kind }) => `${seq} ${kind}`)).toEqual(['2 debrief-note', '3 run-ended']);
  expect(Date.parse(answer.wallTime)).toBeGreaterThanOrEqual(before);
  expect(Date.parse(answer.wallTime)).toBeLessThanOrEqual(Date.now());
  expect((await get('log?after=99')).json()).toMatchObject({ seq: 3, events: [] });
  expect((await get('log?after=-1')).statusCode).toBe(400);
  expect((await get('log', {})).statusCode).toBe(401);
});

it('the list says how a run ended: in which state, and whether it was stopped for a real emergency', async () => {
  const run = (await get('export')).json<RunExport>();
  const last = run.derived.findLast((one) => one.kind === 'state-entered')!;
  const thread = run.definition.scenario.threads.find(({ id }) => id === last.thread)!;
  const { title } = thread.states.find(({ id }) => id === last.state)!;
  const list = await app.fastify.inject({ method: 'GET', url: '/api/runs', headers: { ...OWN_HOST, ...cookie } });
  const [card] = list.json<{ runs: { ending: unknown }[] }>().runs;
  expect(card?.ending).toEqual({ realEmergency: false, state: title });
});

it('what people typed is in the log’s file only for who asks for it', async () => {
  expect((await get('files/events.csv')).body).not.toContain('Say the dose aloud');
  expect((await get('files/events-with-words.csv')).body).toContain('Say the dose aloud');
});

it('words for a file, a pack and a take there is none of; nothing for a stranger', async () => {
  expect((await get('files/../../etc')).statusCode).toBe(404);
  expect((await get('files/secrets.txt')).json()).toMatchObject({ code: 'not-found' });
  expect((await get('files/constructor')).json()).toMatchObject({ code: 'not-found' });
  expect((await get('files/scorecard.pdf?pack=none')).json()).toMatchObject({ code: 'no-such-pack' });
  expect((await get('files/scorecard.csv?take=9')).statusCode).toBeGreaterThanOrEqual(400);
  expect((await get('files/scorecard.pdf', {})).statusCode).toBe(401);
  expect((await get('review', {})).statusCode).toBe(401);
});

it('the review comes whole', async () => {
  expect((await get('review')).json()).toMatchObject({
    loops: [],
    harm: [],
    aftercare: expect.arrayContaining([expect.objectContaining({ id: 'handover', result: 'not-recorded' })]) as unknown,
  });
});

it('statements go to the one store the server was told of, faculty only; what it answers is told', async () => {
  const post = (headers: Record<string, string> = cookie) =>
    app.fastify.inject({
      method: 'POST',
      url: `/api/runs/${runId}/statements`,
      headers: { ...OWN_HOST, ...headers },
    });
  expect((await post({})).statusCode).toBe(401);
  expect(received).toEqual([]);
  const first = await post();
  expect(first.statusCode, first.body).toBe(200);
  expect(received[0]).toMatchObject({
    version: '1.0.3',
    authorization: `Basic ${Buffer.from('u:p').toString('base64')}`,
  });
  expect(first.json()).toEqual({ statements: received[0]!.body.length, already: false });
  expect(received[0]!.body).toEqual((await get('files/statements.json')).json());
  answers = 409;
  expect((await post()).json()).toMatchObject({ already: true });
  answers = 500;
  expect((await post()).json()).toMatchObject({
    code: 'store-refused',
    detail: expect.stringContaining('500') as unknown,
  });
});

it('a store that takes the statements and falls silent is said so; nothing is lost, and they can be sent again', async () => {
  const send = () =>
    app.fastify.inject({
      method: 'POST',
      url: `/api/runs/${runId}/statements`,
      headers: { ...OWN_HOST, ...cookie },
    });
  const kept = async () => [(await get('files/statements.json')).json(), (await get('export')).json()] as const;
  const before = await kept();
  const inTime = AbortSignal.timeout.bind(AbortSignal);
  const timeout = vi.spyOn(AbortSignal, 'timeout').mockImplementation(() => inTime(150));
  const had = received.length;
  try {
    answers = 'silence';
    const silent = await send();
    expect(timeout).toHaveBeenCalledWith(20_000);
    // The connection was taken and the statements with it: this is no store that can not be reached.
    expect(received).toHaveLength(had + 1);
    expect(silent.statusCode).toBe(502);
    expect(silent.json()).toMatchObject({
      code: 'store-refused',
      detail: 'The record store said nothing for 20 s.',
      hint: 'They are kept here with the run. Send them again: sending twice stores once.',
    });
  } finally {
    timeout.mockRestore();
    answers = 200;
  }
  expect(await kept()).toEqual(before);
  expect((await send()).json()).toMatchObject({ already: false });
  const [first, again] = received.slice(had).map(({ body }) => body.map(({ id }) => id));
  expect(again).toEqual(first);
});

it('a store is an https address or nothing', () => {
  expect(readConfig({}, '0').recordStore).toBeNull();
  expect(readConfig({ BREATHLINE_STORE: 'https://store.example.org/xapi/' }, '0').recordStore).toEqual({
    url: 'https://store.example.org/xapi/statements',
    user: null,
    password: '',
  });
  expect(() => readConfig({ BREATHLINE_STORE: 'http://store.example.org' }, '0')).toThrow('https');
});

it('a run whose packs carry no oxygen range comes in, is scored, and says what is not judged', async () => {
  const call = await signIn(app);
  const whole = aRun();
  const { library } = whole.definition;
  const older = {
    ...whole,
    runId: 'older-pack-run',
    definition: {
      ...whole.definition,
      library: { ...library, packs: library.packs.map(({ oxygenRange: _range, ...pack }) => pack) },
    },
  };
  const made = await call('POST', '/api/runs/import', older);
  expect([made.status, JSON.stringify(made.body)]).toEqual([200, JSON.stringify({ runId: 'older-pack-run' })]);
  const review = (await call('GET', '/api/runs/older-pack-run/review')).body as unknown as Review;
  expect(review.oxygen).toBeNull();
  expect(review.notJudged).toEqual([expect.stringContaining('names no saturation range')]);
  const card = (await call('GET', '/api/runs/older-pack-run/scorecard')).body as unknown as Scorecard;
  expect(card.danger).toEqual(scoreRun(whole).danger);
  expect(card.results.map(({ result }) => result)).toEqual(scoreRun(whole).results.map(({ result }) => result));
  // With a range there is nothing to say.
  expect(reviewRun(whole).notJudged).toEqual([]);
});
