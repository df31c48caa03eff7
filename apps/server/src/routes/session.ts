/** Signing in and out, joining by code, and whether the server is well. */
import type { FastifyInstance } from 'fastify';
import { JoinBodySchema, LoginBodySchema } from '@breathline/protocol';
import type { Services } from '../app.ts';
import { SESSION_MS } from '../services/auth-service.ts';
import { COOKIE, addressOf, bodyOf, callerOf } from './http.ts';

export const sessionRoutes = (app: FastifyInstance, { auth, runs, version }: Services): void => {
  app.get('/api/health', async () => ({ ok: true, version }));

  app.get('/api/me', async (request) => callerOf(auth, request));

  app.post('/api/login', async (request, reply) => {
    const { passphrase } = bodyOf(LoginBodySchema, request);
    const token = await auth.login(passphrase, addressOf(request));
    return reply
      .setCookie(COOKIE, token, {
        path: '/',
        httpOnly: true,
        sameSite: 'strict',
        secure: request.protocol === 'https',
        maxAge: SESSION_MS / 1000,
      })
      .code(204)
      .send();
  });

  app.post('/api/logout', async (request, reply) => {
    await auth.logout(request.cookies[COOKIE]);
    return reply.clearCookie(COOKIE, { path: '/' }).code(204).send();
  });

  app.post('/api/join', async (request) => {
    const { code, as } = bodyOf(JoinBodySchema, request);
    return runs.joinByCode(code, as, addressOf(request));
  });
};
