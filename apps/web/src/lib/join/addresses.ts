/** Which addresses may stand on a join card: only those that another device can open. Pure. */
import type { NetworkAnswer } from '$lib/api';

/** A page opened by such a name was opened on the server's own machine. */
export const isOwnMachine = (hostname: string): boolean => /^(localhost|127\.\d+\.\d+\.\d+|\[?::1\]?)$/.test(hostname);

/**
 * The addresses to choose from, the likeliest first. What this page was opened by goes first, since it has been seen to
 * work; unless only this machine can open it. None: no other device gets in.
 */
export function joinOrigins(
  here: Pick<Location, 'origin' | 'hostname'>,
  network: Pick<NetworkAnswer, 'origins'> | null,
): string[] {
  const own = isOwnMachine(here.hostname) ? [] : [here.origin];
  return [...new Set([...own, ...(network?.origins ?? [])])];
}

/** What was chosen before, while it can still be opened; else the likeliest; null when there is none. */
export const chosenOrigin = (origins: readonly string[], kept: string | null): string | null =>
  kept !== null && origins.includes(kept) ? kept : (origins[0] ?? null);

/** As people type it: "192.168.1.20:4600/join". Without its "https://" a browser would try plain http. */
export const typedAddress = (origin: string): string => `${origin.replace(/^http:\/\//, '')}/join`;
