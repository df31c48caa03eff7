/** Guideline packs: the list, a file to take away, a site's own copy. */
import type { FastifyInstance } from 'fastify';
import { PackForkBodySchema } from '@breathline/protocol';
import type { Services } from '../app.ts';
import { requireFaculty } from '../services/access.ts';
import { bodyOf, callerOf } from './http.ts';

export const packRoutes = (app: FastifyInstance, { auth, packs }: Services): void => {
  app.get('/api/packs', async (request) => packs.list(await callerOf(auth, request)));

  app.get<{ Params: { id: string }; Querystring: { as?: string } }>('/api/packs/:id/file', async (request, reply) => {
    const { as } = request.query;
    const caller = await callerOf(auth, request);
    const { name, text } = await packs.file(caller, request.params.id, typeof as === 'string' ? as : undefined);
    return reply
      .header('content-disposition', `attachment; filename="${name.replace(/[^A-Za-z0-9._-]/g, '_')}"`)
      .type('application/yaml; charset=utf-8')
      .send(text);
  });

  app.post<{ Params: { id: string } }>('/api/packs/:id/fork', async (request) => {
    const caller = await callerOf(auth, request);
    requireFaculty(caller);
    return packs.fork(caller, request.params.id, bodyOf(PackForkBodySchema, request));
  });
};
