/**
 * Taps on their way to the server. Each has a number of its own, so sending one twice is harmless; each keeps the
 * run-clock moment it happened, so one sent after a minute offline still carries its true time.
 */
import { STEERING_KINDS, type CommandMessage } from '@breathline/protocol';
import type { EventBody } from '@breathline/engine';

export interface Tap {
  readonly n: number;
  readonly command: EventBody;
  /** Words for the waiting list: "Adrenaline IM: given". */
  readonly label: string;
  /** Run-clock ms at which it happened in the room. */
  readonly occurredAtMs: number;
  readonly state: 'waiting' | 'sent';
}

const STEERING: ReadonlySet<string> = new Set(STEERING_KINDS);

/** Does this command steer (and so need the current sequence number)? */
export function isSteering(command: EventBody): boolean {
  return STEERING.has(command.kind);
}

/** The message for a tap, sent when the run clock reads `clockMs`. */
export function tapMessage(tap: Tap, clientId: string, clockMs: number, baseSeq: number): CommandMessage {
  const agoMs = Math.max(0, Math.round(clockMs - tap.occurredAtMs));
  return {
    t: 'command',
    clientId,
    n: tap.n,
    command: tap.command,
    ...(isSteering(tap.command) ? { baseSeq } : {}),
    ...(agoMs > 0 ? { agoMs } : {}),
  };
}

/** Taps after one was acknowledged or refused. */
export function settle(taps: readonly Tap[], n: number): readonly Tap[] {
  return taps.filter((tap) => tap.n !== n);
}

/** Taps after the connection was lost: what had been sent but not acknowledged waits to be sent again. */
export function requeue(taps: readonly Tap[]): readonly Tap[] {
  return taps.map((tap) => (tap.state === 'sent' ? { ...tap, state: 'waiting' as const } : tap));
}
