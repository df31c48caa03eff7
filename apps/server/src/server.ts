/** Opens the port and says where. */
import { networkInterfaces } from 'node:os';
import { buildApp, type App } from './app.ts';
import { readConfig, type Config } from './config.ts';

export { ConfigError, readConfig } from './config.ts';
export { DatabaseError, databaseFile, missingMigrations } from './store/database.ts';

declare const __BREATHLINE_VERSION__: string | undefined;
const version = typeof __BREATHLINE_VERSION__ === 'string' ? __BREATHLINE_VERSION__ : '0.0.0-dev';

/** Addresses a person on this machine, or on its network, can open. */
const addresses = (host: string, port: number): string[] => {
  const at = (name: string) => `http://${name.includes(':') ? `[${name}]` : name}:${port}`;
  if (host !== '0.0.0.0' && host !== '::') return [at(host)];
  const lan = Object.values(networkInterfaces())
    .flatMap((all) => all ?? [])
    .filter(({ family, internal }) => family === 'IPv4' && !internal)
    .map(({ address }) => at(address));
  return [at('127.0.0.1'), ...lan];
};

export interface Served {
  readonly app: App;
  readonly port: number;
  readonly addresses: readonly string[];
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
  const bound = app.fastify.server.address();
  const port = typeof bound === 'object' && bound !== null ? bound.port : config.port;
  return { app, port, addresses: addresses(config.host, port) };
};
