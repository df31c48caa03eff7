/** Doses of a run: what is suggested for its patient. The arithmetic and the words are the scenario package's. */
import { suggestDose, type DoseSuggestion } from '@breathline/scenario';
import { planOf, type Plan } from '../run/plan.ts';
import type { RunDefinition } from '../types.ts';

/**
 * What the run's chosen pack (else the formulary) suggests for this run's patient, by age band or weight; null when
 * neither has a dose for it. `weightKg` replaces the patient's own. Show only with its source, as training only.
 */
export function suggestForRun(
  definition: RunDefinition,
  intervention: string,
  weightKg?: number,
): DoseSuggestion | null {
  return suggestFromPlan(planOf(definition), intervention, weightKg);
}

export function suggestFromPlan(plan: Plan, intervention: string, weightKg?: number): DoseSuggestion | null {
  const { library, packId } = plan.definition;
  const { ageYears, weightKg: own } = plan.profile;
  return suggestDose({ library, packId, intervention, ageYears, weightKg: weightKg ?? own });
}
