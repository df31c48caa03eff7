import { spawn } from 'node:child_process';
import { existsSync } from 'node:fs';
import { join } from 'node:path';
import { parseArgs } from '../args.ts';
import { UsageError, type World } from '../io.ts';

/** `serve`: hands over to the server's own launcher and ends as it ends. */
export async function serve(args: readonly string[], world: World): Promise<number> {
  const { files } = parseArgs('serve', args, {});
  if (files.length > 0) throw new UsageError('no-files-taken', '“serve” takes no files', 'PORT and HOST choose where.');
  const launcher = join(world.root, 'apps', 'server', 'bin', 'start.mjs');
  if (!existsSync(launcher)) {
    throw new UsageError('server-missing', 'the server is not in this copy of the project', 'Use a full copy.');
  }
  const server = spawn(process.execPath, [launcher], { cwd: world.root, stdio: 'inherit' });
  const pass = (signal: NodeJS.Signals): void => void server.kill(signal);
  process.on('SIGINT', pass);
  process.on('SIGTERM', pass);
  return new Promise((resolve) => {
    server.once('error', () => resolve(2));
    server.once('exit', (code) => resolve(code ?? 0));
  });
}
