/** Puts the server together without opening a port, so that tests can ask it things directly. */
import cookie from '@fastify/cookie';
import websocket from '@fastify/websocket';
import { isIP } from 'node:net';
import type { RequestListener, Server } from 'node:http';
import Fastify, { type FastifyInstance } from 'fastify';
import { createOnePort } from './certificate/one-port.ts';
import { authorityOf, ownNames, renewOwnCertificate } from './certificate/own.ts';
import { plainAnswers } from './certificate/plain.ts';
import { readCertificate, type Tls } from './certificate/read.ts';
import type { Config } from './config.ts';
import type { Listening } from './network.ts';
import { installErrors, sendRouterProblem } from './routes/http.ts';
import { installGuards } from './routes/guards.ts';
import { libraryRoutes } from './routes/library.ts';
import { outputRoutes } from './routes/outputs.ts';
import { rehearsalRoutes } from './routes/rehearsals.ts';
import { programmeRoutes } from './routes/programme.ts';
import { packRoutes } from './routes/packs.ts';
import { pictureRoutes } from './routes/pictures.ts';
import { runRoutes } from './routes/runs.ts';
import { sessionRoutes } from './routes/session.ts';
import { siteRoutes } from './routes/site.ts';
import { MAX_PAYLOAD_BYTES, socketRoutes } from './routes/socket.ts';
import { installWeb, pagePolicy } from './routes/web.ts';
import { BackupService } from './services/backup-service.ts';
import { AuthService } from './services/auth-service.ts';
import { ExhibitService } from './services/exhibit-service.ts';
import { LibraryService } from './services/library-service.ts';
import { NetworkService } from './services/network-service.ts';
import { OutputService } from './services/output-service.ts';
import { PackService } from './services/pack-service.ts';
import { PhotoService } from './services/photo-service.ts';
import { PrivacyService } from './services/privacy-service.ts';
import { ProblemService } from './services/problem-service.ts';
import { ProgrammeService } from './services/programme-service.ts';
import { ReadyService } from './services/ready-service.ts';
import { RehearsalService } from './services/rehearsal-service.ts';
import { RunRegistry, monotonicMs } from './services/run-registry.ts';
import { RunService } from './services/run-service.ts';
import { SiteService } from './services/site-service.ts';
import { Database } from './store/database.ts';
import { EventStore } from './store/event-store.ts';
import { PersonStore } from './store/person-store.ts';
import { PhotoStore } from './store/photo-store.ts';
import { ProblemStore } from './store/problem-store.ts';
import { ProgrammeStore } from './store/programme-store.ts';
import { RunStore } from './store/run-store.ts';
import { SessionStore } from './store/session-store.ts';
import { StoreCopies } from './store/store-copies.ts';

/** What routes may use. */
export interface Services {
  readonly auth: AuthService;
  readonly library: LibraryService;
  readonly packs: PackService;
  readonly rehearsals: RehearsalService;
  readonly runs: RunService;
  readonly outputs: OutputService;
  readonly registry: RunRegistry;
  readonly photos: PhotoService;
  readonly exhibits: ExhibitService;
  readonly site: SiteService;
  readonly ready: ReadyService;
  readonly backup: BackupService;
  readonly network: NetworkService;
  readonly programme: ProgrammeService;
  readonly problems: ProblemService;
  readonly privacy: PrivacyService;
  readonly version: string;
}

export interface App {
  readonly fastify: FastifyInstance;
  readonly services: Services;
  readonly database: Database;
  /** Where it listens, once it does. */
  listening(): Listening;
  /** Every address the server answers at, for a test that none is left unguarded. */
  readonly routes: readonly { readonly method: string; readonly url: string }[];
  /** The passphrase, if one was made just now: to be shown once. */
  readonly newPassphrase: string | null;
  /** Saves every clock, says goodbye to every screen, closes the database. */
  close(): Promise<void>;
}

/** Where the server listens: port 0 is known only once it does. */
const listeningOf = (config: Config, fastify: FastifyInstance, tls: Tls | null): Listening => {
  const bound = fastify.server.address();
  const port = typeof bound === 'object' && bound !== null ? bound.port : config.port;
  // Of its own certificate's names, devices can look up those that somebody told us; of another's, they are meant to.
  const names = (tls?.names ?? []).filter(
    (name) => config.certificate?.own !== true || isIP(name) !== 0 || config.extraHosts.includes(name),
  );
  return { host: config.host, port, secure: tls !== null, names };
};

/** The certificate to serve with, made anew where it is the site's own and no longer fits. */
const certificateOf = async ({ certificate = null, dataFolder, host, extraHosts }: Config): Promise<Tls | null> => {
  if (certificate === null) return null;
  if (certificate.own) {
    const left = await renewOwnCertificate(dataFolder, ownNames(host, extraHosts));
    if (left.length > 0) {
      console.log(`The site’s authority may not vouch for ${left.join(', ')}. Make a new one: npm run certificate`);
    }
  }
  return readCertificate(certificate);
};

/** Throws `DatabaseError` when the data folder can not be used, `ConfigError` when the certificate can not. */
export const buildApp = async (config: Config, options: { readonly renewPassphrase?: boolean } = {}): Promise<App> => {
  const tls = await certificateOf(config);
  const database = await Database.open(config.dataFolder, config.migrationsFolder);
  const events = new EventStore(database);
  const runStore = new RunStore(database);
  const sessions = new SessionStore(database);
  const auth = new AuthService(sessions);
  const library = new LibraryService(config.scenariosFolder);
  const site = new SiteService(sessions);
  await site.load();
  const exhibits = new ExhibitService(config.scenariosFolder);
  const photoStore = new PhotoStore(database, config.dataFolder);
  const registry = new RunRegistry(runStore, events, photoStore, {
    nowMs: monotonicMs,
    soundCapPercent: () => site.now.soundCapPercent,
    inSitu: () => site.now.inSitu,
    pictureAddress: (file) => exhibits.address(file),
  });
  const runs = new RunService({
    runs: runStore,
    registry,
    library,
    auth,
    site,
    finished: (runId) => {
      programme.touch(runId);
      backup.runEnded();
      void problems.followId(runId).catch(() => undefined);
    },
  });
  const problemStore = new ProblemStore(database);
  const people = new PersonStore(database);
  const programme = new ProgrammeService({ store: new ProgrammeStore(database), people, runs, registry });
  const problems = new ProblemService({ store: problemStore, people, registry });
  const backup = new BackupService({
    copies: new StoreCopies(config.dataFolder, config.backupFolder),
    settings: sessions,
    registry,
  });
  const privacy = new PrivacyService({
    erased: () => backup.erased(),
    people,
    photos: photoStore,
    problems: problemStore,
    runs: runStore,
    settings: sessions,
    registry,
    programme,
  });
  const photos = new PhotoService(photoStore, registry);
  const ready = new ReadyService(registry, config.dataFolder, config.version, backup);
  const listening = () => listeningOf(config, fastify, tls);
  const network = new NetworkService(listening, tls !== null && config.certificate?.own === true);
  const outputs = new OutputService(runs, config.recordStore ?? null);
  const rehearsals = new RehearsalService({ library, worker: config.rehearsalWorker });
  const services: Services = {
    auth,
    library,
    packs: new PackService(library, config.scenariosFolder),
    rehearsals,
    runs,
    outputs,
    registry,
    photos,
    exhibits,
    site,
    ready,
    backup,
    network,
    programme,
    problems,
    privacy,
    version: config.version,
  };

  const newPassphrase = await auth.ensurePassphrase(config.passphrase, options.renewPassphrase);
  await registry.recover();
  registry.start();
  problems.start();
  await programme.start();
  privacy.start();
  backup.start();

  const fastify = Fastify({
    bodyLimit: 128 * 1024,
    logger: false,
    routerOptions: { maxParamLength: 200 },
    frameworkErrors: (error, _request, reply) => sendRouterProblem(error, reply),
    ...(tls === null
      ? {}
      : {
          serverFactory: (handler: RequestListener) =>
            createOnePort(tls, handler, plainAnswers(authorityOf(config), config.extraHosts)) as unknown as Server,
        }),
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
    packRoutes(scope, services);
    rehearsalRoutes(scope, services);
    runRoutes(scope, services);
    outputRoutes(scope, services);
    programmeRoutes(scope, services);
    pictureRoutes(scope, services);
    siteRoutes(scope, services);
    socketRoutes(scope, services);
  });
  installWeb(fastify, config.webFolder);

  return {
    fastify,
    services,
    database,
    listening,
    routes,
    newPassphrase,
    close: async () => {
      privacy.stop();
      await rehearsals.stop();
      await backup.stop();
      await problems.settle();
      await programme.stop();
      await registry.stop();
      await fastify.close();
      await database.close();
    },
  };
};
