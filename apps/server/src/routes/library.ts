/** Scenarios and the library, for faculty. */
import type { FastifyInstance } from 'fastify';
import type { Services } from '../app.ts';
import { callerOf } from './http.ts';

export const libraryRoutes = (app: FastifyInstance, { auth, library }: Services): void => {
  app.get('/api/scenarios', async (request) => library.list(await callerOf(auth, request)));

  app.get<{ Params: { id: string } }>('/api/scenarios/:id', async (request) =>
    library.one(await callerOf(auth, request), request.params.id),
  );

  app.get('/api/library', async (request) => library.library(await callerOf(auth, request)));
};
