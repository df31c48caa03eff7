/** A refusal thrown by a service; routes turn it into problem details, the socket into `refused`. */
import { problem, type ErrorCode, type Problem } from '@breathline/protocol';

export class Refusal extends Error {
  readonly problem: Problem;
  readonly currentSeq: number | undefined;

  constructor(code: ErrorCode, message?: string, more: { hint?: string; currentSeq?: number } = {}) {
    const made = problem(code, message, more.hint);
    super(made.message);
    this.problem = made;
    this.currentSeq = more.currentSeq;
  }
}
