/** The address join cards carry, asked of the server once and chosen once for all cards on this device. */
import { api, type NetworkAnswer } from '$lib/api';
import { chosenOrigin, joinOrigins } from './addresses.ts';

const KEY = 'breathline-join-origin';

class JoinAddress {
  #network = $state.raw<NetworkAnswer | null>(null);
  #kept = $state<string | null>(null);
  /** The server has answered, or will not: a crew phone may not ask, and then its own address is all there is. */
  known = $state(false);
  readonly origins = $derived(joinOrigins(location, this.#network));
  readonly origin = $derived(chosenOrigin(this.origins, this.#kept));
  /** Where a device learns to trust the site's own certificate; null where nothing is to be learnt. */
  readonly trustAt = $derived(this.#network?.trustAt ?? null);

  /** Asks afresh: the machine may have changed networks since. */
  async ask(): Promise<void> {
    try {
      this.#kept = localStorage.getItem(KEY);
    } catch {
      // Storage may be barred; the likeliest address stands.
    }
    try {
      this.#network = await api.network();
    } catch {
      // No answer: what was known stands.
    }
    this.known = true;
  }

  choose(origin: string): void {
    this.#kept = origin;
    try {
      localStorage.setItem(KEY, origin);
    } catch {
      // Kept for this page at least.
    }
  }
}

export const joinAddress = new JoinAddress();
