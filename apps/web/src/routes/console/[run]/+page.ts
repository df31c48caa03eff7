import { isRedirect } from '@sveltejs/kit';
import { api, asApiError, requireFaculty, type ApiError, type RunDefinition } from '$lib/api';
import type { PageLoad } from './$types';

interface ConsolePage {
  readonly runId: string;
  /** The run's pinned definition; null when it has not come yet. */
  readonly definition: RunDefinition | null;
  readonly failed: ApiError | null;
  /** Asks again, for as long as the page is there. */
  readonly ask: (signal: AbortSignal) => Promise<RunDefinition>;
}

/** After so long the page stands without its run and says what is kept on this device, ms. */
const WAIT_MS = 600;

/** Signed in, the run's definition; why not, in words; or nothing yet, from a network that swallows what is sent. */
export const load: PageLoad = async ({ params, url }): Promise<ConsolePage> => {
  const ask = async (signal?: AbortSignal): Promise<RunDefinition> => {
    const { unreachable } = await requireFaculty(url, signal);
    if (unreachable) throw unreachable;
    return (await api.run(params.run, signal)).definition;
  };
  const page = { runId: params.run, definition: null, failed: null, ask: askFromPage };
  async function askFromPage(signal: AbortSignal): Promise<RunDefinition> {
    try {
      return await ask(signal);
    } catch (thrown) {
      // Not signed in any more: a page has no router to turn it away.
      if (isRedirect(thrown)) location.assign(thrown.location);
      throw thrown;
    }
  }
  const late = new AbortController();
  const timer = setTimeout(() => late.abort(), WAIT_MS);
  try {
    return { ...page, definition: await ask(late.signal) };
  } catch (thrown) {
    if (isRedirect(thrown)) throw thrown;
    return { ...page, failed: late.signal.aborted ? null : asApiError(thrown) };
  } finally {
    clearTimeout(timer);
  }
};
