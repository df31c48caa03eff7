/** One scenario being rehearsed on the server: begun, looked at until it is done, let go of when nobody waits. */
import type { RehearsalAnswer, RehearseBody } from '@breathline/protocol';
import { asApiError, type ApiError } from '../api/errors.ts';
import { rehearsalsApi } from './api.ts';

const LOOK_EVERY_MS = 500;

export const underWay = (answer: RehearsalAnswer | null): boolean =>
  answer?.state === 'waiting' || answer?.state === 'playing';

export class Rehearsing {
  answer = $state.raw<RehearsalAnswer | null>(null);
  failed = $state.raw<ApiError | null>(null);
  /** From the wish to its end. */
  busy = $state(false);
  /** Raised by each wish: an answer to an earlier one counts no more. */
  #wish = 0;

  async begin(wish: RehearseBody): Promise<void> {
    this.stop();
    const mine = ++this.#wish;
    this.failed = null;
    this.busy = true;
    try {
      let answer = await rehearsalsApi.begin(wish);
      while (mine === this.#wish) {
        this.answer = answer;
        if (!underWay(answer)) break;
        await new Promise((resolve) => setTimeout(resolve, LOOK_EVERY_MS));
        if (mine === this.#wish) answer = await rehearsalsApi.look(answer.id);
      }
    } catch (thrown) {
      if (mine !== this.#wish) return;
      this.failed = asApiError(thrown);
      this.answer = null;
    } finally {
      if (mine === this.#wish) this.busy = false;
    }
  }

  /** Nobody waits for it any more. */
  stop(): void {
    this.#wish += 1;
    this.busy = false;
    const left = this.answer;
    if (left === null || !underWay(left)) return;
    this.answer = null;
    // If the server does not hear of it, it plays on for its two minutes at most.
    rehearsalsApi.leave(left.id).catch(() => undefined);
  }
}
