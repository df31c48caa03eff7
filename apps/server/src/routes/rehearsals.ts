/** Rehearsing a scenario of the library, or one that is not there yet. */
import type { FastifyInstance } from 'fastify';
import { RehearseBodySchema, type RehearseBody } from '@breathline/protocol';
import type { Services } from '../app.ts';
import { Refusal } from '../refusal.ts';
import { requireFaculty } from '../services/access.ts';
import { bodyOf, callerOf } from './http.ts';

/** A whole scenario as JSON, where a character may take several bytes. */
const BODY_LIMIT = 2 * 1024 * 1024;

/** The one or the other, never half of each. */
const wishOf = ({ scenarioId, file, text, packId }: (typeof RehearseBodySchema)['static']): RehearseBody => {
  const pack = packId === undefined ? {} : { packId };
  if (scenarioId !== undefined && file === undefined && text === undefined) return { scenarioId, ...pack };
  if (scenarioId === undefined && file !== undefined && text !== undefined) return { file, text, ...pack };
  throw new Refusal('bad-shape', 'Expected either scenarioId, or file and text.');
};

export const rehearsalRoutes = (app: FastifyInstance, { auth, rehearsals }: Services): void => {
  app.post('/api/rehearsals', { bodyLimit: BODY_LIMIT }, async (request) => {
    const caller = await callerOf(auth, request);
    requireFaculty(caller);
    return rehearsals.begin(caller, wishOf(bodyOf(RehearseBodySchema, request)));
  });

  app.get<{ Params: { id: string } }>('/api/rehearsals/:id', async (request) =>
    rehearsals.look(await callerOf(auth, request), request.params.id),
  );

  app.delete<{ Params: { id: string } }>('/api/rehearsals/:id', async (request, reply) => {
    await rehearsals.leave(await callerOf(auth, request), request.params.id);
    return reply.code(204).send();
  });
};
