import { redirect } from '@sveltejs/kit';
import { api } from './client.ts';
import { asApiError, type ApiError } from './errors.ts';

/** What a faculty page's layout gets: signed in, or the reason it could not be asked. */
export interface FacultySession {
  readonly unreachable: ApiError | null;
}

/**
 * For `+layout.ts`/`+page.ts` of a faculty page: sends anyone not signed in to the sign-in page and back again after.
 * A server that can't be reached is reported, not treated as signed out.
 */
export async function requireFaculty(url: URL): Promise<FacultySession> {
  let role: string | null = null;
  try {
    role = (await api.me()).role;
  } catch (thrown) {
    const error = asApiError(thrown);
    if (error.status !== 401) return { unreachable: error };
  }
  if (role !== 'faculty') redirect(307, `/?next=${encodeURIComponent(url.pathname + url.search)}`);
  return { unreachable: null };
}

/** A `next` address is followed only inside this site. */
export function safeNext(next: string | null): string {
  return next && /^\/(?![/\\])[^\\]*$/.test(next) && next !== '/' ? next : '/library';
}
