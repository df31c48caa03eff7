/**
 * Where a console's taps wait if its page goes before the server has them. Each open page tends a slot of its own in the
 * browser's storage; a page that starts takes over a slot nobody tends, with its client id and numbers, so that what had
 * got through is not logged twice.
 */
import type { CommandBody } from '@breathline/protocol';
import type { EventBody } from '@breathline/engine';
import type { KeptTaps, Outbox } from '../api/run-socket.ts';
import { saidOf } from '../api/waiting-taps.ts';
import { canBackdate } from './taps.ts';

/** The part of `Storage` that is used. */
export type Keep = Pick<Storage, 'getItem' | 'setItem' | 'removeItem' | 'key' | 'length'>;

interface Slot {
  /** Wall clock of the last sign of life, ms; 0 once its page was closed. */
  readonly aliveAt: number;
  readonly kept: KeptTaps;
}

/** A page that has shown no life for this long is taken to be gone, ms. Its own beat is every two seconds. */
export const GONE_AFTER_MS = 10_000;
const PREFIX = 'breathline-taps:';
/** What is about a line of the log and not about the room: an undo that was lost would leave a dose that nobody gave. */
const ABOUT_LINES: ReadonlySet<string> = new Set(['event-withdrawn', 'act-amended', 'mark-named']);

export class PageOutbox implements Outbox {
  #slot: Slot | null = null;
  #key: string | null = null;

  constructor(
    readonly runId: string,
    readonly keep: Keep | null = browserKeep(),
    readonly now: () => number = Date.now,
    /** Starting, pausing and stopping happen when tapped: nobody expects them from a page that was closed. */
    readonly keeps: (command: CommandBody) => boolean = (command) =>
      canBackdate(command) || ABOUT_LINES.has(command.kind),
  ) {}

  load(): KeptTaps | null {
    const { keep } = this;
    const mine = `${PREFIX}${this.runId}:`;
    for (let at = 0; keep && at < keep.length; at++) {
      const key = keep.key(at);
      const slot = key?.startsWith(mine) ? readSlot(keep, key) : null;
      if (key === null || slot === null || this.now() - slot.aliveAt < GONE_AFTER_MS) continue;
      this.#key = key;
      this.#write({ ...slot, aliveAt: this.now() });
      return slot.kept;
    }
    return null;
  }

  save(kept: KeptTaps): void {
    const taps = kept.taps.filter(({ command }) => this.keeps(command));
    this.#key ??= `${PREFIX}${this.runId}:${kept.clientId}`;
    this.#write({ aliveAt: this.now(), kept: { ...kept, taps } });
  }

  /** A sign of life, so that no other page takes the slot over. */
  beat(): void {
    if (this.#slot && owes(this.#slot)) this.#write({ ...this.#slot, aliveAt: this.now() });
  }

  /** The page goes: whoever comes next sends what is left. */
  leave(): void {
    if (this.#slot) this.#write({ ...this.#slot, aliveAt: 0 });
  }

  #write(slot: Slot): void {
    this.#slot = slot;
    if (this.#key === null) return;
    try {
      if (!owes(slot)) this.keep?.removeItem(this.#key);
      else this.keep?.setItem(this.#key, JSON.stringify(slot));
    } catch {
      // Full or barred: the taps last as long as the page.
    }
  }
}

/** Is there anything left to send? */
function owes({ kept }: Slot): boolean {
  return kept.taps.length > 0;
}

/** A tap that waits in this browser's storage. */
export interface KeptTap {
  readonly slot: string;
  readonly number: number;
  readonly command: EventBody;
  readonly label: string;
  readonly occurredAtMs: number;
  readonly takenBack?: true;
  /** A page that is open tends it: what is to be undone there is undone there. */
  readonly held: boolean;
}

/** The taps of this run that wait in this browser for a page that sends them. */
export function tapsKept(
  runId: string,
  keep: Keep | null = browserKeep(),
  nowMs: number = Date.now(),
): readonly KeptTap[] {
  const found: KeptTap[] = [];
  for (let at = 0; keep && at < keep.length; at++) {
    const slot = keep.key(at);
    if (!slot?.startsWith(`${PREFIX}${runId}:`)) continue;
    const { aliveAt = 0, kept = null } = readSlot(keep, slot) ?? {};
    for (const tap of kept?.taps ?? []) {
      const { n, command, undoneMs } = tap;
      const { label, atMs } = saidOf(tap);
      found.push({
        slot,
        number: n,
        command: command as EventBody,
        label,
        occurredAtMs: atMs,
        ...(undoneMs === undefined ? {} : { takenBack: true }),
        held: nowMs - aliveAt < GONE_AFTER_MS,
      });
    }
  }
  return found;
}

/** Undoes one, as pressed now: the page that sends it withdraws it as soon as it is on the log. */
export function undoKept(tap: KeptTap, keep: Keep | null = browserKeep(), nowMs: number = Date.now()): void {
  const slot = keep && readSlot(keep, tap.slot);
  if (!slot || nowMs - slot.aliveAt < GONE_AFTER_MS) return;
  const taps = slot.kept.taps.map((each) =>
    each.n === tap.number && each.undoneMs === undefined ? { ...each, undoneMs: nowMs } : each,
  );
  try {
    keep.setItem(tap.slot, JSON.stringify({ ...slot, kept: { ...slot.kept, taps } }));
  } catch {
    // Full or barred: it stays as it was, and the log offers the undo.
  }
}

function readSlot(keep: Keep, key: string): Slot | null {
  try {
    const slot = JSON.parse(keep.getItem(key) ?? 'null') as Slot | null;
    return slot !== null && typeof slot.aliveAt === 'number' && Array.isArray(slot.kept.taps) ? slot : null;
  } catch {
    return null;
  }
}

function browserKeep(): Keep | null {
  try {
    return globalThis.localStorage ?? null;
  } catch {
    return null;
  }
}
