/** The one step a pack turns on: adrenaline in anaphylaxis, a bronchodilator in asthma, breaths in an opioid overdose. */
import type { Scorecard, TargetResult } from './types.ts';

/** Does the pack of this scorecard ask for adrenaline at all? A clock for it is noise where it does not. */
export function asksForAdrenaline(card: Scorecard): boolean {
  return (
    card.clocks.firstAdrenalineMs !== null ||
    card.results.some(({ target }) => !target.contraindicated && target.interventions.includes('adrenaline-im'))
  );
}

/**
 * The first critical target of the pack that asks for something to be given or done by a time; null when it has none.
 * A target that only orders or forbids is never it.
 */
export function keyStep(card: Scorecard): TargetResult | null {
  return (
    card.results.find(({ target }) => target.id === 'first-adrenaline') ??
    card.results.find(
      ({ target, result }) =>
        target.critical && !target.contraindicated && target.dueMs !== undefined && result !== 'not-due',
    ) ??
    null
  );
}
