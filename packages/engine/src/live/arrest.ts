/** Who lets the heart stop: faculty are asked, unless the scenario and the prebrief both leave it to the model. */
import { effectiveEvents } from '../run/withdraw.ts';
import type { RunDefinition, RunEvent } from '../types.ts';

/** The item of the prebrief by which faculty agree that an arrest comes as the model has it. */
export const ARREST_ITEM = 'safe:arrest';

/** The same run in a course that never was: nobody is there to ask, and the model decides. */
export interface UnaskedDefinition extends RunDefinition {
  readonly arrestUnasked: true;
}

export function isUnasked(definition: RunDefinition): definition is UnaskedDefinition {
  return (definition as Partial<UnaskedDefinition>).arrestUnasked === true;
}

/** Whether, as the log stands, an arrest comes without a question because scenario and prebrief both said so. */
export function arrestAgreed({ scenario }: RunDefinition, log: readonly RunEvent[]): boolean {
  if (scenario.arrest !== 'as-model') return false;
  const tick = effectiveEvents(log).findLast((event) => event.kind === 'prebrief-item' && event.item === ARREST_ITEM);
  return tick?.kind === 'prebrief-item' && tick.done;
}
