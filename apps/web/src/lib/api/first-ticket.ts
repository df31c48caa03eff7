/** Getting in: a one-use ticket over a network that may swallow what is sent. */
import { asApiError } from './errors.ts';

/**
 * A network that swallows what is sent answers nothing, and the browser's own tries get rarer: beside a request for a ticket
 * that is not answered a fresh one is sent this often, ms. The first answer counts; a slow server still gets all its time.
 */
const TICKET_EVERY_MS = 1_200;
/** Answers that will not get better by asking again. */
export const FATAL: ReadonlySet<number> = new Set([400, 401, 403, 404, 410]);

/** A ticket from whichever request is answered first; asks anew beside one that hangs, for as long as it is wanted. */
export function firstTicket(getTicket: () => Promise<string>, wanted: () => boolean): Promise<string> {
  return new Promise<string>((resolve, reject) => {
    let open = 0;
    const ask = (): void => {
      open += 1;
      getTicket().then(
        (ticket) => {
          clearInterval(timer);
          resolve(ticket);
        },
        (thrown: unknown) => {
          open -= 1;
          // One that was cut off says nothing of the others still on their way.
          if (open > 0 && !FATAL.has(asApiError(thrown).status)) return;
          clearInterval(timer);
          reject(thrown as Error);
        },
      );
    };
    const timer = setInterval(() => {
      if (wanted()) ask();
      else clearInterval(timer);
    }, TICKET_EVERY_MS);
    ask();
  });
}
