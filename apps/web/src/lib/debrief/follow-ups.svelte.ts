/**
 * Owner and day of a problem of the place. They belong to the register's own line, which the server makes from the log's, so
 * they wait here until that line is there; on this device, over a reload too.
 */
import type { SystemProblem } from '@breathline/engine';
import { asApiError, type ApiError } from '$lib/api';
import { programmeApi } from '$lib/programme/api.ts';

export interface FollowUp {
  readonly category: SystemProblem;
  readonly words: string;
  readonly ownerRole: string;
  readonly dueOn: string | null;
}

const PREFIX = 'breathline-follow-ups:';

export class FollowUps {
  /** Not in the register yet. */
  waiting = $state.raw<readonly FollowUp[]>([]);
  /** Why the register would not take the last one. */
  problem = $state.raw<ApiError | null>(null);
  readonly #runId: string;
  #sending = false;

  constructor(runId: string) {
    this.#runId = runId;
    try {
      const kept = JSON.parse(localStorage.getItem(PREFIX + runId) ?? '[]') as unknown;
      if (Array.isArray(kept)) this.waiting = kept as FollowUp[];
    } catch {
      // Barred, or not ours: nothing waits.
    }
  }

  add(followUp: FollowUp): void {
    this.#set([...this.waiting, followUp]);
  }

  /** What the register would not take stands there to be set by hand. */
  dismiss(): void {
    this.#set([]);
    this.problem = null;
  }

  /** To be called once the problems themselves are on the server. */
  async send(): Promise<void> {
    if (this.#sending || this.waiting.length === 0 || this.problem !== null) return;
    this.#sending = true;
    try {
      const { problems } = await programmeApi.problems({});
      for (const one of this.waiting) {
        const line = problems.findLast(
          ({ runId, category, words }) => runId === this.#runId && category === one.category && words === one.words,
        );
        if (line === undefined) continue;
        await programmeApi.changeProblem(line.id, { ownerRole: one.ownerRole, dueOn: one.dueOn });
        this.#set(this.waiting.filter((each) => each !== one));
      }
      this.problem = null;
    } catch (thrown) {
      const problem = asApiError(thrown);
      this.problem = problem.code === 'OFFLINE' ? null : problem;
    } finally {
      this.#sending = false;
    }
  }

  #set(next: readonly FollowUp[]): void {
    this.waiting = next;
    try {
      if (next.length === 0) localStorage.removeItem(PREFIX + this.#runId);
      else localStorage.setItem(PREFIX + this.#runId, JSON.stringify(next));
    } catch {
      // Full or barred: they last as long as the page.
    }
  }
}
