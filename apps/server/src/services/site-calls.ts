/** Whom a run can call: the scenario's own list with what this site knows of it, then whom the site has besides. Pure. */
import type { CallContact } from '@breathline/scenario';

/**
 * For a contact of the same id the site says who picks up and how long it takes (`answersAfterMs`, `arrivesAfterMs`), and the
 * scenario what they ask and do, since its story hangs on that. Others of the site's come after the scenario's own.
 */
export const siteCalls = (own: readonly CallContact[], site: readonly CallContact[]): readonly CallContact[] => [
  ...own.map((contact) => {
    const here = site.find(({ id }) => id === contact.id);
    return here ? { ...contact, ...here, asks: contact.asks, does: contact.does } : contact;
  }),
  ...site.filter(({ id }) => !own.some((contact) => contact.id === id)),
];
