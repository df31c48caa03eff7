/** A machine that sleeps in the middle of a run: the run waits where it was, and faculty say whether the time away counts. */
import { afterAll, beforeAll, expect, it } from 'vitest';
import type { App } from '../src/app.ts';
import { monotonicMs } from '../src/services/run-registry.ts';
import { makeApp, signIn } from './helpers.ts';

const HOUR_MS = 3_600_000;

let app: App & { dispose(): Promise<void> };
let call: Awaited<ReturnType<typeof signIn>>;
beforeAll(async () => {
  app = await makeApp();
  call = await signIn(app);
}, 60_000);
afterAll(() => app.dispose());

const going = async () => {
  const { body } = await call('POST', '/api/runs', { scenarioId: 'fault-drill', packId: 'fixture-pack' });
  const { run } = await app.services.registry.get(String(body?.['runId']));
  await run.append({ kind: 'run-started' }, { role: 'lead', seat: 'a' }, monotonicMs);
  expect(run.phase).toBe('running');
  return run;
};

const settled = async (run: Awaited<ReturnType<typeof going>>): Promise<void> => {
  for (let waited = 0; run.phase === 'running' && waited < 5_000; waited += 20)
    await new Promise((resolve) => setTimeout(resolve, 20));
};

it('an hour without a step is time away, not time of the patient', async () => {
  const run = await going();
  const { clockMs } = run;
  const wokeMs = monotonicMs() + HOUR_MS;
  run.tick(wokeMs);
  run.tick(wokeMs + 50);
  await settled(run);
  expect(run.phase).toBe('paused');
  expect(run.clockMs - clockMs).toBeLessThan(1_000);
  expect(run.log.filter(({ kind }) => kind === 'run-paused')).toMatchObject([
    { why: 'server-restart', by: { role: 'server' } },
  ]);
  // At most a quarter of an hour may count, as after a restart.
  expect(run.awayMs(wokeMs)).toBe(900_000);
});

it('a sleep the monotonic clock did not count is offered too, and a pause is left alone', async () => {
  const run = await going();
  const nowMs = monotonicMs();
  run.slept(nowMs, 42_000);
  run.slept(nowMs, 42_000);
  await settled(run);
  expect(run.awayMs(nowMs)).toBe(42_000);
  expect(run.log.map(({ kind }) => kind)).toEqual(['run-started', 'run-paused']);
  run.slept(nowMs + 60_000, 50_000);
  expect(run.awayMs(nowMs + 60_000)).toBe(102_000);
  // Someone is not all right: the choice waits, and the time spent on them is no part of it.
  const attendMs = nowMs + 70_000;
  await run.append({ kind: 'run-paused', why: 'someone-not-all-right' }, { role: 'observer' }, () => attendMs);
  expect(run.view().pausedWhy).toBe('someone-not-all-right');
  expect(run.awayMs(nowMs + 600_000)).toBe(112_000);
  await run.append({ kind: 'run-resumed', gapMs: 42_000 }, { role: 'lead', seat: 'a' }, monotonicMs);
  expect(run.awayMs(nowMs + 600_000)).toBeNull();
  expect(run.phase).toBe('running');
  expect(run.clockMs).toBeGreaterThanOrEqual(42_000);
});

it('a short wait is made good without a word', async () => {
  const run = await going();
  const { clockMs } = run;
  run.tick(monotonicMs() + 3_000);
  expect(run.phase).toBe('running');
  expect(run.clockMs - clockMs).toBeGreaterThanOrEqual(2_500);
});
