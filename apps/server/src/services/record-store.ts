/**
 * Sends statements to the learning record store the server was told of (xAPI 1.0.3: POST statements with the version
 * header). Their ids are stable, so that sending again stores nothing twice: a store answers 409 for those it has.
 */
import type { XapiStatement } from '@breathline/debrief';
import type { RecordStoreConfig } from '../config.ts';
import { Refusal } from '../refusal.ts';

const WITHIN_MS = 20_000;

/** What came of it. */
export interface Sent {
  readonly statements: number;
  /** The store had them before. */
  readonly already: boolean;
}

/** Sends, or refuses in words. `store` null: this server was told of none. */
export const sendStatements = async (
  store: RecordStoreConfig | null,
  statements: readonly XapiStatement[],
): Promise<Sent> => {
  if (store === null) {
    throw new Refusal('not-found', 'This server was told of no learning record store.', {
      hint: 'Whoever runs it sets BREATHLINE_STORE; until then, take the statements away as a file.',
    });
  }
  const { url, user, password } = store;
  let answer: Response;
  try {
    answer = await fetch(url, {
      method: 'POST',
      headers: {
        'content-type': 'application/json',
        'x-experience-api-version': '1.0.3',
        ...(user === null ? {} : { authorization: `Basic ${Buffer.from(`${user}:${password}`).toString('base64')}` }),
      },
      body: JSON.stringify(statements),
      redirect: 'error',
      signal: AbortSignal.timeout(WITHIN_MS),
    });
  } catch (thrown) {
    const silent = thrown instanceof Error && thrown.name === 'TimeoutError';
    // Whoever falls silent or hangs up may have stored them first.
    throw new Refusal(
      'store-refused',
      silent ? `The record store said nothing for ${WITHIN_MS / 1000} s.` : 'The record store did not answer.',
    );
  }
  // What it says beyond its status is not read; left open, it would hold the connection.
  void answer.body?.cancel().catch(() => undefined);
  if (answer.status === 409) return { statements: statements.length, already: true };
  if (!answer.ok) {
    throw new Refusal('store-refused', `The record store answered ${answer.status}.`, {
      hint: 'Whoever runs the server checks BREATHLINE_STORE, its user and its password.',
    });
  }
  return { statements: statements.length, already: false };
};
