import { asApiError, type ApiError } from '$lib/api';
import type { ProgrammePage } from '@breathline/debrief';
import { OPENED, programmeApi } from '$lib/programme/api.ts';
import type { PageLoad } from './$types';

type First = { readonly page: ProgrammePage } | { readonly error: ApiError };

/** Asked for while the page's own code and the sign-in are still on their way; not waited for here. */
export const load: PageLoad = () => {
  const first: Promise<First> = programmeApi.page(OPENED).then(
    (page) => ({ page }),
    (thrown: unknown) => ({ error: asApiError(thrown) }),
  );
  return { first };
};
