/** An answer asked of the server again and again while something is open: the newest one, and what went wrong. */
import { asApiError, type ApiError } from '../api/index.ts';
import { askEvery } from './ask-every.ts';

export class Asked<T> {
  /** The last answer; kept while a later one fails, so that the screen says how old it is rather than nothing. */
  answer: T | null = $state.raw(null);
  problem: ApiError | null = $state.raw(null);
  readonly #ask: () => Promise<T>;

  constructor(ask: () => Promise<T>) {
    this.#ask = ask;
  }

  /** Begins; returns the function that ends it. */
  start(): () => void {
    return askEvery(
      this.#ask,
      (answer) => {
        this.answer = answer;
        this.problem = null;
      },
      (thrown) => (this.problem = asApiError(thrown)),
    );
  }
}
