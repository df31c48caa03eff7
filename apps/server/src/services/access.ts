/** Who is asking, and what they may do. Every service method begins with one of these checks. */
import type { CrewRole } from '@breathline/protocol';
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

/** A crew phone, known by the pass it got when it joined. It never learns the run's id; the server does. */
export interface CrewCaller {
  readonly runId: string;
  readonly role: CrewRole;
}

/** The caller must hold a crew pass, and be a logger where only they may ask. */
export const requireCrew = (caller: CrewCaller | null, role?: CrewRole): CrewCaller => {
  if (caller === null) throw new Refusal('not-signed-in', 'This needs a pass: join with the crew’s code first.');
  if (role !== undefined && caller.role !== role) throw new Refusal('wrong-role');
  return caller;
};
