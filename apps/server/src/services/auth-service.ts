/** Faculty sign-in, join codes' attempt limits, and one-use tickets for sockets. */
import type { Role } from '@breathline/protocol';
import { Refusal } from '../refusal.ts';
import type { SessionStore } from '../store/session-store.ts';
import { NOBODY, type Caller, type CrewCaller } from './access.ts';
import { Limiter } from './limiter.ts';
import { hashPassphrase, hashToken, newPassphrase, newToken, passphraseMatches } from './secrets.ts';

/** A working day; a drill is never cut short by a session running out. */
export const SESSION_MS = 12 * 60 * 60 * 1000;
const TICKET_MS = 30_000;
const PASSPHRASE_KEY = 'faculty-passphrase';
/** Before the part and the run in the role of a session that lets one screen back in. */
const AGAIN = 'again:';

/** What a ticket opens. */
export interface Ticket {
  readonly runId: string;
  readonly role: Role;
}

export class AuthService {
  readonly #sessions: SessionStore;
  readonly #perAddress = new Limiter(5);
  readonly #altogether = new Limiter(40);
  readonly #tickets = new Map<string, Ticket & { readonly expires: number }>();
  readonly #passes = new Map<string, CrewCaller & { readonly expires: number }>();

  constructor(sessions: SessionStore) {
    this.#sessions = sessions;
  }

  /** Makes a passphrase when there is none (or a new one is asked for); returns it once, to be printed. */
  async ensurePassphrase(given: string | null, renew = false): Promise<string | null> {
    const stored = await this.#sessions.setting(PASSPHRASE_KEY);
    if (given !== null) {
      if (stored === null || !(await passphraseMatches(given, stored))) await this.#setPassphrase(given);
      return null;
    }
    if (stored !== null && !renew) return null;
    const made = newPassphrase();
    await this.#setPassphrase(made);
    return made;
  }

  async #setPassphrase(passphrase: string): Promise<void> {
    await this.#sessions.setSetting(PASSPHRASE_KEY, await hashPassphrase(passphrase));
    await this.#sessions.removeAll();
  }

  /** A session token for the right passphrase. Attempts are counted before the slow hash, so that guessing in parallel gains nothing. */
  async login(passphrase: string, address: string): Promise<string> {
    if (this.#perAddress.blocked(address) || this.#altogether.blocked('all')) throw new Refusal('too-many-attempts');
    this.#perAddress.fail(address);
    this.#altogether.fail('all');
    const stored = await this.#sessions.setting(PASSPHRASE_KEY);
    if (stored === null || !(await passphraseMatches(passphrase, stored))) throw new Refusal('wrong-passphrase');
    this.#perAddress.clear(address);
    const token = newToken();
    await this.#sessions.create(hashToken(token), 'faculty', new Date(Date.now() + SESSION_MS));
    return token;
  }

  async logout(token: string | undefined): Promise<void> {
    if (!token) return;
    await this.#sessions.remove(hashToken(token));
    // Screens of those still signed in ask for a ticket instead.
    await this.#sessions.removeStarting(AGAIN + 'faculty:');
  }

  async callerOf(token: string | undefined): Promise<Caller> {
    if (!token) return NOBODY;
    return (await this.#sessions.role(hashToken(token))) === 'faculty' ? { role: 'faculty' } : NOBODY;
  }

  /** A ticket for a socket: works once, for half a minute. */
  issueTicket(ticket: Ticket): string {
    const now = performance.now();
    dropExpired(this.#tickets, now);
    const token = newToken();
    this.#tickets.set(hashToken(token), { ...ticket, expires: now + TICKET_MS });
    return token;
  }

  /** What a ticket or a token to come back with opens. Throws `bad-ticket`. */
  async redeem(token: string): Promise<Ticket & { readonly comesBack: boolean }> {
    const key = hashToken(token);
    const ticket = this.#tickets.get(key);
    this.#tickets.delete(key);
    if (ticket) {
      if (ticket.expires < performance.now()) throw new Refusal('bad-ticket');
      return { ...ticket, comesBack: false };
    }
    const kept = /^again:(\w+):(.+)$/.exec((await this.#sessions.role(key)) ?? '');
    if (!kept) throw new Refusal('bad-ticket');
    return { role: kept[1] as Role, runId: kept[2]!, comesBack: true };
  }

  /**
   * Lets the screen that joined with a ticket come back without one, also to a server that was started again, for a working
   * day. If it can not be kept the screen is refused with it, and asks for a ticket.
   */
  issueAgain({ role, runId }: Ticket): string {
    const token = newToken();
    this.#sessions
      .create(hashToken(token), `${AGAIN}${role}:${runId}`, new Date(Date.now() + SESSION_MS))
      .catch((error: unknown) => console.error('What a screen comes back with could not be kept:', error));
    return token;
  }

  /** A pass for a crew phone's few questions over HTTP; every join gives a new one. */
  issuePass(caller: CrewCaller): string {
    const now = performance.now();
    dropExpired(this.#passes, now);
    const token = newToken();
    this.#passes.set(hashToken(token), { ...caller, expires: now + SESSION_MS });
    return token;
  }

  /** Whose pass stands in an `authorization` header; null when none does. */
  crewOf(authorization: string | undefined): CrewCaller | null {
    const token = /^Bearer ([\w-]{20,100})$/.exec(authorization ?? '')?.[1];
    const pass = token === undefined ? undefined : this.#passes.get(hashToken(token));
    return pass && pass.expires >= performance.now() ? { runId: pass.runId, role: pass.role } : null;
  }
}

const dropExpired = (kept: Map<string, { readonly expires: number }>, now: number): void => {
  for (const [key, { expires }] of kept) if (expires < now) kept.delete(key);
};
