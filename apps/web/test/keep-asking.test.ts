/** Opening a run over a network that swallows what is sent, or a server that is away. */
import { afterEach, beforeEach, expect, it, vi } from 'vitest';
import { ApiError, offlineError } from '../src/lib/api/errors.ts';
import { keepAsking } from '../src/lib/api/keep-asking.ts';

beforeEach(() => void vi.useFakeTimers());
afterEach(() => void vi.useRealTimers());

/** Requests that wait for what the test does with them. */
function requests() {
  const all: { signal: AbortSignal; answer: (word: string) => void; fail: (error: ApiError) => void }[] = [];
  const ask = (signal: AbortSignal): Promise<string> =>
    new Promise((answer, fail) => {
      all.push({ signal, answer, fail });
      signal.addEventListener('abort', () => fail(offlineError()));
    });
  return { all, ask };
}

it('asks afresh beside one that hangs, few at once, and takes the first answer', async () => {
  const { all, ask } = requests();
  const answers: string[] = [];
  const failed: string[] = [];
  keepAsking(
    ask,
    (answer) => answers.push(answer),
    ({ code }) => failed.push(code),
    1_000,
  );
  await vi.advanceTimersByTimeAsync(5_000);
  expect(all).toHaveLength(6);
  expect(all.filter(({ signal }) => !signal.aborted)).toHaveLength(2);
  expect(all[0]!.signal.aborted).toBe(false);
  all[0]!.answer('slow, but there');
  await vi.advanceTimersByTimeAsync(5_000);
  expect(answers).toEqual(['slow, but there']);
  expect(all).toHaveLength(6);
  // What was let go of is no failure.
  expect(failed).toEqual([]);
});

it('goes on after a failure that may pass, and ends at one that does not', async () => {
  const { all, ask } = requests();
  const failed: string[] = [];
  keepAsking(
    ask,
    () => undefined,
    ({ code }) => failed.push(code),
    1_000,
  );
  all[0]!.fail(offlineError());
  await vi.advanceTimersByTimeAsync(1_000);
  all[1]!.fail(new ApiError('unknown-run', 'Not found', 'There is no such run.', undefined, 404));
  await vi.advanceTimersByTimeAsync(5_000);
  expect(failed).toEqual(['OFFLINE', 'unknown-run']);
  expect(all).toHaveLength(2);
});

it('stops when the page goes', async () => {
  const { all, ask } = requests();
  keepAsking(
    ask,
    () => undefined,
    () => undefined,
    1_000,
  ).stop();
  await vi.advanceTimersByTimeAsync(5_000);
  expect(all.map(({ signal }) => signal.aborted)).toEqual([true]);
});
