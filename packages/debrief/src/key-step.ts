/** The one step a pack turns on: adrenaline in anaphylaxis, a bronchodilator in asthma, breaths in an opioid overdose. */
import type { Intervention } from '@breathline/scenario';
import type { Scorecard, TargetResult } from './types.ts';

/** Does the pack of this scorecard ask for adrenaline at all? A clock for it is noise where it does not. */
export function asksForAdrenaline(card: Scorecard): boolean {
  return (
    card.clocks.firstAdrenalineMs !== null ||
    card.results.some(({ target }) => !target.contraindicated && target.interventions.includes('adrenaline-im'))
  );
}

/** Kinds that are done to the patient, rather than said, asked for or looked at. */
const DONE_TO_THE_PATIENT: ReadonlySet<string> = new Set(['drug', 'fluid', 'oxygen', 'posture', 'procedure']);

/** Does the line ask for something done to the patient, rather than said, asked for or looked at? */
export function isDoneToPatient({ target }: TargetResult, interventions: readonly Intervention[]): boolean {
  const kinds = new Map(interventions.map(({ id, kind }) => [id, kind]));
  return target.interventions.some((id) => DONE_TO_THE_PATIENT.has(kinds.get(id) ?? 'drug'));
}

/**
 * The step of this run's pack: the one the pack names, or, where it names none or that one never fell due, the first
 * critical target that asks for something to be given or done by a time. `interventions` tells doing from saying; without
 * it any critical target counts. A target that only orders or forbids is never it.
 */
export function keyStep(card: Scorecard, interventions: readonly Intervention[] = []): TargetResult | null {
  const due = (one: TargetResult): boolean =>
    !one.target.contraindicated && one.target.dueMs !== undefined && one.result !== 'not-due';
  const done = (one: TargetResult): boolean => isDoneToPatient(one, interventions);
  const named = card.results.find(({ target }) => target.id === (card.keyStep?.target ?? 'first-adrenaline'));
  if (named && due(named)) return named;
  return card.results.find((one) => one.target.critical && due(one) && done(one)) ?? null;
}

/** A few words for the key step: the pack's own, or the target's. */
export function keyStepText(card: Scorecard, step: TargetResult): string {
  return card.keyStep?.target === step.target.id ? card.keyStep.says : step.target.says;
}

/** Is the key step the first adrenaline of anaphylaxis, which has a clock of its own? */
export const isAdrenaline = (step: TargetResult): boolean => step.target.interventions.includes('adrenaline-im');
