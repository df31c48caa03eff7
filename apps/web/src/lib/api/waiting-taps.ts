/** Taps the server has not answered yet, numbered, and kept where a page that goes away leaves them. */
import { LONGEST_HELD_MS, type AckMessage, type CommandMessage } from '@breathline/protocol';
import type { ApiError } from './errors.ts';
import type { KeptTaps, LeftTap, Outbox, Pending, Said } from './line-types.ts';
import { agoMs } from './patience.ts';

/** A wait shorter than this is the line's own; ms. */
const LEAST_WAIT_MS = 500;

/** Run clock of a tap of which only the wall clock is known, ms: below any moment of a run. */
const RUN_CLOCK_UNKNOWN_MS = -1;

/** Words for a tap. One kept before words were kept with it is named by what it logs and by this device's clock. */
export function saidOf({ command, wallMs, said }: KeptTaps['taps'][number]): Said {
  if (said) return said;
  const what =
    command.kind === 'intervention' ? `${command.intervention}: ${command.step ?? 'logged'}` : String(command.kind);
  const words = what.replaceAll('-', ' ');
  const at = new Date(wallMs).toLocaleTimeString('en-GB', { hour: '2-digit', minute: '2-digit' });
  return { label: `${words.charAt(0).toUpperCase()}${words.slice(1)}, tapped at ${at}`, atMs: RUN_CLOCK_UNKNOWN_MS };
}

/** Random without `crypto.randomUUID`, which plain-http pages on a LAN do not have. */
export function newClientId(): string {
  const bytes = crypto.getRandomValues(new Uint8Array(12));
  return Array.from(bytes, (byte) => byte.toString(16).padStart(2, '0')).join('');
}

/** What is known of a tap before it has its number. */
export type NewTap = Omit<Pending, 'n' | 'lastSentAt'>;

/** What is sent of a tap now: the same each time but for how long it has waited. */
export function commandOf(clientId: string, pending: Pending, nowMs: number): CommandMessage {
  const waited = Math.min(LONGEST_HELD_MS, Math.round(agoMs(nowMs - pending.askedAt, Date.now() - pending.wallMs)));
  pending.lastSentAt = nowMs;
  return {
    t: 'command',
    clientId,
    n: pending.n,
    ...(pending.baseSeq === undefined ? {} : { baseSeq: pending.baseSeq }),
    ...(pending.agoMs > 0 ? { agoMs: pending.agoMs } : {}),
    // A tap that waited out a break happened when it was tapped, not when the line came back.
    ...(waited > LEAST_WAIT_MS ? { heldMs: waited } : {}),
    command: pending.command,
  };
}

export class WaitingTaps {
  readonly clientId: string;
  /** What an earlier page left here, oldest first. */
  readonly left: readonly LeftTap[];
  #n: number;
  #all = new Map<number, Pending>();
  #outbox: Outbox | undefined;
  #onChange: (count: number) => void;

  /** @param nowMs The screen's monotonic clock now. */
  constructor(
    outbox: Outbox | undefined,
    clientId: string | undefined,
    nowMs: number,
    onChange: (count: number) => void,
  ) {
    this.#outbox = outbox;
    this.#onChange = onChange;
    const kept = outbox?.load() ?? null;
    this.clientId = kept?.clientId ?? clientId ?? newClientId();
    this.#n = kept?.n ?? 0;
    const steady = (wallMs: number): number => nowMs - Math.max(0, Date.now() - wallMs);
    this.left = (kept?.taps ?? []).map((tap) => {
      const { n, command, agoMs, wallMs, undoneMs, said } = tap;
      let resolve: Pending['resolve'] = () => undefined;
      let reject: Pending['reject'] = () => undefined;
      const answered = new Promise<AckMessage>((yes, no) => ([resolve, reject] = [yes, no]));
      // A screen that asks for none of them is not told of an error by the browser.
      answered.catch(() => undefined);
      this.#all.set(n, {
        n,
        command,
        agoMs,
        wallMs,
        said,
        baseSeq: undefined,
        askedAt: steady(wallMs),
        lastSentAt: 0,
        ...(undoneMs === undefined ? {} : { undone: { askedAt: steady(undoneMs), wallMs: undoneMs } }),
        resolve,
        reject,
      });
      return { number: n, command, said: saidOf(tap), undone: undoneMs !== undefined, answered };
    });
    if (this.#all.size > 0) queueMicrotask(() => onChange(this.#all.size));
  }

  get count(): number {
    return this.#all.size;
  }

  /** The number of the newest tap. */
  get lastNumber(): number {
    return this.#n;
  }

  [Symbol.iterator](): Iterator<Pending> {
    return this.#all.values();
  }

  add(tap: NewTap): Pending {
    const pending: Pending = { ...tap, n: ++this.#n, lastSentAt: 0 };
    this.#all.set(pending.n, pending);
    this.#changed(true);
    return pending;
  }

  /** Undoes one that waits, as pressed now. */
  undo(n: number, nowMs: number): void {
    const pending = this.#all.get(n);
    if (!pending || pending.undone) return;
    pending.undone = { askedAt: nowMs, wallMs: Date.now() };
    this.#changed(true);
  }

  /** When one that waits was undone; undefined when it was not. */
  undone(n: number): Pending['undone'] {
    return this.#all.get(n)?.undone;
  }

  /** Takes out the one that was answered. @param keep False once the page closes: what waits then is the outbox's. */
  settle(n: number, keep: boolean): Pending | undefined {
    const pending = this.#all.get(n);
    if (pending) {
      this.#all.delete(n);
      this.#changed(keep);
    }
    return pending;
  }

  refuseAll(error: ApiError, keep: boolean): void {
    for (const { n } of [...this.#all.values()]) this.settle(n, keep)?.reject(error);
  }

  #changed(keep: boolean): void {
    this.#onChange(this.#all.size);
    if (!keep) return;
    // Steering is not kept over a reload: nobody would expect the patient to turn by itself minutes later.
    this.#outbox?.save({
      clientId: this.clientId,
      n: this.#n,
      taps: [...this.#all.values()]
        .filter(({ baseSeq }) => baseSeq === undefined)
        .map(({ n, command, agoMs, wallMs, undone, said }) => ({
          n,
          command,
          agoMs,
          wallMs,
          ...(undone ? { undoneMs: undone.wallMs } : {}),
          ...(said ? { said } : {}),
        })),
    });
  }
}
