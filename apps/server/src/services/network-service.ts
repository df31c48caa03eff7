/** Tells a signed-in page by which addresses other devices can open this server. Looked up afresh: a laptop changes networks. */
import type { NetworkAnswer } from '@breathline/protocol';
import { reachableOrigins, type Listening } from '../network.ts';
import { requireFaculty, type Caller } from './access.ts';

export class NetworkService {
  readonly #listening: () => Listening;

  constructor(listening: () => Listening) {
    this.#listening = listening;
  }

  async read(caller: Caller): Promise<NetworkAnswer> {
    requireFaculty(caller);
    const listening = this.#listening();
    return { origins: reachableOrigins(listening), secure: listening.secure };
  }
}
