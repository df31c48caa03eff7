/** The app in this process, without a port, on a data folder of its own. */
import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import path from 'node:path';
import { buildApp, type App } from '../src/app.ts';
import { ROOT, readConfig } from '../src/config.ts';
import { putEmptyDatabase } from '../../../tests/empty-database.ts';

export const makeDataFolder = (): string => {
  const folder = mkdtempSync(path.join(tmpdir(), 'breathline-app-'));
  putEmptyDatabase(folder);
  return folder;
};

export const configFor = (dataFolder: string, env: Record<string, string> = {}) =>
  readConfig(
    {
      BREATHLINE_DATA: dataFolder,
      BREATHLINE_SCENARIOS: path.join(ROOT, 'tests/faults/scenarios'),
      BREATHLINE_PASSPHRASE: 'quiet orange kettle',
      ...env,
    },
    '0.0.0-test',
  );

export const makeApp = async (
  env: Record<string, string> = {},
): Promise<App & { readonly dataFolder: string; dispose(): Promise<void> }> => {
  const dataFolder = makeDataFolder();
  const app = await buildApp(configFor(dataFolder, env));
  return {
    ...app,
    dataFolder,
    dispose: async () => {
      await app.close();
      rmSync(dataFolder, { recursive: true, force: true });
    },
  };
};

export const OWN_HOST = { host: '127.0.0.1:4600' };

/** A way to ask the app things as signed-in faculty; other headers in place of the cookie ask as somebody else. */
export const signIn = async (app: App) => {
  const answer = await app.fastify.inject({
    method: 'POST',
    url: '/api/login',
    headers: OWN_HOST,
    payload: { passphrase: 'quiet orange kettle' },
  });
  const cookie = { cookie: String(answer.headers['set-cookie']).split(';')[0] ?? '' };
  const call = async (
    method: 'GET' | 'POST' | 'PUT' | 'PATCH' | 'DELETE',
    url: string,
    payload?: object,
    headers: Record<string, string> = cookie,
  ): Promise<{ readonly status: number; readonly body: Record<string, unknown> | null }> => {
    const { statusCode, body } = await app.fastify.inject({
      method,
      url,
      headers: { ...OWN_HOST, ...headers },
      ...(payload ? { payload } : {}),
    });
    return { status: statusCode, body: body ? (JSON.parse(body) as Record<string, unknown>) : null };
  };
  return Object.assign(call, { cookie });
};
