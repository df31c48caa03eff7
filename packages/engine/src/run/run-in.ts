/** The illness before the run: a patient who arrives ill has been ill for a while. */
import { applyInput, copyState, stepPatient, type PatientModel, type PatientState } from '@breathline/patient';
import type { Scenario } from '@breathline/scenario';
import { STEP_MS } from '../types.ts';

/** Longest run-in, ms: six hours of model time take about a second to compute. */
export const LONGEST_RUN_IN_MS = 21_600_000;

/**
 * The patient at time zero: `settled`, moved on for `scenario.patient.begunMs` under the drives of the start states, so
 * that signs present at arrival come from the model instead of being typed in. Returns `settled` itself when nothing
 * has begun. A drive the model refuses is left out here; entering the state records it as a fault.
 */
export function runIn(scenario: Scenario, model: PatientModel, settled: PatientState): PatientState {
  const begunMs = Math.min(scenario.patient.begunMs ?? 0, LONGEST_RUN_IN_MS);
  if (begunMs <= 0) return settled;
  const state = copyState(settled);
  applyInput(model, state, { kind: 'posture', posture: scenario.startPosture });
  for (const thread of scenario.threads) {
    for (const drive of thread.states.find((candidate) => candidate.id === thread.start)?.drives ?? []) {
      try {
        applyInput(model, state, drive);
      } catch {
        continue;
      }
    }
  }
  for (let atMs = 0; atMs < begunMs; atMs += STEP_MS) stepPatient(model, state, STEP_MS);
  return state;
}
