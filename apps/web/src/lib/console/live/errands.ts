/**
 * How a call stands: not rung, ringing, answered and then (where they come) setting out, coming, here; or failed. From the
 * errands of the run alone. A person who comes is an errand of kind `kit` under the contact's own title, sent with the call.
 */
import type { LiveView } from '@breathline/engine';
import type { CallContact, Scenario } from '@breathline/scenario';

type Errand = LiveView['errands'][number];

export type CallStand =
  | { readonly at: 'idle' }
  | { readonly at: 'failed'; readonly seq: number }
  | { readonly at: 'ringing' | 'coming'; readonly seq: number; readonly leftMs: number }
  /** Answered; `willing` when they would come and have not set out. */
  | { readonly at: 'answered' | 'willing'; readonly seq: number }
  | { readonly at: 'here'; readonly seq: number; readonly sinceMs: number };

/** Whoever set out after call `seq` to this contact; undefined when nobody did. */
export function comingAfter(live: Pick<LiveView, 'errands'>, contact: CallContact, seq: number): Errand | undefined {
  return live.errands.findLast((each) => each.errand === 'kit' && each.what === contact.title && each.seq > seq);
}

/** How the latest call to this contact stands at run-clock `nowMs`. */
export function callStands(live: Pick<LiveView, 'errands'>, contact: CallContact, nowMs: number): CallStand {
  const call = live.errands.findLast((each) => each.errand === 'call' && each.what === contact.id);
  if (!call) return { at: 'idle' };
  if (call.state === 'failed') return { at: 'failed', seq: call.seq };
  if (call.state === 'under-way') {
    return { at: 'ringing', seq: call.seq, leftMs: Math.max(0, call.dueAtMs - nowMs) };
  }
  if (contact.arrivesAfterMs === undefined) return { at: 'answered', seq: call.seq };
  const coming = comingAfter(live, contact, call.seq);
  if (!coming || coming.state === 'failed') return { at: 'willing', seq: call.seq };
  if (coming.state === 'came') return { at: 'here', seq: coming.seq, sinceMs: coming.endedAtMs ?? coming.dueAtMs };
  return { at: 'coming', seq: coming.seq, leftMs: Math.max(0, coming.dueAtMs - nowMs) };
}

/** What was sent for and is not a person of the call list, newest first. */
export function kitErrands(live: Pick<LiveView, 'errands'>, scenario: Scenario): readonly Errand[] {
  const people = new Set((scenario.calls ?? []).map((contact) => contact.title));
  return live.errands.filter((each) => each.errand === 'kit' && !people.has(each.what)).toReversed();
}

/** Calls and kit under way, soonest first. Nobody is on the way whose phone still rings. */
export function underWay(live: Pick<LiveView, 'errands'>, scenario: Scenario): readonly Errand[] {
  const ringing = new Set(
    (scenario.calls ?? [])
      .filter((contact) => live.errands.findLast((each) => each.what === contact.id)?.state === 'under-way')
      .map((contact) => contact.title),
  );
  return live.errands
    .filter((each) => each.state === 'under-way' && !(each.errand === 'kit' && ringing.has(each.what)))
    .toSorted((a, b) => a.dueAtMs - b.dueAtMs);
}
