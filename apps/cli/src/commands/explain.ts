import { closest, MESSAGES, RETIRED_CODES, type MessageRow } from '@breathline/scenario';
import { parseArgs } from '../args.ts';
import { UsageError, type World } from '../io.ts';

const ROWS: Readonly<Record<string, MessageRow>> = {
  ...MESSAGES,
  // Not the language's own: the file never came to be read.
  'file-unreadable': {
    severity: 'error',
    says: 'The file cannot be read',
    explain:
      'There is no such file, it is a folder, or this user may not open it. Check the name and the folder. The other files named beside it have been checked.',
  },
};

/** `explain [CODE]` */
export function explain(args: readonly string[], world: World): number {
  const { files, switches } = parseArgs('explain', args, { switches: ['--json'] });
  const [code] = files;
  if (code === undefined) {
    if (switches.has('--json')) world.out(JSON.stringify(ROWS, null, 2));
    else
      for (const [each, row] of Object.entries(ROWS))
        world.out(`${each.padEnd(32)} ${row.severity.padEnd(8)} ${row.says}`);
    return 0;
  }
  const row = Object.hasOwn(ROWS, code) ? ROWS[code] : undefined;
  if (row === undefined) {
    const retired = (RETIRED_CODES as readonly string[]).includes(code);
    const near = closest(code, Object.keys(ROWS));
    throw new UsageError(
      'unknown-code',
      retired ? `“${code}” is no longer used` : `there is no error or warning called “${code}”`,
      near ? `Did you mean ${near}?` : '“breathline explain” lists them all.',
    );
  }
  if (switches.has('--json')) world.out(JSON.stringify({ code, ...row }, null, 2));
  else world.out(`${code} (${row.severity})\n\n  ${row.says}\n\n${row.explain}`);
  return 0;
}
