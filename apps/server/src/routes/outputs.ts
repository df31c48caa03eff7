/** Files of a run, and its review, for faculty. */
import type { FastifyInstance } from 'fastify';
import type { Services } from '../app.ts';
import type { OutputChoice } from '../services/output-service.ts';
import { callerOf } from './http.ts';

interface Asked {
  Params: { id: string; file: string };
  Querystring: { take?: string; pack?: string; testData?: string };
}

const choiceOf = ({ take, pack, testData }: Asked['Querystring']): OutputChoice => ({
  ...(take === undefined ? {} : { take: Number(take) }),
  ...(pack === undefined ? {} : { pack }),
  ...(testData === 'yes' ? { testData: true } : {}),
});

export const outputRoutes = (app: FastifyInstance, { auth, outputs }: Services): void => {
  app.get<Asked>('/api/runs/:id/review', async (request) =>
    outputs.review(await callerOf(auth, request), request.params.id, choiceOf(request.query)),
  );

  app.get('/api/record-store', async (request) => ({
    there: outputs.hasRecordStore(await callerOf(auth, request)),
  }));
  app.post<Asked>('/api/runs/:id/statements', async (request) =>
    outputs.send(await callerOf(auth, request), request.params.id, choiceOf(request.query)),
  );

  app.get<Asked>('/api/runs/:id/files/:file', async (request, reply) => {
    const { id, file } = request.params;
    const output = await outputs.file(await callerOf(auth, request), id, file, choiceOf(request.query));
    return reply
      .header('content-disposition', `attachment; filename="${output.name}"`)
      .type(output.type)
      .send(output.body);
  });
};
