/** Who is asking, and what they may do. Every service method begins with one of these checks. */
import { Refusal } from '../refusal.ts';

/** A signed-in faculty browser, or nobody in particular. */
export interface Caller {
  readonly role: 'faculty' | null;
}

export const NOBODY: Caller = { role: null };

/** The caller must be faculty. */
export const requireFaculty = (caller: Caller): void => {
  if (caller.role !== 'faculty') throw new Refusal('not-signed-in');
};
