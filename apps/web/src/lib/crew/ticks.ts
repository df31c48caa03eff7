/** An observer's tick as it stands: the one tapped last on this phone, whether or not the server has it yet. */
import type { BehaviourRating, EventBody } from '@breathline/engine';
import type { CrewFrame } from '@breathline/protocol';

type Tick = Extract<EventBody, { kind: 'behaviour-ticked' }>;

export function tickOf(
  behaviour: CrewFrame['behaviours'][number],
  waiting: readonly Tick[],
): { readonly seen: Tick['seen'] | null; readonly rating: BehaviourRating | null; readonly waiting: boolean } {
  const own = waiting.findLast((each) => each.behaviour === behaviour.id);
  return own
    ? { seen: own.seen, rating: own.rating ?? null, waiting: true }
    : { seen: behaviour.seen, rating: behaviour.rating ?? null, waiting: false };
}
