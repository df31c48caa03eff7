/** Rehearsing on the server: the real thread, beside a server that must go on answering. */
import { readFileSync, readdirSync } from 'node:fs';
import path from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import type { RehearsalAnswer } from '@breathline/protocol';
import { buildServer } from '../bin/steps.mjs';
import { ROOT } from '../src/config.ts';
import { LibraryService } from '../src/services/library-service.ts';
import { RehearsalService } from '../src/services/rehearsal-service.ts';
import { configFor, makeApp, signIn } from './helpers.ts';

const FACULTY = { role: 'faculty' } as const;
const TEXT = readFileSync(path.join(ROOT, 'tests/faults/scenarios/fault-drill.yaml'), 'utf8');
/** An hour of playing in each of several rehearsals: seconds of work. */
const LONG = TEXT.replace(/rehearsals:[\s\S]*$/, 'rehearsals:\n').concat(
  ...[1, 2, 3, 4].map((n) => `  - { name: hour ${n}, for: 60 min, expect: [{ state: settled, never: true }] }\n`),
);

let app: Awaited<ReturnType<typeof makeApp>>;
let call: Awaited<ReturnType<typeof signIn>>;

const sleep = (ms: number) => new Promise((resolve) => setTimeout(resolve, ms));
const over = ({ state }: RehearsalAnswer): boolean => state !== 'waiting' && state !== 'playing';

const answered = async (look: () => Promise<RehearsalAnswer> | RehearsalAnswer): Promise<RehearsalAnswer> => {
  for (let waited = 0; waited < 60_000; waited += 20) {
    const answer = await look();
    if (over(answer)) return answer;
    await sleep(20);
  }
  throw new Error('The rehearsal never ended.');
};

const rehearse = async (wish: object): Promise<RehearsalAnswer> => {
  const { status, body } = await call('POST', '/api/rehearsals', wish);
  expect(status).toBe(200);
  const { id } = body as unknown as RehearsalAnswer;
  return answered(async () => (await call('GET', `/api/rehearsals/${id}`)).body as unknown as RehearsalAnswer);
};

beforeAll(async () => {
  await buildServer(() => undefined);
  app = await makeApp();
  call = await signIn(app);
});

afterAll(() => app.dispose());

describe('a scenario rehearsed on the server', () => {
  it('tells of the library’s what the command line tells, and keeps it', async () => {
    const answer = await rehearse({ scenarioId: 'fault-drill' });
    expect(answer).toMatchObject({
      state: 'done',
      file: 'fault-drill.yaml',
      report: {
        ok: true,
        packId: 'fixture-pack',
        rehearsals: [{ name: 'nobody acts', ok: true, checks: [{ found: 'settled was never reached' }] }],
        states: [
          { state: 'arrival', reachedIn: ['nobody acts'] },
          { state: 'settled', reachedIn: [] },
        ],
      },
    });
    const again = await call('POST', '/api/rehearsals', { scenarioId: 'fault-drill' });
    expect(again.body).toMatchObject({ id: answer.id, state: 'done' });
  });

  it('plays a file that is not in the library, and points at what does not hold or can not be read', async () => {
    const fails = TEXT.replace('settled, never: true', 'settled, by: 0:30');
    const lost = await rehearse({ file: 'mine.yaml', text: fails });
    if (lost.state !== 'done') throw new Error(JSON.stringify(lost));
    const [check] = lost.report.rehearsals[0]!.checks;
    expect(lost.report.ok).toBe(false);
    expect(fails.split('\n')[check!.place.line - 1]).toContain('settled, by: 0:30');
    expect(check).toMatchObject({ ok: false, mend: expect.any(String) as string });

    const broken = await rehearse({ file: 'mine.yaml', text: TEXT.replace('start: arrival', 'start: arival') });
    expect(broken).toMatchObject({
      state: 'unreadable',
      errors: [{ file: 'mine.yaml', line: expect.any(Number) as number }],
    });
    expect((await rehearse({ file: 'x.yaml', text: ': [' })).state).toBe('unreadable');
  });

  it('is for faculty, and says what is wrong with a wish', async () => {
    expect((await call('POST', '/api/rehearsals', { scenarioId: 'fault-drill' }, {})).status).toBe(401);
    expect((await call('GET', '/api/rehearsals/x', undefined, {})).status).toBe(401);
    expect((await call('DELETE', '/api/rehearsals/x', undefined, {})).status).toBe(401);
    const refused = async (wish: object) => (await call('POST', '/api/rehearsals', wish)).body?.['code'];
    expect(await refused({ scenarioId: 'fault-drill', text: 'x' })).toBe('bad-shape');
    expect(await refused({ file: 'x.yaml' })).toBe('bad-shape');
    expect(await refused({ scenarioId: 'nobody' })).toBe('no-such-scenario');
    expect(await refused({ scenarioId: 'fault-drill', packId: 'nowhere' })).toBe('no-such-pack');
    expect((await call('GET', '/api/rehearsals/nobody')).body?.['code']).toBe('no-such-rehearsing');
  });

  it('plays beside a server that goes on, one at a time, gives way to it, and is let go of', async () => {
    const { body } = await call('POST', '/api/rehearsals', { file: 'long.yaml', text: LONG });
    const { id } = body as unknown as RehearsalAnswer;
    const look = async () => (await call('GET', `/api/rehearsals/${id}`)).body as unknown as RehearsalAnswer;
    for (let answer = await look(); !(answer.state === 'playing' && answer.of === 4); answer = await look()) {
      expect(over(answer)).toBe(false);
      await sleep(10);
    }
    // The threads of this process with their niceness: the 17th figure behind the name (proc(5), `nice`).
    if (process.platform === 'linux') {
      const nice = readdirSync('/proc/self/task').map((task) => {
        const stat = readFileSync(`/proc/self/task/${task}/stat`, 'utf8');
        return Number(stat.slice(stat.lastIndexOf(')') + 2).split(' ')[16]);
      });
      expect(nice.filter((one) => one >= 10)).toHaveLength(1);
    }
    const next = await call('POST', '/api/rehearsals', { file: 'next.yaml', text: LONG });
    expect(next.body).toMatchObject({ state: 'waiting', ahead: 1 });
    for (const file of ['a.yaml', 'b.yaml']) await call('POST', '/api/rehearsals', { file, text: LONG });
    expect((await call('POST', '/api/rehearsals', { file: 'c.yaml', text: LONG })).body?.['code']).toBe(
      'rehearsing-enough',
    );
    // A clock that is stepped every 50 ms must not feel the thread.
    let worst = 0;
    for (let at = 0; at < 20; at += 1) {
      const from = performance.now();
      await sleep(25);
      worst = Math.max(worst, performance.now() - from - 25);
    }
    expect(over(await look())).toBe(false);
    expect(worst).toBeLessThan(250);
    for (const each of app.services.rehearsals.waiting) await call('DELETE', `/api/rehearsals/${each}`);
    expect((await call('GET', `/api/rehearsals/${id}`)).status).toBe(404);
    expect(app.services.rehearsals.waiting).toEqual([]);
    expect((await rehearse({ scenarioId: 'fault-drill' })).state).toBe('done');
  });

  it('ends what does not end by itself, and says so', async () => {
    const { scenariosFolder, rehearsalWorker } = configFor(app.dataFolder);
    const library = new LibraryService(scenariosFolder);
    const short = new RehearsalService({ library, worker: rehearsalWorker, limitMs: 300 });
    const begun = await short.begin(FACULTY, { file: 'long.yaml', text: LONG });
    const from = performance.now();
    const answer = await answered(() => short.look(FACULTY, begun.id));
    expect(answer).toMatchObject({ state: 'failed', why: 'It had not ended after 0.3 s.' });
    expect(performance.now() - from).toBeLessThan(2_000);
    await short.stop();
  });
});
