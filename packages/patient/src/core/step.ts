/** One step of the whole patient. Order: set by people -> gas -> breathing -> mediators -> circulation -> medicines. */
import { PatientError } from '../errors.ts';
import type { PatientModel, PatientState } from '../types.ts';
import { stepDrugs } from '../drugs/step.ts';
import { stepIllness } from '../diseases/illness.ts';
import { stepMediators } from '../diseases/mediators.ts';
import { stepBody } from './body.ts';
import { stepBreathing } from './breathing.ts';
import { stepCirculation } from './circulation.ts';
import { stepArrest } from './arrest.ts';
import { SLOTS } from './layout.ts';
import { stepOxygen } from './oxygen.ts';
import type { Parameters } from './parameters.ts';
import { beginSteering, endSteering, isHeld, stepBrink, steerMechanisms } from './steering.ts';
import { stepDelivery } from './delivery.ts';

const X = SLOTS;

/**
 * Moves `state` on by `dtMs` (1 to 500; 100 in normal use), in place and without allocating. Longer times are made of
 * more steps, never of longer ones.
 */
export function stepPatient(model: PatientModel, state: PatientState, dtMs: number): void {
  if (!(dtMs >= 1 && dtMs <= 500)) {
    throw new PatientError(
      'bad-number',
      `dtMs = ${String(dtMs)}`,
      'a step from 1 to 500 ms; take more steps for longer times',
    );
  }
  if (state.length !== X.STATE_SIZE) {
    throw new PatientError(
      'wrong-state',
      `a state of ${state.length} numbers`,
      `${X.STATE_SIZE}, from createState or copyState`,
    );
  }
  const p = model.p as Parameters;
  const steered = state[X.STEER_ON]! > 0;
  if (steered) {
    if (isHeld(state)) return;
    beginSteering(state, dtMs);
  }
  stepDelivery(p, state, dtMs);
  if (model.ill !== undefined) stepIllness(p, model.ill, state, dtMs);
  if (steered) steerMechanisms(state);
  stepOxygen(p, state);
  stepBreathing(p, state, dtMs);
  stepMediators(p, state, dtMs);
  stepCirculation(p, state, dtMs);
  if (state[X.BRINK]! > 0) stepBrink(p, state, dtMs);
  else stepArrest(p, state, dtMs);
  stepDrugs(p, state, dtMs);
  stepBody(p, state, dtMs);
  if (steered) endSteering(p, state, dtMs);
  state[X.T_MIN] = state[X.T_MIN]! + dtMs / 60000;
}
