/** Files of a run over HTTP: each comes, says what it is, and is refused where it should be. */
import { afterAll, beforeAll, expect, it } from 'vitest';
import { OUTPUT_NAMES } from '../src/services/output-service.ts';
import { OWN_HOST, makeApp, signIn } from './helpers.ts';

let app: Awaited<ReturnType<typeof makeApp>>;
let cookie: Record<string, string>;
let runId: string;

beforeAll(async () => {
  app = await makeApp();
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
});

const get = (url: string, headers: Record<string, string> = cookie) =>
  app.fastify.inject({ method: 'GET', url: `/api/runs/${runId}/${url}`, headers: { ...OWN_HOST, ...headers } });

it('every file comes as an attachment of its own type, and FHIR only when asked for as test data', async () => {
  expect(OUTPUT_NAMES.length).toBe(7);
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
