/** What each tap of a run was answered, so that one sent twice is logged once. */
import { createHash } from 'node:crypto';
import type { AckMessage, CommandMessage } from '@breathline/protocol';
import { Refusal } from '../refusal.ts';

/** What makes two requests the same tap. How long it waited is not part of it: each sending has waited longer. */
export const requestHash = (message: CommandMessage): string =>
  createHash('sha256')
    .update(JSON.stringify([message.command, message.agoMs ?? 0]))
    .digest('hex')
    .slice(0, 32);

export class Answers {
  readonly #given = new Map<string, { readonly hash: string; readonly ack: Promise<AckMessage> }>();

  /** The answer given before, or `work`'s. Throws `number-reused` when the number stands for another tap. */
  async once(message: CommandMessage, work: (hash: string) => Promise<AckMessage>): Promise<AckMessage> {
    const key = `${message.clientId}:${message.n}`;
    const hash = requestHash(message);
    const known = this.#given.get(key);
    if (known) {
      if (known.hash !== hash) throw new Refusal('number-reused');
      return known.ack;
    }
    const ack = work(hash);
    this.#given.set(key, { hash, ack });
    // Nothing was logged: the same tap may be tried again.
    ack.catch(() => this.#given.delete(key));
    return ack;
  }

  /** An answer from before the server came up. */
  restore(clientId: string, hash: string, ack: AckMessage): void {
    this.#given.set(`${clientId}:${ack.n}`, { hash, ack: Promise.resolve(ack) });
  }
}
