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
  readonly version: string;
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
  version,
});
