/** What the server is told by its surroundings. Read once, at the door; nothing else looks at the environment. */
import path from 'node:path';

export interface Config {
  readonly host: string;
  readonly port: number;
  /** Folder of the database. */
  readonly dataFolder: string;
  /** Folder of scenarios, formulary and guideline packs. */
  readonly scenariosFolder: string;
  /** Built web client; absent in tests of the API alone. */
  readonly webFolder: string;
  readonly migrationsFolder: string;
  /** Extra host names the server answers to (behind a proxy, or with a DNS name of its own). */
  readonly extraHosts: readonly string[];
  /** Sets the faculty passphrase instead of making one up. */
  readonly passphrase: string | null;
  /** Where statements about runs may be sent; nothing is ever sent elsewhere. */
  readonly recordStore?: RecordStoreConfig | null;
  readonly version: string;
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

/** Reads the environment. `version` comes from the build. Throws `ConfigError`. */
export const readConfig = (env: NodeJS.ProcessEnv, version: string): Config => ({
  host: env['HOST'] || '127.0.0.1',
  port: readPort(env['PORT']),
  dataFolder: path.resolve(ROOT, env['BREATHLINE_DATA'] || '.data'),
  scenariosFolder: path.resolve(ROOT, env['BREATHLINE_SCENARIOS'] || 'scenarios'),
  webFolder: path.join(ROOT, 'apps/web/build'),
  migrationsFolder: path.join(ROOT, 'prisma/migrations'),
  extraHosts: (env['BREATHLINE_HOSTS'] ?? '')
    .split(',')
    .map((host) => host.trim().toLowerCase())
    .filter(Boolean),
  passphrase: env['BREATHLINE_PASSPHRASE'] || null,
  recordStore: readRecordStore(env),
  version,
});
