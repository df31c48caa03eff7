/** Who lets the heart stop: faculty are asked, unless the scenario and the prebrief both leave it to the model. */
import { effectiveEvents } from '../run/withdraw.ts';
import type { RunDefinition, RunEvent } from '../types.ts';

/** The item of the prebrief by which faculty agree that an arrest comes as the model has it. */
export const ARREST_ITEM = 'safe:arrest';

/** Who decides when the model's heart would stop: faculty are asked; or the model has its way, as in a course with nobody to ask. */
export type ArrestBy = 'faculty' | 'model';

/** Whether, as the log stands, an arrest comes without a question because scenario and prebrief both said so. */
export function arrestAgreed({ scenario }: RunDefinition, log: readonly RunEvent[]): boolean {
  if (scenario.arrest !== 'as-model') return false;
  const tick = effectiveEvents(log).findLast((event) => event.kind === 'prebrief-item' && event.item === ARREST_ITEM);
  return tick?.kind === 'prebrief-item' && tick.done;
}
