/** Checks made before any route: the host asked for, the site that asks, and what a page may do. */
import { hostname } from 'node:os';
import { isIP } from 'node:net';
import type { FastifyInstance, FastifyRequest } from 'fastify';
import { Refusal } from '../refusal.ts';

const SAFE_METHODS = new Set(['GET', 'HEAD', 'OPTIONS']);

/** The name in a Host header, or null when it is none. */
export const hostOf = (header: string | undefined): string | null => {
  if (!header) return null;
  try {
    return new URL(`http://${header}`).hostname.replace(/^\[|\]$/g, '').toLowerCase();
  } catch {
    return null;
  }
};

/**
 * A name we answer to: an address, this machine's own name, or one given in BREATHLINE_HOSTS. Any other name may have been
 * pointed here by another site, to read this server through a visitor's browser.
 */
export const ownHost = (host: string, extraHosts: readonly string[]): boolean => {
  const own = hostname().toLowerCase();
  return (
    isIP(host) !== 0 || host === 'localhost' || host === own || host.startsWith(`${own}.`) || extraHosts.includes(host)
  );
};

/** The page that asks was served from the very host and port it asks. Programs that are not browsers send no Origin. */
const sameSite = (request: FastifyRequest): boolean => {
  const { origin, host } = request.headers;
  if (origin === undefined) return true;
  try {
    return new URL(origin).host === host;
  } catch {
    return false;
  }
};

export const installGuards = (app: FastifyInstance, extraHosts: readonly string[], policy: () => string): void => {
  app.addHook('onRequest', async (request) => {
    const host = hostOf(request.headers.host);
    if (host === null || !ownHost(host, extraHosts)) {
      throw new Refusal('foreign-origin', `This server does not answer to "${host ?? ''}".`, {
        hint: 'Open it by its address, or name the host in BREATHLINE_HOSTS.',
      });
    }
    const upgrade = request.headers.upgrade !== undefined;
    if ((upgrade || !SAFE_METHODS.has(request.method)) && !sameSite(request)) throw new Refusal('foreign-origin');
  });
  app.addHook('onSend', async (request, reply) => {
    reply.header('x-content-type-options', 'nosniff');
    reply.header('referrer-policy', 'no-referrer');
    reply.header('cross-origin-opener-policy', 'same-origin');
    // The page that helps a device to trust the certificate asks over plain http whether it does: it learns that, no more.
    const seen = request.url === '/api/health';
    reply.header('cross-origin-resource-policy', seen ? 'cross-origin' : 'same-origin');
    // A picture brings a stricter one of its own.
    if (!reply.hasHeader('content-security-policy')) reply.header('content-security-policy', policy());
    // Nothing of a run may be found in a browser's cache afterwards.
    if (request.url.startsWith('/api/')) reply.header('cache-control', 'no-store');
  });
};
