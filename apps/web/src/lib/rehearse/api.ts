/** What the rehearsing page asks of the server. */
import type { RehearsalAnswer, RehearseBody } from '@breathline/protocol';
import { call } from '../api/client.ts';

const seg = encodeURIComponent;

export const rehearsalsApi = {
  begin: (wish: RehearseBody) => call<RehearsalAnswer>('POST', '/api/rehearsals', wish),
  look: (id: string) => call<RehearsalAnswer>('GET', `/api/rehearsals/${seg(id)}`),
  leave: (id: string) => call<undefined>('DELETE', `/api/rehearsals/${seg(id)}`),
};
