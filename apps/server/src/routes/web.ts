/** Serves the built web client, and its one page for every address that is not a file or the API. */
import { createHash } from 'node:crypto';
import { existsSync, readFileSync, statSync } from 'node:fs';
import path from 'node:path';
import fastifyStatic from '@fastify/static';
import type { FastifyInstance } from 'fastify';
import { problem } from '@breathline/protocol';
import { sendProblem } from './http.ts';

const fallbackOf = (folder: string): string | null =>
  ['200.html', 'index.html'].find((name) => existsSync(path.join(folder, name))) ?? null;

/** Hashes of a page's own inline scripts: they run, and no other inline script does. */
const scriptHashes = (html: string): string[] =>
  [...html.matchAll(/<script(?![^>]*\bsrc=)[^>]*>([\s\S]*?)<\/script>/g)].map(
    ([, text]) =>
      `'sha256-${createHash('sha256')
        .update(text ?? '')
        .digest('base64')}'`,
  );

/** Everything from here, no inline script but the page's own start, nothing from outside. */
const contentPolicy = (folder: string): string => {
  const fallback = fallbackOf(folder);
  const hashes = fallback === null ? [] : scriptHashes(readFileSync(path.join(folder, fallback), 'utf8'));
  return [
    "default-src 'self'",
    ['script-src', "'self'", ...new Set(hashes)].join(' '),
    "style-src 'self' 'unsafe-inline'",
    "img-src 'self' data: blob:",
    "font-src 'self' data:",
    "connect-src 'self'",
    "media-src 'self' blob:",
    "worker-src 'self' blob:",
    "object-src 'none'",
    "base-uri 'none'",
    "form-action 'self'",
    "frame-ancestors 'none'",
  ].join('; ');
};

/**
 * The content policy of the page as it now lies in the folder: a build beside a running server brings a page with another
 * inline script, which the old policy would leave blank in the middle of a drill.
 */
export const pagePolicy = (folder: string): (() => string) => {
  let madeAtMs = -1;
  let policy = contentPolicy(folder);
  return () => {
    const page = path.join(folder, fallbackOf(folder) ?? 'index.html');
    const changedAtMs = statSync(page, { throwIfNoEntry: false })?.mtimeMs;
    if (changedAtMs !== undefined && changedAtMs !== madeAtMs) {
      policy = contentPolicy(folder);
      madeAtMs = changedAtMs;
    }
    return policy;
  };
};

export const installWeb = (app: FastifyInstance, folder: string): void => {
  const fallback = fallbackOf(folder);
  if (fallback !== null) {
    app.register(fastifyStatic, {
      root: folder,
      index: [fallback],
      dotfiles: 'deny',
      cacheControl: false,
      setHeaders: (response, file) => {
        const forever = file.includes(`${path.sep}immutable${path.sep}`);
        response.setHeader('cache-control', forever ? 'public, max-age=31536000, immutable' : 'no-cache');
      },
    });
  }
  app.setNotFoundHandler((request, reply) => {
    const page =
      request.method === 'GET' && !request.url.startsWith('/api') && !/\.[a-z0-9]{2,5}(\?|$)/i.test(request.url);
    if (!page) return sendProblem(reply, problem('not-found'));
    if (fallback === null)
      return sendProblem(reply, problem('not-found', 'The screens have not been built yet: use `npm start`.'));
    return reply.sendFile(fallback);
  });
};
