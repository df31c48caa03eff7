import { redirect } from '@sveltejs/kit';
import { api } from './client.ts';
import { asApiError, type ApiError } from './errors.ts';

/** What a faculty page's layout gets: signed in, or the reason it could not be asked. */
export interface FacultySession {
  readonly unreachable: ApiError | null;
}

/** This tab was signed in when it last asked: the next page need not wait for the answer, only heed it. */
let known = false;

/** The sign-in page, and back again after. */
function doorTo(url: URL): string {
  return `/?next=${encodeURIComponent(url.pathname + url.search)}`;
}

/** Who asks: true when signed in as faculty. Throws when nobody can tell. */
async function signedIn(signal?: AbortSignal): Promise<boolean> {
  try {
    known = (await api.me(signal)).role === 'faculty';
  } catch (thrown) {
    const error = asApiError(thrown);
    if (error.status !== 401) throw error;
    known = false;
  }
  return known;
}

/**
 * For `+layout.ts`/`+page.ts` of a faculty page: sends anyone not signed in to the sign-in page and back again after.
 * A server that can't be reached is reported, not treated as signed out. `signal` lets go of the question.
 */
export async function requireFaculty(url: URL, signal?: AbortSignal): Promise<FacultySession> {
  // Read before anything is waited for: a load runs again for another address only if it looked at the address by then.
  const door = doorTo(url);
  if (known) {
    // A page shows nothing that the server did not hand out, so that it may stand before this is answered.
    void signedIn().then(
      (may) => void (may || location.assign(door)),
      () => undefined,
    );
    return { unreachable: null };
  }
  try {
    if (await signedIn(signal)) return { unreachable: null };
  } catch (thrown) {
    return { unreachable: asApiError(thrown) };
  }
  redirect(307, door);
}

/** Signed out here: the next page asks first. */
export function forgetFaculty(): void {
  known = false;
}

/** A `next` address is followed only inside this site. */
export function safeNext(next: string | null): string {
  return next && /^\/(?![/\\])[^\\]*$/.test(next) && next !== '/' ? next : '/library';
}
