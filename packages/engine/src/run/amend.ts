/**
 * Words added to an act after it was logged: who did it, that the dose was seen. Nothing is taken back by them, so whoever
 * reads a log puts them into the act's own line and counts one line.
 */
import type { EventBody, RunEvent } from '../types.ts';

type Amendment = Extract<EventBody, { kind: 'act-amended' }>;

/** The seat an act names, null where it could name one and does not, undefined where who did it is not asked. */
export function doerOf(body: EventBody): string | null | undefined {
  switch (body.kind) {
    case 'intervention':
    case 'other-action':
      return body.givenBy ?? null;
    case 'assessment':
      return body.doneBy ?? null;
    case 'errand-sent':
      return body.sentBy ?? null;
    default:
      return undefined;
  }
}

/** May this be said of this act? A seat of whatever somebody does, a dose seen of what is given. */
export function isAmendable(body: EventBody, { doseSeen }: Pick<Amendment, 'doseSeen'>): boolean {
  return doseSeen === undefined ? doerOf(body) !== undefined : body.kind === 'intervention';
}

/** The act with what was said of it; what can not be said of it changes nothing. */
export function withAmendment<T extends EventBody>(
  act: T,
  { doneBy, doseSeen }: Omit<Amendment, 'kind' | 'targetSeq'>,
): T {
  const named = doneBy === undefined ? act : withDoer(act, doneBy);
  return doseSeen === undefined || act.kind !== 'intervention' ? named : { ...named, doseSeen };
}

function withDoer<T extends EventBody>(act: T, seat: string | null): T {
  const field = act.kind === 'errand-sent' ? 'sentBy' : act.kind === 'assessment' ? 'doneBy' : 'givenBy';
  if (doerOf(act) === undefined) return act;
  const { [field]: _before, ...rest } = act as T & Record<string, unknown>;
  return (seat === null ? rest : { ...rest, [field]: seat }) as unknown as T;
}

/** Events that count, each act as it was amended last; amendments themselves are no lines of their own any more. */
export function amendedEvents(events: readonly RunEvent[]): RunEvent[] {
  const said = new Map<number, Amendment[]>();
  for (const event of events) {
    if (event.kind === 'act-amended') said.set(event.targetSeq, [...(said.get(event.targetSeq) ?? []), event]);
  }
  if (said.size === 0) return [...events];
  return events.flatMap((event) => {
    if (event.kind === 'act-amended') return [];
    return [(said.get(event.seq) ?? []).reduce((act, each) => withAmendment(act, each), event)];
  });
}
