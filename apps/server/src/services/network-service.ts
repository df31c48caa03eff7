/** Tells a signed-in page by which addresses other devices can open this server. Looked up afresh: a laptop changes networks. */
import type { NetworkAnswer } from '@breathline/protocol';
import { reachableOrigins, type Listening } from '../network.ts';
import { requireFaculty, type Caller } from './access.ts';

export class NetworkService {
  readonly #listening: () => Listening;
  readonly #ownCertificate: boolean;

  constructor(listening: () => Listening, ownCertificate: boolean) {
    this.#listening = listening;
    this.#ownCertificate = ownCertificate;
  }

  async read(caller: Caller): Promise<NetworkAnswer> {
    requireFaculty(caller);
    const listening = this.#listening();
    const origins = reachableOrigins(listening);
    return {
      origins,
      secure: listening.secure,
      trustAt: this.#ownCertificate ? (reachableOrigins({ ...listening, names: [], secure: false })[0] ?? null) : null,
    };
  }
}
