/** Puts the server together without opening a port, so that tests can ask it things directly. */
import cookie from '@fastify/cookie';
import websocket from '@fastify/websocket';
import Fastify, { type FastifyInstance } from 'fastify';
import type { Config } from './config.ts';
import { installErrors, sendRouterProblem } from './routes/http.ts';
import { installGuards } from './routes/guards.ts';
import { libraryRoutes } from './routes/library.ts';
import { runRoutes } from './routes/runs.ts';
import { sessionRoutes } from './routes/session.ts';
import { MAX_PAYLOAD_BYTES, socketRoutes } from './routes/socket.ts';
import { installWeb, pagePolicy } from './routes/web.ts';
import { AuthService } from './services/auth-service.ts';
import { LibraryService } from './services/library-service.ts';
import { RunRegistry } from './services/run-registry.ts';
import { RunService } from './services/run-service.ts';
import { Database } from './store/database.ts';
import { EventStore } from './store/event-store.ts';
import { RunStore } from './store/run-store.ts';
import { SessionStore } from './store/session-store.ts';

/** What routes may use. */
export interface Services {
  readonly auth: AuthService;
  readonly library: LibraryService;
  readonly runs: RunService;
  readonly registry: RunRegistry;
  readonly version: string;
}

export interface App {
  readonly fastify: FastifyInstance;
  readonly services: Services;
  readonly database: Database;
  /** Every address the server answers at, for a test that none is left unguarded. */
  readonly routes: readonly { readonly method: string; readonly url: string }[];
  /** The passphrase, if one was made just now: to be shown once. */
  readonly newPassphrase: string | null;
  /** Saves every clock, says goodbye to every screen, closes the database. */
  close(): Promise<void>;
}

/** Throws `DatabaseError` when the data folder can not be used. */
export const buildApp = async (config: Config, options: { readonly renewPassphrase?: boolean } = {}): Promise<App> => {
  const database = await Database.open(config.dataFolder, config.migrationsFolder);
  const events = new EventStore(database);
  const runStore = new RunStore(database);
  const auth = new AuthService(new SessionStore(database));
  const library = new LibraryService(config.scenariosFolder);
  const registry = new RunRegistry(runStore, events);
  const runs = new RunService({ runs: runStore, registry, library, auth });
  const services: Services = { auth, library, runs, registry, version: config.version };

  const newPassphrase = await auth.ensurePassphrase(config.passphrase, options.renewPassphrase);
  await registry.recover();
  registry.start();

  const fastify = Fastify({
    bodyLimit: 128 * 1024,
    logger: false,
    routerOptions: { maxParamLength: 200 },
    frameworkErrors: (error, _request, reply) => sendRouterProblem(error, reply),
  });
  const routes: { method: string; url: string }[] = [];
  fastify.addHook('onRoute', ({ method, url }) => {
    for (const one of [method].flat()) routes.push({ method: one, url });
  });
  installErrors(fastify);
  installGuards(fastify, config.extraHosts, pagePolicy(config.webFolder));
  await fastify.register(cookie);
  await fastify.register(websocket, { options: { maxPayload: MAX_PAYLOAD_BYTES, perMessageDeflate: false } });
  await fastify.register(async (scope) => {
    sessionRoutes(scope, services);
    libraryRoutes(scope, services);
    runRoutes(scope, services);
    socketRoutes(scope, services);
  });
  installWeb(fastify, config.webFolder);

  return {
    fastify,
    services,
    database,
    routes,
    newPassphrase,
    close: async () => {
      await registry.stop();
      await fastify.close();
      await database.close();
    },
  };
};
