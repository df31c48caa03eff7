/** Opens the port and says where. */
import { buildApp, type App } from './app.ts';
import { makeOwnCertificate, ownNames, type OwnCertificate } from './certificate/own.ts';
import { ConfigError, ownFiles, readConfig, type Config } from './config.ts';
import { isLoopback, lanAddresses, openOrigins, originOf } from './network.ts';

export { ConfigError, readConfig } from './config.ts';
export { DatabaseError, databaseFile, missingMigrations } from './store/database.ts';

declare const __BREATHLINE_VERSION__: string | undefined;
const version = typeof __BREATHLINE_VERSION__ === 'string' ? __BREATHLINE_VERSION__ : '0.0.0-dev';

export interface Served {
  readonly app: App;
  readonly port: number;
  /** What to open, best first. */
  readonly addresses: readonly string[];
  /** No other device can open it. */
  readonly alone: boolean;
  /** Devices have to trust the site's own authority first. */
  readonly ownCertificate: boolean;
}

/** Builds the server from the environment and listens. Throws `ConfigError`, `DatabaseError`, or the port's own error. */
export const serve = async (
  env: NodeJS.ProcessEnv,
  options: { readonly renewPassphrase?: boolean } = {},
): Promise<Served> => {
  const config: Config = readConfig(env, version);
  const app = await buildApp(config, options);
  try {
    await app.fastify.listen({ host: config.host, port: config.port });
  } catch (error) {
    await app.close();
    throw error;
  }
  const listening = app.listening();
  return {
    app,
    port: listening.port,
    addresses: openOrigins(listening),
    alone: isLoopback(config.host),
    ownCertificate: config.certificate?.own === true,
  };
};

/** What `npm run certificate` tells. */
export interface CertificateMade extends OwnCertificate {
  readonly folder: string;
  readonly authorityFile: string;
  /** Plain addresses a device fetches the authority from. */
  readonly plain: readonly string[];
}

/** Makes the site's own certificate for this machine. Throws `ConfigError`. */
export const certificateFor = async (
  env: NodeJS.ProcessEnv,
  options: { readonly newAuthority?: boolean } = {},
): Promise<CertificateMade> => {
  if (env['BREATHLINE_CERT'] || env['BREATHLINE_KEY']) {
    throw new ConfigError(
      'BREATHLINE_CERT and BREATHLINE_KEY are set: the server uses those. Take both away for a certificate of its own.',
    );
  }
  const { dataFolder, host, port, extraHosts } = readConfig(env, version);
  const made = await makeOwnCertificate(dataFolder, ownNames(host, extraHosts), options);
  const { folder, authority } = ownFiles(dataFolder);
  return {
    ...made,
    folder,
    authorityFile: authority,
    plain: lanAddresses().map((name) => originOf(name, port, false)),
  };
};
