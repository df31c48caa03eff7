import { requireFaculty } from '$lib/api/session.ts';
import type { LayoutLoad } from './$types';

export const load: LayoutLoad = ({ url }) => requireFaculty(url);
