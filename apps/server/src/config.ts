/** What the server is told by its surroundings. Read once, at the door; nothing else looks at the environment. */
import { existsSync } from 'node:fs';
import path from 'node:path';

export interface Config {
  readonly host: string;
  readonly port: number;
  /** Folder of the database. */
  readonly dataFolder: string;
  /** Folder of copies of the store. */
  readonly backupFolder: string;
  /** Folder of scenarios, formulary and guideline packs. */
  readonly scenariosFolder: string;
  /** Built web client; absent in tests of the API alone. */
  readonly webFolder: string;
  readonly migrationsFolder: string;
  /** The bundle that rehearses scenarios in a thread of its own. */
  readonly rehearsalWorker: string;
  /** Extra host names the server answers to (behind a proxy, or with a DNS name of its own). */
  readonly extraHosts: readonly string[];
  /** Sets the faculty passphrase instead of making one up. */
  readonly passphrase: string | null;
  /** Where statements about runs may be sent; nothing is ever sent elsewhere. */
  readonly recordStore?: RecordStoreConfig | null;
  /** Served over https with it; over plain http without. */
  readonly certificate?: CertificateConfig | null;
  readonly version: string;
}

/** A certificate with its key, PEM files. */
export interface CertificateConfig {
  readonly certFile: string;
  readonly keyFile: string;
  /** Made by `npm run certificate`; otherwise the site has it from elsewhere. */
  readonly own: boolean;
}

/** A learning record store (xAPI 1.0.3), and who we are there. */
export interface RecordStoreConfig {
  /** Ends in "/statements". */
  readonly url: string;
  readonly user: string | null;
  readonly password: string;
}

/** A setting that can not work, in words for the person who set it. */
export class ConfigError extends Error {}

/** The repository's root, from `apps/server/src` and from the built `apps/server/dist` alike. */
export const ROOT = path.resolve(import.meta.dirname, '../../..');

const readPort = (text: string | undefined): number => {
  if (text === undefined || text === '') return 4600;
  const port = Number(text);
  if (!Number.isInteger(port) || port < 0 || port > 65_535) {
    throw new ConfigError(`PORT is "${text}": expected a whole number from 0 to 65535, such as 4600.`);
  }
  return port;
};

/** The store statements may go to: https, or a machine's own loopback. */
const readRecordStore = (env: NodeJS.ProcessEnv): RecordStoreConfig | null => {
  const text = env['BREATHLINE_STORE'];
  if (!text) return null;
  const url = URL.canParse(text) ? new URL(text) : null;
  if (url === null || (url.protocol !== 'https:' && url.hostname !== '127.0.0.1' && url.hostname !== 'localhost')) {
    throw new ConfigError(
      `BREATHLINE_STORE is "${text}": expected an https address, such as https://store.example.org/xapi.`,
    );
  }
  if (!url.pathname.endsWith('/statements')) url.pathname = `${url.pathname.replace(/\/$/, '')}/statements`;
  const user = env['BREATHLINE_STORE_USER'] || null;
  return { url: url.href, user, password: env['BREATHLINE_STORE_PASSWORD'] ?? '' };
};

/** The certificate the site names; else its own, once it has been made. */
const readCertificatePaths = (env: NodeJS.ProcessEnv, dataFolder: string): CertificateConfig | null => {
  const cert = env['BREATHLINE_CERT'] || null;
  const key = env['BREATHLINE_KEY'] || null;
  if ((cert === null) !== (key === null)) {
    const [given, missing] =
      cert === null ? ['BREATHLINE_KEY', 'BREATHLINE_CERT'] : ['BREATHLINE_CERT', 'BREATHLINE_KEY'];
    throw new ConfigError(
      `${given} is set and ${missing} is not: expected both, each the path of a PEM file, or neither.`,
    );
  }
  if (cert !== null && key !== null) {
    return { certFile: path.resolve(ROOT, cert), keyFile: path.resolve(ROOT, key), own: false };
  }
  const own = ownFiles(dataFolder);
  return existsSync(own.authority) ? { certFile: own.cert, keyFile: own.key, own: true } : null;
};

/** Where the parts of the site's own certificate lie. */
export const ownFiles = (dataFolder: string) => {
  const at = (name: string) => path.join(dataFolder, 'certificate', name);
  return {
    folder: at(''),
    authority: at('authority.pem'),
    authorityKey: at('authority-key.pem'),
    scope: at('authority-scope.json'),
    cert: at('server.pem'),
    key: at('server-key.pem'),
  };
};

const dataFolderOf = (env: NodeJS.ProcessEnv): string => path.resolve(ROOT, env['BREATHLINE_DATA'] || '.data');

/** Reads the environment. `version` comes from the build. Throws `ConfigError`. */
export const readConfig = (env: NodeJS.ProcessEnv, version: string): Config => ({
  host: env['HOST'] || '127.0.0.1',
  port: readPort(env['PORT']),
  dataFolder: dataFolderOf(env),
  backupFolder: path.resolve(ROOT, env['BREATHLINE_BACKUP'] || path.join(dataFolderOf(env), 'copies')),
  scenariosFolder: path.resolve(ROOT, env['BREATHLINE_SCENARIOS'] || 'scenarios'),
  webFolder: path.join(ROOT, 'apps/web/build'),
  migrationsFolder: path.join(ROOT, 'prisma/migrations'),
  rehearsalWorker: path.join(ROOT, 'apps/server/dist/rehearsal-worker.mjs'),
  extraHosts: (env['BREATHLINE_HOSTS'] ?? '')
    .split(',')
    .map((host) => host.trim().toLowerCase())
    .filter(Boolean),
  passphrase: env['BREATHLINE_PASSPHRASE'] || null,
  recordStore: readRecordStore(env),
  certificate: readCertificatePaths(env, dataFolderOf(env)),
  version,
});
