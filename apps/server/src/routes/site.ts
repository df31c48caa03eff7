/** What the site has set, whether all is ready, and what a crew phone may ask. */
import type { FastifyInstance } from 'fastify';
import { SiteSettingsSchema } from '@breathline/protocol';
import type { Services } from '../app.ts';
import { requireFaculty } from '../services/access.ts';
import { bodyOf, callerOf } from './http.ts';

export const siteRoutes = (app: FastifyInstance, { auth, runs, site, ready, network }: Services): void => {
  app.get('/api/site', async (request) => site.read(await callerOf(auth, request)));

  app.put('/api/site', async (request) => {
    const caller = await callerOf(auth, request);
    requireFaculty(caller);
    return site.write(caller, bodyOf(SiteSettingsSchema, request));
  });

  app.get('/api/ready', async (request) => ready.read(await callerOf(auth, request)));

  app.get('/api/network', async (request) => network.read(await callerOf(auth, request)));

  app.get('/api/crew/definition', async (request) =>
    runs.definitionForCrew(auth.crewOf(request.headers.authorization)),
  );
};
