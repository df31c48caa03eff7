/** Runs, for faculty. */
import type { FastifyInstance } from 'fastify';
import { LogQuerySchema, NewRunBodySchema, TicketBodySchema, WhyQuerySchema, parseCommand } from '@breathline/protocol';
import type { Services } from '../app.ts';
import { Refusal } from '../refusal.ts';
import { requireFaculty } from '../services/access.ts';
import { runDay } from '../run-day.ts';
import { bodyOf, callerOf, queryOf } from './http.ts';

/** An hour's run with its library is a few megabytes. */
const MAX_IMPORT_BYTES = 32 * 1024 * 1024;

interface ById {
  Params: { id: string };
}

interface Take {
  Querystring: { take?: string };
}

/** A number that no take has is refused further on, in words. */
const takeOf = (text: string | undefined): number | undefined => (text === undefined ? undefined : Number(text));

export const runRoutes = (app: FastifyInstance, { auth, runs }: Services): void => {
  app.get('/api/runs', async (request) => ({ runs: await runs.list(await callerOf(auth, request)) }));

  app.post('/api/runs', async (request) => {
    const caller = await callerOf(auth, request);
    requireFaculty(caller);
    return runs.create(caller, bodyOf(NewRunBodySchema, request));
  });

  app.get<ById>('/api/runs/:id', async (request) => runs.one(await callerOf(auth, request), request.params.id));

  app.post<ById>('/api/runs/:id/ticket', async (request) => {
    const caller = await callerOf(auth, request);
    requireFaculty(caller);
    const { as } = bodyOf(TicketBodySchema, request);
    return { ticket: await runs.ticket(caller, request.params.id, as) };
  });

  app.post<ById>('/api/runs/:id/commands', async (request) => {
    const caller = await callerOf(auth, request);
    requireFaculty(caller);
    const parsed = parseCommand(request.body);
    if (!parsed.ok) throw new Refusal(parsed.problem.code, parsed.problem.message, { hint: parsed.problem.hint });
    return runs.command(caller, request.params.id, parsed.message);
  });

  app.get<ById & Take>('/api/runs/:id/export', async (request, reply) => {
    const run = await runs.export(await callerOf(auth, request), request.params.id, takeOf(request.query.take));
    const day = runDay(run);
    const name = `breathline-${run.definition.scenario.id.replace(/[^a-z0-9-]/gi, '')}-${day}.json`;
    return reply.header('content-disposition', `attachment; filename="${name}"`).send(run);
  });

  app.post(
    '/api/runs/import',
    {
      bodyLimit: MAX_IMPORT_BYTES,
      // Before the body is read: a stranger may not make the server read 32 MB.
      onRequest: async (request) => requireFaculty(await callerOf(auth, request)),
    },
    async (request) => runs.import(await callerOf(auth, request), request.body),
  );

  app.get<ById & { Querystring: Take['Querystring'] & { pack?: string } }>('/api/runs/:id/scorecard', async (request) =>
    runs.scorecard(await callerOf(auth, request), request.params.id, request.query.pack, takeOf(request.query.take)),
  );

  app.get<ById>('/api/runs/:id/explain', async (request) => {
    const caller = await callerOf(auth, request);
    requireFaculty(caller);
    return runs.explain(caller, request.params.id, queryOf(WhyQuerySchema, request).vital);
  });

  app.get<ById>('/api/runs/:id/log', async (request) => {
    const caller = await callerOf(auth, request);
    requireFaculty(caller);
    return runs.logAfter(caller, request.params.id, Number(queryOf(LogQuerySchema, request).after ?? 0));
  });

  app.get<ById>('/api/runs/:id/scores', async (request) =>
    runs.scores(await callerOf(auth, request), request.params.id),
  );
};
