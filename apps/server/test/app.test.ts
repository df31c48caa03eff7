import { mkdirSync, writeFileSync, cpSync, symlinkSync, mkdtempSync } from 'node:fs';
import { tmpdir } from 'node:os';
import path from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import {
  NewRunSchema,
  ProblemSchema,
  RunCardSchema,
  ScenarioListSchema,
  ScoresAnswerSchema,
  WhyAnswerSchema,
  check,
} from '@breathline/protocol';
import { ROOT } from '../src/config.ts';
import { RunService } from '../src/services/run-service.ts';
import { LibraryService } from '../src/services/library-service.ts';
import { NOBODY } from '../src/services/access.ts';
import { OWN_HOST, makeApp, signIn } from './helpers.ts';

let app: Awaited<ReturnType<typeof makeApp>>;
let call: Awaited<ReturnType<typeof signIn>>;

beforeAll(async () => {
  app = await makeApp();
  call = await signIn(app);
});

afterAll(async () => {
  await app.dispose();
});

describe('who may ask what', () => {
  const OPEN = new Set([
    'GET /api/health',
    'GET /api/me',
    'POST /api/login',
    'POST /api/logout',
    'POST /api/join',
    'GET /api/socket',
  ]);

  it('every address under /api but the open ones refuses a stranger', async () => {
    const guarded = app.routes.filter(
      ({ method, url }) => url.startsWith('/api') && method !== 'HEAD' && !OPEN.has(`${method} ${url}`),
    );
    expect(guarded.length).toBeGreaterThanOrEqual(13);
    expect(guarded.map(({ url }) => url)).toEqual(
      expect.arrayContaining(['/api/runs/:id/explain', '/api/runs/:id/scores']) as unknown,
    );
    for (const { method, url } of guarded) {
      const address = url.replace(':id', 'some-id');
      const { status, body } = await call(method as 'GET', address, method === 'POST' ? {} : undefined, {});
      expect([address, status, body?.['code']]).toEqual([address, 401, 'not-signed-in']);
      expect(check(ProblemSchema, body)).toMatchObject({ ok: true });
    }
  });

  it('every service method that takes a caller refuses nobody before it looks at anything else', async () => {
    const methods = (proto: object) =>
      Object.getOwnPropertyNames(proto).filter(
        (name) => name !== 'constructor' && /\bcaller\b/.test(String((proto as Record<string, unknown>)[name])),
      );
    const { runs, library } = app.services;
    const all: [object, string][] = [
      ...methods(RunService.prototype).map((name): [object, string] => [runs, name]),
      ...methods(LibraryService.prototype).map((name): [object, string] => [library, name]),
    ];
    expect(all.length).toBeGreaterThanOrEqual(13);
    for (const [service, name] of all) {
      const method = (service as Record<string, (...args: unknown[]) => Promise<unknown>>)[name];
      await expect(method?.call(service, NOBODY, undefined, undefined), name).rejects.toMatchObject({
        problem: { code: 'not-signed-in' },
      });
    }
  });
});

describe('answers fit their schemas', () => {
  it('scenarios, a new run, its card', async () => {
    const list = await call('GET', '/api/scenarios');
    expect(check(ScenarioListSchema, list.body)).toMatchObject({ ok: true });
    const made = await call('POST', '/api/runs', { scenarioId: 'fault-drill', packId: 'fixture-pack', weightKg: 30 });
    expect(check(NewRunSchema, made.body)).toMatchObject({ ok: true });
    const runId = String(made.body?.['runId']);
    const one = await call('GET', `/api/runs/${runId}`);
    expect(check(RunCardSchema, one.body?.['run'])).toMatchObject({ ok: true });
    expect(one.body?.['definition']).toMatchObject({ patient: { weightKg: 30 }, packId: 'fixture-pack' });
  });

  it('refusals name what was wrong', async () => {
    expect(await call('POST', '/api/runs', { scenarioId: 'nope', packId: 'fixture-pack' })).toMatchObject({
      status: 404,
      body: { code: 'no-such-scenario' },
    });
    expect(await call('POST', '/api/runs', { scenarioId: 'fault-drill', packId: 'nope' })).toMatchObject({
      body: { code: 'no-such-pack' },
    });
    expect(
      await call('POST', '/api/runs', { scenarioId: 'fault-drill', packId: 'fixture-pack', weightKg: -3 }),
    ).toMatchObject({
      status: 400,
      body: { code: 'bad-shape', detail: 'weightKg is -3: expected a number from 1.5 to 250.' },
    });
    expect(await call('GET', '/api/nothing')).toMatchObject({ status: 404, body: { code: 'not-found' } });
    for (const address of ['/api/scenarios/%', `/api/runs/${'a'.repeat(300)}`])
      expect(await call('GET', address)).toMatchObject({ status: 404, body: { code: 'not-found' } });
    const bad = await app.fastify.inject({
      method: 'POST',
      url: '/api/runs',
      headers: { ...OWN_HOST, ...call.cookie, 'content-type': 'application/json' },
      payload: '{"half',
    });
    expect([bad.statusCode, JSON.parse(bad.body)]).toMatchObject([400, { code: 'bad-json' }]);
  });
});

describe('why, and the scores', () => {
  it('are answered in the model’s terms with its caution, follow a held vital, and are refused during a real emergency', async () => {
    const made = await call('POST', '/api/runs', { scenarioId: 'fault-drill', packId: 'fixture-pack' });
    const runId = String(made.body?.['runId']);
    let n = 0;
    let seq = 0;
    const tap = async (command: object) => {
      n += 1;
      const more = { t: 'command', clientId: 'desk', n, baseSeq: seq, command };
      const answer = await call('POST', `/api/runs/${runId}/commands`, more);
      expect(answer.status, JSON.stringify(answer.body)).toBe(200);
      seq = Number(answer.body?.['seq']);
    };
    const why = (query: string) => call('GET', `/api/runs/${runId}/explain${query}`);
    await tap({ kind: 'run-started' });
    const asked = await why('?vital=spo2Percent');
    expect(check(WhyAnswerSchema, asked.body)).toMatchObject({ ok: true });
    expect(asked.body).toMatchObject({ vital: 'spo2Percent', held: false, effective: asked.body?.['value'] });
    expect(asked.body?.['caution']).toMatch(/^Teaching model of a simulated patient\. .*NOT FOR CLINICAL USE/);
    const terms = asked.body?.['terms'] as { id: string; value: number }[];
    expect(terms.map(({ id }) => id)).toEqual(expect.arrayContaining(['arterial-po2', 'fio2', 'shunt']));
    expect(terms.find(({ id }) => id === 'fio2')?.value).toBeCloseTo(0.21, 2);

    await tap({ kind: 'vital-overridden', vital: 'diastolicMmHg', to: 30, overMs: 0 });
    const held = (await why('?vital=systolicMmHg')).body;
    expect(held).toMatchObject({ held: true });
    expect(Number(held?.['effective'])).toBeLessThan(Number(held?.['value']) - 5);
    expect((await why('?vital=spo2Percent')).body).toMatchObject({ held: false });

    const scores = await call('GET', `/api/runs/${runId}/scores`);
    expect(check(ScoresAnswerSchema, scores.body)).toMatchObject({ ok: true });
    expect((scores.body?.['scores'] as unknown[]).length).toBeGreaterThan(0);

    for (const query of ['', '?vital=', '?vital=shoeSize', '?vital=spo2Percent&vital=meanMmHg', '?vital=meanMmHg&x=1'])
      expect([query, (await why(query)).body]).toMatchObject([query, { code: 'bad-shape', status: 400 }]);
    expect(await call('GET', '/api/runs/nope/explain?vital=meanMmHg')).toMatchObject({ status: 404 });

    await tap({ kind: 'real-emergency-stop' });
    for (const path of ['explain?vital=spo2Percent', 'scores']) {
      const refused = await call('GET', `/api/runs/${runId}/${path}`);
      expect([path, refused]).toMatchObject([path, { status: 409, body: { code: 'wrong-phase' } }]);
      expect(refused.body?.['detail']).toMatch(/real emergency/);
    }
    await tap({ kind: 'real-emergency-cleared' });
    expect((await why('?vital=spo2Percent')).status).toBe(200);
  });
});

describe('ending', () => {
  it('by a mis-tap can be taken back, and the run goes on from the same second', async () => {
    const made = await call('POST', '/api/runs', { scenarioId: 'fault-drill', packId: 'fixture-pack' });
    const runId = String(made.body?.['runId']);
    const tap = (n: number, command: object, more: object = {}) =>
      call('POST', `/api/runs/${runId}/commands`, { t: 'command', clientId: 'desk', n, command, ...more });
    await tap(1, { kind: 'run-started' });
    await new Promise((resolve) => setTimeout(resolve, 400));
    expect((await tap(2, { kind: 'run-ended', why: 'slip' }, { baseSeq: 1 })).status).toBe(200);
    const ended = (await call('GET', `/api/runs/${runId}`)).body?.['run'] as {
      phase: string;
      clockMs: number;
      endedAt: string;
    };
    expect(ended).toMatchObject({ phase: 'ended', endedAt: expect.any(String) as string });
    expect((await tap(3, { kind: 'cuff-pressed' })).body).toMatchObject({
      code: 'wrong-phase',
      detail: 'The run has ended.',
    });
    expect((await tap(4, { kind: 'event-withdrawn', targetSeq: 2 })).status).toBe(200);
    await new Promise((resolve) => setTimeout(resolve, 400));
    const again = (await call('GET', `/api/runs/${runId}`)).body?.['run'] as typeof ended;
    expect(again).toMatchObject({ phase: 'running', endedAt: null });
    expect(again.clockMs).toBeGreaterThan(ended.clockMs);
    expect(again.clockMs).toBeLessThan(ended.clockMs + 2_000);
  });
});

describe('an exported run', () => {
  it('comes in again elsewhere and scores the same, without the scenario folder', async () => {
    const made = await call('POST', '/api/runs', { scenarioId: 'fault-drill', packId: 'fixture-pack' });
    const runId = String(made.body?.['runId']);
    const tap = (n: number, command: object, more: object = {}) =>
      call('POST', `/api/runs/${runId}/commands`, { t: 'command', clientId: 'desk', n, command, ...more });
    expect((await tap(1, { kind: 'run-started' })).status).toBe(200);
    await new Promise((resolve) => setTimeout(resolve, 1_300));
    const dose = {
      kind: 'intervention',
      intervention: 'adrenaline-im',
      step: 'given',
      amount: 300,
      unit: 'micrograms',
      doseSeen: true,
    };
    expect((await tap(2, dose, { agoMs: 400 })).body).toMatchObject({ seq: 2, warnings: [] });
    expect((await tap(3, { kind: 'note', text: 'a word' })).status).toBe(200);
    expect((await tap(4, { kind: 'run-ended', why: 'done' }, { baseSeq: 3 })).status).toBe(200);
    const exported = await call('GET', `/api/runs/${runId}/export`);
    expect(exported.body).toMatchObject({
      format: 'breathline-run',
      caution: expect.stringContaining('NOT FOR CLINICAL USE') as string,
    });
    expect(exported.body?.['events']).toMatchObject([{}, {}, { kind: 'note', text: 'a word' }, {}]);
    const scored = await call('GET', `/api/runs/${runId}/scorecard`);
    expect(scored.status).toBe(200);

    const elsewhere = await makeApp({ BREATHLINE_SCENARIOS: path.join(tmpdir(), 'no-such-folder') });
    try {
      const { runs } = elsewhere.services;
      const caller = { role: 'faculty' } as const;
      const { runId: copied } = await runs.import(caller, exported.body);
      expect(copied).toBe(runId);
      expect(JSON.parse(JSON.stringify(await runs.scorecard(caller, copied, undefined)))).toEqual(scored.body);
      expect(JSON.parse(JSON.stringify(await runs.export(caller, copied)))).toEqual(exported.body);
      // It is no live run: it can be annotated and answered for, not watched.
      await expect(runs.ticket(caller, copied)).rejects.toMatchObject({ problem: { code: 'wrong-phase' } });
      const answered = await runs.command(caller, copied, {
        t: 'command',
        clientId: 'desk',
        n: 9,
        command: { kind: 'reconciled', target: 'first-adrenaline', answer: 'done' },
      });
      expect(answered.seq).toBe(5);
      const noted = await runs.command(caller, copied, {
        t: 'command',
        clientId: 'desk',
        n: 10,
        command: { kind: 'note', text: 'seen again' },
      });
      expect(noted.seq).toBe(6);
      const told = { kind: 'circumstance-told', circumstance: 'nothing the pack names', answer: 'yes' } as const;
      await expect(
        runs.command(caller, copied, { t: 'command', clientId: 'desk', n: 11, command: told }),
      ).rejects.toMatchObject({ problem: { code: 'unknown-target' } });
    } finally {
      await elsewhere.dispose();
    }
  });

  it('a file that is none, or was tampered with, is refused whole', async () => {
    const made = await call('POST', '/api/runs', { scenarioId: 'fault-drill', packId: 'fixture-pack' });
    const { body } = await call('GET', `/api/runs/${String(made.body?.['runId'])}/export`);
    const before = ((await call('GET', '/api/runs')).body?.['runs'] as unknown[]).length;
    const event = {
      kind: 'run-started',
      seq: 1,
      take: 1,
      appliedAtMs: 0,
      occurredAtMs: 0,
      wallTime: '',
      by: { role: 'lead' },
    };
    const wrong: [object, RegExp][] = [
      [{ hello: 1 }, /missing|not a field/],
      [{ ...body, formatVersion: 9 }, /format version 9/],
      [{ ...body, extra: 1 }, /extra is not a field/],
      [{ ...body, events: [{ ...event, seq: 2 }] }, /has the number 2/],
      [{ ...body, events: [{ ...event, appliedAtMs: 50 }] }, /not on a step/],
      [{ ...body, events: [{ ...event, kind: 'teleport' }] }, /events\.0: there is no kind of event "teleport"/],
      [{ ...body, events: [{ ...event, appliedAtMs: -100 }] }, /events\.0 \("run-started"\): appliedAtMs is -100/],
      [{ ...body, events: [{ ...event, kind: 'note', text: 'half \ud83d' }] }, /half a character/],
      [{ ...body, definition: { ...(body?.['definition'] as object), packId: 'other' } }, /no pack "other"/],
    ];
    for (const [file, words] of wrong) {
      const { status, body: refused } = await call('POST', '/api/runs/import', file);
      expect([status, refused?.['code']]).toEqual([422, 'bad-import']);
      expect(refused?.['detail']).toMatch(words);
    }
    expect(((await call('GET', '/api/runs')).body?.['runs'] as unknown[]).length).toBe(before);
  });
});

describe('the scenario folder', () => {
  it('lists a broken file with what is wrong, keeps the rest, follows no link out, and sees a change', async () => {
    const folder = mkdtempSync(path.join(tmpdir(), 'breathline-scenarios-'));
    cpSync(path.join(ROOT, 'tests/faults/scenarios'), folder, { recursive: true });
    writeFileSync(path.join(folder, 'broken.yaml'), 'breathline: 1\nid: broken\nstates: [\n');
    writeFileSync(path.join(folder, 'huge.yaml'), `# ${'x'.repeat(1_000_001)}`);
    const outside = mkdtempSync(path.join(tmpdir(), 'breathline-outside-'));
    mkdirSync(outside, { recursive: true });
    writeFileSync(path.join(outside, 'secret.yaml'), 'secret: true\n');
    symlinkSync(path.join(outside, 'secret.yaml'), path.join(folder, 'link.yaml'));
    const library = new LibraryService(folder);
    const faculty = { role: 'faculty' } as const;
    const { scenarios, broken } = await library.list(faculty);
    expect(scenarios.map(({ id }) => id)).toEqual(['fault-drill']);
    expect(broken.map(({ file }) => file).sort()).toEqual(['broken.yaml', 'huge.yaml']);
    expect(broken.find(({ file }) => file === 'broken.yaml')?.errors[0]).toMatchObject({ severity: 'error' });
    cpSync(path.join(folder, 'fault-drill.yaml'), path.join(folder, 'zz-same-id.yaml'));
    const again = await library.list(faculty);
    expect(again.scenarios).toHaveLength(1);
    expect(again.broken.find(({ file }) => file === 'zz-same-id.yaml')?.errors[0]?.code).toBe('same-id');
  });

  it('that is not there is an empty library, not a failure', async () => {
    const library = new LibraryService('/nowhere/at/all');
    expect(await library.list({ role: 'faculty' })).toEqual({ scenarios: [], broken: [] });
  });
});
