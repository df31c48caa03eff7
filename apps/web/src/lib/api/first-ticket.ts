/** Getting in: a one-use ticket over a network that may swallow what is sent. */
import { asApiError } from './errors.ts';

/**
 * A network that swallows what is sent answers nothing, and the browser's own tries get rarer: beside a request for a ticket
 * that is not answered a fresh one is sent this often, ms. The first answer counts; a slow server still gets all its time.
 */
const TICKET_EVERY_MS = 700;
/** Requests on their way at once. A browser holds few lines to one server: what hangs would keep the next one waiting. */
const AT_ONCE = 4;
/** Answers that will not get better by asking again. */
export const FATAL: ReadonlySet<number> = new Set([400, 401, 403, 404, 410]);

/** How a ticket is asked for; `signal` lets go of a request that another has overtaken. */
export type GetTicket = (signal?: AbortSignal) => Promise<string>;

/** A ticket from whichever request is answered first; asks anew beside one that hangs, for as long as it is wanted. */
export function firstTicket(getTicket: GetTicket, wanted: () => boolean): Promise<string> {
  return new Promise<string>((resolve, reject) => {
    const open: AbortController[] = [];
    const end = (): void => {
      clearInterval(timer);
      for (const each of open.splice(0)) each.abort();
    };
    const ask = (): void => {
      // The first is kept to its end, for a server that is only slow; of the rest the newest.
      if (open.length >= AT_ONCE) open.splice(1, 1)[0]?.abort();
      const mine = new AbortController();
      open.push(mine);
      getTicket(mine.signal).then(
        (ticket) => {
          if (!open.includes(mine)) return;
          open.splice(open.indexOf(mine), 1);
          end();
          resolve(ticket);
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
    const timer = setInterval(() => {
      if (wanted()) ask();
      else end();
    }, TICKET_EVERY_MS);
    ask();
  });
}
