import type { CallContact, Scenario } from '@breathline/scenario';

/** The site's own contacts, then the scenario's that they do not stand in for. */
export function callList(siteCalls: readonly CallContact[], scenario: Pick<Scenario, 'calls'>): CallContact[] {
  return [...siteCalls, ...(scenario.calls ?? []).filter((call) => !siteCalls.some((own) => own.id === call.id))];
}
