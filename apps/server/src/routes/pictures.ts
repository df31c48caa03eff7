/** Pictures: of system problems, in from faculty and crew; of exhibits, out to screens. */
import type { FastifyInstance, FastifyReply } from 'fastify';
import type { Services } from '../app.ts';
import { requireCrew, requireFaculty } from '../services/access.ts';
import { MAX_PHOTO_BYTES, PHOTO_CONTENT_TYPES } from '../services/photo-service.ts';
import { callerOf } from './http.ts';

/** A picture is looked at and does nothing: no script, no style from elsewhere, no address opened. */
const PICTURE_POLICY = "default-src 'none'; style-src 'unsafe-inline'; sandbox; frame-ancestors 'none'";

const sendPicture = (reply: FastifyReply, { type, content }: { type: string; content: Buffer }): FastifyReply =>
  reply.header('content-security-policy', PICTURE_POLICY).type(type).send(content);

const essence = (header: string | undefined): string | undefined => header?.split(';')[0]?.trim().toLowerCase();

export const pictureRoutes = (app: FastifyInstance, { auth, photos, exhibits }: Services): void => {
  // A scope of its own: nowhere else is a picture taken for a body.
  app.register(async (scope) => {
    scope.addContentTypeParser(
      PHOTO_CONTENT_TYPES,
      { parseAs: 'buffer', bodyLimit: MAX_PHOTO_BYTES },
      (_request, body, done) => done(null, body),
    );

    scope.post<{ Params: { id: string } }>(
      '/api/runs/:id/photos',
      // Before the body is read: a stranger may not make the server read it.
      { bodyLimit: MAX_PHOTO_BYTES, onRequest: async (request) => requireFaculty(await callerOf(auth, request)) },
      async (request) =>
        photos.add(
          await callerOf(auth, request),
          request.params.id,
          request.body,
          essence(request.headers['content-type']),
        ),
    );

    scope.post(
      '/api/crew/photos',
      {
        bodyLimit: MAX_PHOTO_BYTES,
        onRequest: async (request) => void requireCrew(auth.crewOf(request.headers.authorization)),
      },
      async (request) =>
        photos.addFromCrew(
          auth.crewOf(request.headers.authorization),
          request.body,
          essence(request.headers['content-type']),
        ),
    );
  });

  app.get<{ Params: { id: string; photo: string } }>('/api/runs/:id/photos/:photo', async (request, reply) =>
    sendPicture(reply, await photos.read(await callerOf(auth, request), request.params.id, request.params.photo)),
  );

  app.get<{ Params: { file: string } }>('/api/exhibits/:file', async (request, reply) =>
    sendPicture(reply, await exhibits.read(await callerOf(auth, request), request.params.file)),
  );
};
