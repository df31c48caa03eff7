/** What every route shares: who is asking, a checked body, and refusals as problem details. */
import type { FastifyInstance, FastifyReply, FastifyRequest } from 'fastify';
import type { TSchema } from '@sinclair/typebox';
import { check, problem, problemBody, type Problem } from '@breathline/protocol';
import { Refusal } from '../refusal.ts';
import type { Caller } from '../services/access.ts';
import type { AuthService } from '../services/auth-service.ts';

export const COOKIE = 'breathline_session';

export const callerOf = (auth: AuthService, request: FastifyRequest): Promise<Caller> =>
  auth.callerOf(request.cookies[COOKIE]);

/** The body, or a refusal naming the field. */
export const bodyOf = <S extends TSchema>(schema: S, request: FastifyRequest): S['static'] => {
  const checked = check(schema, request.body);
  if (!checked.ok) throw new Refusal('bad-shape', checked.message);
  return checked.value;
};

/** What stands after the "?", or a refusal naming the field. */
export const queryOf = <S extends TSchema>(schema: S, request: FastifyRequest): S['static'] => {
  const checked = check(schema, request.query);
  if (!checked.ok) throw new Refusal('bad-shape', checked.message);
  return checked.value;
};

/** The address attempts are counted by. */
export const addressOf = (request: FastifyRequest): string => request.ip;

export const sendProblem = (reply: FastifyReply, refused: Problem, currentSeq?: number): FastifyReply => {
  const body = problemBody(refused, currentSeq === undefined ? {} : { currentSeq });
  return reply.code(body.status).type('application/problem+json').send(JSON.stringify(body));
};

/** Fastify's own failures, in our words. */
const ofFramework = (code: string | undefined, status: number | undefined): Problem | null => {
  if (code === 'FST_ERR_CTP_BODY_TOO_LARGE') return problem('too-large');
  if (code === 'FST_ERR_CTP_EMPTY_JSON_BODY') return problem('bad-json', 'The request has no body.');
  if (code === 'FST_ERR_CTP_INVALID_MEDIA_TYPE') return problem('bad-json', 'The request is not application/json.');
  if (status === 404 || code === 'FST_ERR_BAD_URL' || code === 'FST_ERR_MAX_PARAM_LENGTH') return problem('not-found');
  if (status !== undefined && status >= 400 && status < 500) return problem('bad-json');
  return null;
};

/** An address the router itself can not read: answered before any hook or handler of ours. */
export const sendRouterProblem = (error: { code?: string; statusCode?: number }, reply: FastifyReply): void =>
  void sendProblem(reply, ofFramework(error.code, error.statusCode) ?? problem('server-fault'));

export const installErrors = (app: FastifyInstance): void => {
  app.setErrorHandler((error: Error & { code?: string; statusCode?: number }, request, reply) => {
    if (error instanceof Refusal) return sendProblem(reply, error.problem, error.currentSeq);
    const known = ofFramework(error.code, error.statusCode);
    if (known) return sendProblem(reply, known);
    // The details are for the server's window; the sender learns only that it was not their fault.
    console.error(`${request.method} ${request.url.split('?')[0]} failed:`, error);
    return sendProblem(reply, problem('server-fault'));
  });
};
