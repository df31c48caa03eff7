/** Getting in: a one-use ticket over a network that may swallow what is sent. */
import { asApiError } from './errors.ts';
import type { SocketLike } from './line-types.ts';

/**
 * A network that swallows what is sent answers nothing, and the browser's own tries get rarer: beside a request for a ticket
 * that is not answered a fresh one is sent this often, ms. The first answer counts; a slow server still gets all its time.
 */
const TICKET_EVERY_MS = 700;
/**
 * Requests on their way at once. A browser opens few lines to one server, and one that hangs in opening is handed on to the
 * next request instead of being opened afresh: some are held back for when the network is known to be there.
 */
const AT_ONCE = 2;
const AT_ONCE_THERE = 5;
/**
 * A socket that only knocks is let go after so long: its device asks again at one second and at three, then ever more rarely.
 * After some thirty within a few minutes that came to nothing a browser holds the next back for up to five seconds (measured
 * in Chromium 156): the first few are short, and later ones get longer, ms.
 */
const KNOCK_MS = 2_700;
const LATER_KNOCK_MS = 7_200;
const SHORT_KNOCKS = 20;
const COUNTED_MS = 6 * 60_000;
/** Answers that will not get better by asking again. */
export const FATAL: ReadonlySet<number> = new Set([400, 401, 403, 404, 410]);

/** How a screen knocks; it outlives a way back, as the browser's own count does. */
export class Knocks {
  readonly #open: () => SocketLike;
  readonly #now: () => number;
  #at: number[] = [];

  constructor(open: () => SocketLike, now: () => number) {
    this.#open = open;
    this.#now = now;
  }

  open(): SocketLike {
    const now = this.#now();
    this.#at = [...this.#at.filter((at) => now - at < COUNTED_MS), now];
    return this.#open();
  }

  /** How long the one opened last may take, ms. */
  get patienceMs(): number {
    return this.#at.length > SHORT_KNOCKS ? LATER_KNOCK_MS : KNOCK_MS;
  }
}

/** A way in: what to join with, and over which socket where one is open already. */
export interface WayIn {
  readonly ticket: string;
  readonly socket: SocketLike | null;
}

/** How a ticket is asked for; `signal` lets go of a request that another has overtaken. */
export type GetTicket = (signal?: AbortSignal) => Promise<string>;

/**
 * A ticket from whichever request is answered first; asks anew beside one that hangs, for as long as it is wanted.
 * @param knocks Sockets that say nothing: unlike a request each is a line of its own, and when one opens the network is there.
 * @param again What this screen may come back with; null before it ever was in. With it the socket that opened is the way in:
 * every line the browser keeps for requests may hang for many seconds more.
 */
export function firstTicket(
  getTicket: GetTicket,
  wanted: () => boolean,
  knocks: Knocks,
  again: string | null,
): Promise<WayIn> {
  return new Promise<WayIn>((resolve, reject) => {
    const open: AbortController[] = [];
    let knocking: SocketLike | null = null;
    let letGo: ReturnType<typeof setTimeout> | undefined;
    let there = false;
    const end = (): void => {
      clearInterval(timer);
      leave();
      for (const each of open.splice(0)) each.abort();
    };
    const ask = (): void => {
      const mine = new AbortController();
      open.push(mine);
      getTicket(mine.signal).then(
        (ticket) => {
          if (!open.includes(mine)) return;
          open.splice(open.indexOf(mine), 1);
          end();
          resolve({ ticket, socket: null });
        },
        (thrown: unknown) => {
          if (!open.includes(mine)) return;
          open.splice(open.indexOf(mine), 1);
          // One that was cut off says nothing of the others still on their way.
          if (open.length > 0 && !FATAL.has(asApiError(thrown).status)) return;
          end();
          reject(thrown as Error);
        },
      );
    };
    const leave = (): void => {
      clearTimeout(letGo);
      const socket = knocking;
      knocking = null;
      if (!socket) return;
      socket.onopen = socket.onclose = null;
      socket.onerror = () => undefined;
      socket.close();
    };
    const knockOnce = (): void => {
      if (knocking || there) return;
      try {
        knocking = knocks.open();
      } catch {
        return;
      }
      knocking.onopen = () => {
        if (again) {
          const socket = knocking;
          knocking = null;
          end();
          return resolve({ ticket: again, socket });
        }
        there = true;
        leave();
        while (open.length < AT_ONCE_THERE) ask();
      };
      knocking.onclose = leave;
      knocking.onerror = () => undefined;
      letGo = setTimeout(() => {
        leave();
        knockOnce();
      }, knocks.patienceMs);
    };
    const timer = setInterval(() => {
      if (!wanted()) return end();
      knockOnce();
      // The first is kept to its end, for a server that is only slow; of the rest the newest.
      if (open.length >= (there ? AT_ONCE_THERE : AT_ONCE)) open.splice(1, 1)[0]?.abort();
      ask();
    }, TICKET_EVERY_MS);
    ask();
  });
}
