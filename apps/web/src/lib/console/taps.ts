/** Taps on their way to the server: shown as waiting until the server says they are on disk. */
import { STEERING_KINDS } from '@breathline/protocol';
import type { EventBody } from '@breathline/engine';

export interface Tap {
  /** This screen's own count, for telling taps apart on the page. */
  readonly id: number;
  readonly command: EventBody;
  /** Words for the waiting list: "Adrenaline IM: given". */
  readonly label: string;
  /** Run-clock ms at which it happened in the room. */
  readonly occurredAtMs: number;
  /** Its number on this screen's line; null before it was put there. */
  readonly number?: number;
  /** Undone before the server had it: it is withdrawn as soon as it is on the log. */
  readonly takenBack?: true;
}

const STEERING: ReadonlySet<string> = new Set(STEERING_KINDS);

/** Does this command steer (and so is never backdated)? */
export function isSteering(command: EventBody): boolean {
  return STEERING.has(command.kind);
}

/** Kinds that may be dated back: things that happened in the room. Starting, stopping and undoing happen when tapped. */
const BACKDATED: ReadonlySet<EventBody['kind']> = new Set([
  'intervention',
  'intervention-stopped',
  'assessment',
  'device-attached',
  'device-removed',
  'cue-spoken',
  'note',
  'mark',
  'other-action',
  'behaviour-ticked',
  'comment',
  'request-made',
  'request-met',
  'family-distress',
  'family-history-told',
  'family-worry',
  'family-with',
  'errand-sent',
  'system-problem',
  'seat-changed',
  'handover',
  'happening',
]);

/** May "that was 20 s ago" be said of this? */
export function canBackdate(command: EventBody): boolean {
  return BACKDATED.has(command.kind);
}

/** Taps still waiting after one was settled. */
export function settle(taps: readonly Tap[], id: number): readonly Tap[] {
  return taps.filter((tap) => tap.id !== id);
}
