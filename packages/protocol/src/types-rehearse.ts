/** Rehearsing a scenario on the server: asked for once, then looked at until it is done. */
import type { RehearsalReport } from '@breathline/debrief';
import type { Diagnostic } from '@breathline/scenario';

/*
  POST   /api/rehearsals     RehearseBody -> RehearsalAnswer: begins, or gives the same one again          faculty
  GET    /api/rehearsals/:id -> RehearsalAnswer                                                            faculty
  DELETE /api/rehearsals/:id -> 204: nobody waits for it any more                                          faculty
*/

/** A scenario of the library by its id, or the text of one that is not there yet. */
export type RehearseBody = {
  /** The pack to score with; the scenario's first if not said. */
  readonly packId?: string;
} & ({ readonly scenarioId: string } | { readonly file: string; readonly text: string });

interface Known {
  /** The same scenario, library and pack have the same id. */
  readonly id: string;
  readonly file: string;
}

/** How far a rehearsing has come, and what it told. */
export type RehearsalAnswer =
  | (Known & { readonly state: 'waiting'; readonly ahead: number })
  | (Known & { readonly state: 'playing'; readonly played: number; readonly of: number | null })
  | (Known & { readonly state: 'done'; readonly report: RehearsalReport; readonly warnings: readonly Diagnostic[] })
  /** The file has errors: nothing was played. */
  | (Known & { readonly state: 'unreadable'; readonly errors: readonly Diagnostic[] })
  | (Known & { readonly state: 'failed'; readonly why: string; readonly mend: string });
