/** Whom a run can call: the scenario's own list with what this site knows of it, then whom the site has besides. Pure. */
import type { CallContact } from '@breathline/scenario';

const plain = (title: string): string => title.trim().toLowerCase().replace(/[’']/g, '');

/** The same contact: by id, or by the name the team asks for, which is all that whoever sets a site can see. */
const same = (one: CallContact, other: CallContact): boolean =>
  one.id === other.id || plain(one.title) === plain(other.title);

/**
 * For a contact that a scenario has too the site says who picks up and how long it takes (`answersAfterMs`,
 * `arrivesAfterMs`), and the scenario what they ask and do, since its story hangs on that. Others of the site's come after
 * the scenario's own.
 */
export const siteCalls = (own: readonly CallContact[], site: readonly CallContact[]): readonly CallContact[] => [
  ...own.map((contact) => {
    const here = site.find((each) => same(each, contact));
    return here ? { ...contact, ...here, id: contact.id, asks: contact.asks, does: contact.does } : contact;
  }),
  ...site.filter((each) => !own.some((contact) => same(each, contact))),
];
