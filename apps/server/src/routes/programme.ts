/** Runs over time, the register of system problems, and privacy. Faculty only. */
import type { FastifyInstance, FastifyReply } from 'fastify';
import {
  EraseTextsBodySchema,
  NewProblemBodySchema,
  PersonBodySchema,
  PersonPatchSchema,
  ProblemPatchSchema,
  ProblemQuerySchema,
  ProgrammeQuerySchema,
  RetentionSchema,
  RunAboutBodySchema,
} from '@breathline/protocol';
import type { Services } from '../app.ts';
import { requireFaculty } from '../services/access.ts';
import type { ProblemFilter } from '../store/problem-store.ts';
import { bodyOf, callerOf, queryOf } from './http.ts';

interface ById {
  Params: { id: string };
}

const file = (reply: FastifyReply, name: string, type: string, body: string): FastifyReply =>
  reply.header('content-disposition', `attachment; filename="${name}"`).type(type).send(body);

const CSV = 'text/csv; charset=utf-8; header=present';

const filterOf = ({ open, ...rest }: (typeof ProblemQuerySchema)['static']): ProblemFilter => ({
  ...rest,
  ...(open === undefined ? {} : { open: open === 'yes' }),
});

export const programmeRoutes = (app: FastifyInstance, { auth, runs, programme, problems, privacy }: Services): void => {
  // Who asks is settled before what they ask for is looked at.
  const faculty = async (request: Parameters<typeof callerOf>[1]) => {
    const caller = await callerOf(auth, request);
    requireFaculty(caller);
    return caller;
  };

  app.get('/api/programme', async (request) =>
    programme.page(await faculty(request), queryOf(ProgrammeQuerySchema, request)),
  );
  app.get('/api/programme.csv', async (request, reply) =>
    file(
      reply,
      'breathline-programme.csv',
      CSV,
      await programme.csv(await faculty(request), queryOf(ProgrammeQuerySchema, request)),
    ),
  );
  app.patch<ById>('/api/runs/:id/about', async (request) => {
    const caller = await faculty(request);
    const card = await runs.setAbout(caller, request.params.id, bodyOf(RunAboutBodySchema, request));
    await problems.followId(request.params.id);
    return card;
  });

  app.get('/api/problems', async (request) => ({
    problems: await problems.list(await faculty(request), filterOf(queryOf(ProblemQuerySchema, request))),
  }));
  app.get('/api/problems.csv', async (request, reply) =>
    file(
      reply,
      'breathline-system-problems.csv',
      CSV,
      await problems.csv(await faculty(request), filterOf(queryOf(ProblemQuerySchema, request))),
    ),
  );
  app.post('/api/problems', async (request) =>
    problems.add(await faculty(request), bodyOf(NewProblemBodySchema, request)),
  );
  app.patch<ById>('/api/problems/:id', async (request) =>
    problems.change(await faculty(request), request.params.id, bodyOf(ProblemPatchSchema, request)),
  );

  app.get('/api/people', async (request) => ({ people: await privacy.people(await faculty(request)) }));
  app.post('/api/people', async (request) => {
    const caller = await faculty(request);
    const { pseudonym, ...wish } = bodyOf(PersonBodySchema, request);
    return privacy.putPerson(caller, pseudonym, wish, true);
  });
  app.patch<ById>('/api/people/:id', async (request) => {
    const caller = await faculty(request);
    return privacy.putPerson(caller, request.params.id, bodyOf(PersonPatchSchema, request), false);
  });
  app.get<ById>('/api/people/:id/file', async (request, reply) => {
    const found = await privacy.personFile(await faculty(request), request.params.id);
    return file(reply, 'breathline-person.json', 'application/json; charset=utf-8', JSON.stringify(found, null, 2));
  });
  app.delete<ById>('/api/people/:id', async (request) =>
    privacy.removePerson(await faculty(request), request.params.id),
  );

  app.get('/api/retention', async (request) => privacy.retention(await faculty(request)));
  app.put('/api/retention', async (request) => {
    const caller = await faculty(request);
    return privacy.setRetention(caller, bodyOf(RetentionSchema, request));
  });
  app.post('/api/retention/sweep', async (request) => ({ swept: await privacy.sweep(await faculty(request)) }));
  app.post<ById>('/api/runs/:id/erase-words', async (request) => {
    const caller = await faculty(request);
    return privacy.eraseTexts(caller, request.params.id, bodyOf(EraseTextsBodySchema, request).seqs);
  });
  app.delete<ById>('/api/runs/:id', async (request, reply) => {
    await privacy.deleteRun(await faculty(request), request.params.id);
    return reply.code(204).send();
  });
};
