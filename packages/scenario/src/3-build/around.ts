/** Builds what surrounds the patient. */
import { DISTRESS } from '../2-check/schema/around-schema.ts';
import type { ScenarioDoc } from '../2-check/schema/scenario-schema.ts';
import type { CallContact, FamilyMember, Scenario } from '../types.ts';
import { ms } from './quantities.ts';
import { STANDARD_CALLS } from './standard-calls.ts';

export function buildAround(
  doc: ScenarioDoc,
): Pick<Scenario, 'family' | 'calls' | 'exhibits' | 'behaviours' | 'arrest'> {
  return {
    family: (doc.family ?? []).map(buildMember),
    calls: doc.calls?.map(buildContact) ?? STANDARD_CALLS,
    ...(doc.exhibits ? { exhibits: doc.exhibits } : {}),
    ...(doc.behaviours ? { behaviours: doc.behaviours } : {}),
    ...(doc.arrest ? { arrest: doc.arrest } : {}),
  };
}

function buildMember(doc: NonNullable<ScenarioDoc['family']>[number]): FamilyMember {
  const { who, says, distress, history, worries } = doc;
  return {
    who,
    says,
    ...(history
      ? { history: history.map(({ id, 'if-asked': ifAsked, says: then }) => ({ id, ifAsked, says: then })) }
      : {}),
    ...(worries ? { worries } : {}),
    ...(distress ? { distress: DISTRESS.indexOf(distress) as 0 | 1 | 2 | 3 } : {}),
  };
}

function buildContact(doc: NonNullable<ScenarioDoc['calls']>[number]): CallContact {
  const { id, title, 'picks-up': picksUp, 'answers-after': answers, asks, does, 'arrives-after': arrives } = doc;
  return {
    id,
    title,
    picksUp,
    answersAfterMs: ms(answers),
    asks: asks ?? [],
    does,
    ...(arrives ? { arrivesAfterMs: ms(arrives) } : {}),
  };
}
