/** An observer's tick as it stands: the one tapped last on this phone, whether or not the server has it yet. */
import type { EventBody } from '@breathline/engine';
import type { CrewFrame } from '@breathline/protocol';

type Tick = Extract<EventBody, { kind: 'behaviour-ticked' }>;

export function tickOf(
  behaviour: CrewFrame['behaviours'][number],
  waiting: readonly Tick[],
): { readonly seen: Tick['seen'] | null; readonly waiting: boolean } {
  const own = waiting.findLast((each) => each.behaviour === behaviour.id);
  return own ? { seen: own.seen, waiting: true } : { seen: behaviour.seen, waiting: false };
}
