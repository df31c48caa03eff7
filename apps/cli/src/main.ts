/** The command line: the same powers as the screens, without one. Exit 0 fine, 1 something did not hold, 2 wrong call. */
import { closest } from '@breathline/scenario';
import { EngineError } from '@breathline/engine';
import { DebriefError } from '@breathline/debrief';
import { check } from './commands/check.ts';
import { debrief } from './commands/debrief.ts';
import { explain } from './commands/explain.ts';
import { out } from './commands/out.ts';
import { pack } from './commands/pack.ts';
import { rehearse } from './commands/rehearse.ts';
import { replay } from './commands/replay.ts';
import { serve } from './commands/serve.ts';
import { whatif } from './commands/whatif.ts';
import { HELP, HELP_FOR, VERSION } from './help.ts';
import { UsageError, type World } from './io.ts';

type Command = (args: readonly string[], world: World) => number | Promise<number>;

const COMMANDS: ReadonlyMap<string, Command> = new Map<string, Command>([
  ['check', check],
  ['rehearse', rehearse],
  ['debrief', debrief],
  ['whatif', whatif],
  ['replay', replay],
  ['out', out],
  ['pack', pack],
  ['serve', serve],
  ['explain', explain],
]);

/** Runs one command and returns the exit code. Never throws for anything a user can do. */
export async function main(args: readonly string[], options: { readonly root: string }): Promise<number> {
  let printed = '';
  const world: World = {
    root: options.root,
    out: (text) => {
      printed += `${text}\n`;
    },
    err: (text) => void process.stderr.write(`${text}\n`),
  };
  const code = await run(args, world);
  await new Promise<void>((resolve) => {
    const done = (): void => {
      process.stdout.off('error', done);
      resolve();
    };
    process.stdout.once('error', done);
    process.stdout.write(printed, done);
  });
  return code;
}

async function run(args: readonly string[], world: World): Promise<number> {
  const [name, ...rest] = args;
  try {
    if (name === undefined || name === '--help' || name === '-h' || name === 'help') return help(rest[0], world);
    if (name === '--version') {
      world.out(VERSION);
      return 0;
    }
    const command = COMMANDS.get(name);
    if (command === undefined) {
      const near = closest(name, [...COMMANDS.keys()]);
      throw new UsageError(
        'unknown-command',
        `there is no command “${name}”`,
        near ? `Did you mean ${near}?` : 'See “breathline --help”.',
      );
    }
    if (rest.includes('--help') || rest.includes('-h')) return help(name, world);
    return await command(rest, world);
  } catch (error) {
    return report(error, args, world);
  }
}

function help(name: string | undefined, world: World): number {
  const text = name === undefined ? HELP : HELP_FOR[name];
  if (text === undefined)
    throw new UsageError('unknown-command', `there is no command “${name}”`, 'See “breathline --help”.');
  world.out(text);
  return 0;
}

function report(error: unknown, args: readonly string[], world: World): number {
  const known = error instanceof UsageError || error instanceof EngineError || error instanceof DebriefError;
  const message = error instanceof Error ? error.message : String(error);
  const code = known ? error.code : 'internal';
  const hint = known ? error.hint : 'This is a fault of the program. Please report it with the command you gave.';
  if (args.includes('--json')) world.out(JSON.stringify({ error: { code, message, ...(hint ? { hint } : {}) } }));
  world.err(`breathline: ${message}${hint ? `\n  ${hint}` : ''}`);
  return 2;
}
