import { api, asApiError, requireFaculty, type ApiError, type RunCard, type RunDefinition } from '$lib/api';
import type { PageLoad } from './$types';

interface ConsolePage {
  readonly runId: string;
  readonly run: { readonly card: RunCard; readonly definition: RunDefinition } | null;
  readonly failed: ApiError | null;
}

/** Signed in, the run and its pinned definition; or why not, in words. */
export const load: PageLoad = async ({ params, url }): Promise<ConsolePage> => {
  const { unreachable } = await requireFaculty(url);
  if (unreachable) return { runId: params.run, run: null, failed: unreachable };
  try {
    const { run, definition } = await api.run(params.run);
    return { runId: params.run, run: { card: run, definition }, failed: null };
  } catch (thrown) {
    return { runId: params.run, run: null, failed: asApiError(thrown) };
  }
};
