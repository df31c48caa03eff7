/// <reference types="@sveltejs/kit" />
/// <reference lib="webworker" />
/**
 * Keeps the screens on the device, so that a monitor opens when the server or the network is away. Nothing of a run is
 * kept: what comes from /api goes past here untouched.
 *
 * A new build waits until every page of the old one is closed: nothing is ever swapped or reloaded in the middle of a run.
 */
import { build, files, version } from '$service-worker';

const worker = self as unknown as ServiceWorkerGlobalScope;
const CACHE = `breathline-${version}`;
const SHELL = '/';
/** Wait this long for the server's own page before the kept one is shown, ms. */
const PATIENCE_MS = 2500;

worker.addEventListener('install', (event) => {
  event.waitUntil(
    caches
      .open(CACHE)
      .then((cache) => cache.addAll([SHELL, ...build, ...files.filter((file) => file !== '/site.css')])),
  );
});

worker.addEventListener('activate', (event) => {
  event.waitUntil(
    (async () => {
      for (const name of await caches.keys())
        if (name.startsWith('breathline-') && name !== CACHE) await caches.delete(name);
      // The first visit is looked after at once; a later build only takes over when the old pages are gone.
      await worker.clients.claim();
    })(),
  );
});

/** The server's answer, or the kept one when it fails or takes too long; kept afresh when `keepAs` is given. */
async function freshOrKept(request: Request, keptAs: string, keep: boolean): Promise<Response> {
  const cache = await caches.open(CACHE);
  const stop = new AbortController();
  const timer = setTimeout(() => stop.abort(), PATIENCE_MS);
  try {
    const response = await fetch(request.url, { signal: stop.signal, credentials: 'same-origin', cache: 'no-cache' });
    if (!response.ok) throw new Error(String(response.status));
    if (keep) await cache.put(keptAs, response.clone());
    return response;
  } catch {
    return (await cache.match(keptAs)) ?? Response.error();
  } finally {
    clearTimeout(timer);
  }
}

worker.addEventListener('fetch', (event) => {
  const { request } = event;
  const url = new URL(request.url);
  if (request.method !== 'GET' || url.origin !== worker.location.origin || url.pathname.startsWith('/api')) return;
  if (request.mode === 'navigate') {
    // The page of this build belongs to the files of this build, so it is not kept afresh under the same name.
    event.respondWith(freshOrKept(request, SHELL, false));
    return;
  }
  if (url.pathname === '/site.css') {
    event.respondWith(freshOrKept(request, '/site.css', true));
    return;
  }
  if (build.includes(url.pathname) || files.includes(url.pathname)) {
    event.respondWith(
      caches
        .open(CACHE)
        .then((cache) => cache.match(url.pathname))
        .then((kept) => kept ?? fetch(request)),
    );
  }
});
