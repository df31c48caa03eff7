/** Opens the port and says where. */
import { buildApp, listeningOf, type App } from './app.ts';
import { readConfig, type Config } from './config.ts';
import { isLoopback, openOrigins } from './network.ts';

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
  const listening = listeningOf(config, app.fastify);
  return { app, port: listening.port, addresses: openOrigins(listening), alone: isLoopback(config.host) };
};
