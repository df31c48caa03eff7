/** One answer over a network that may swallow what is sent, or a server that is away for a while. */
import { asApiError, type ApiError } from './errors.ts';
import { FATAL } from './first-ticket.ts';

/** Beside a request that hangs, and after one that failed, a fresh one is sent this often, ms. */
const AGAIN_MS = 3_000;
/** The first is kept to its end, for a server that is only slow; of the rest the newest. */
const AT_ONCE = 2;

/**
 * Asks until somebody answers or `stop` is called.
 * It goes on by itself after a failure that may pass, and ends at one that does not.
 */
export function keepAsking<T>(
  ask: (signal: AbortSignal) => Promise<T>,
  onAnswer: (answer: T) => void,
  onFailed: (error: ApiError) => void,
  everyMs = AGAIN_MS,
): { readonly now: () => void; readonly stop: () => void } {
  const open: AbortController[] = [];
  const timer = setInterval(() => now(), everyMs);
  const stop = (): void => {
    clearInterval(timer);
    for (const each of open.splice(0)) each.abort();
  };
  const now = (): void => {
    if (open.length >= AT_ONCE) open.splice(1, 1)[0]?.abort();
    const mine = new AbortController();
    open.push(mine);
    ask(mine.signal).then(
      (answer) => {
        if (!open.includes(mine)) return;
        stop();
        onAnswer(answer);
      },
      (thrown: unknown) => {
        if (!open.includes(mine)) return;
        open.splice(open.indexOf(mine), 1);
        const error = asApiError(thrown);
        if (FATAL.has(error.status)) stop();
        onFailed(error);
      },
    );
  };
  now();
  return { now, stop };
}
