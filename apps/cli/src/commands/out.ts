import {
  eventsCsv,
  fhirBundle,
  scoreRun,
  scorecardCsv,
  runTrackCsv,
  teamPseudonym,
  xapiStatements,
  type XapiStatement,
} from '@breathline/debrief';
import { checkExport, type RunExport } from '@breathline/engine';
import { oneFile, parseArgs } from '../args.ts';
import { UsageError, readText, writeText, type World } from '../io.ts';

const KINDS = ['events', 'scorecard', 'track', 'statements', 'observations'] as const;
type Kind = (typeof KINDS)[number];

const NO_HOME_PAGE = 'https://simulation.invalid';
const SEND_WITHIN_MS = 20_000;

/** `out RUN.json --as KIND` */
export async function out(args: readonly string[], world: World): Promise<number> {
  const { files, values, switches } = parseArgs('out', args, {
    values: ['--as', '--to', '--pack', '--send', '--home-page', '--team', '--course'],
    switches: ['--json', '--test-data', '--with-free-text'],
  });
  const run = checkExport(readText(oneFile('out', files, 'RUN.json')));
  const kind = values.get('--as');
  if (kind === undefined || !(KINDS as readonly string[]).includes(kind)) {
    const found = kind === undefined ? '“out” needs to know what to write' : `“out” can not write “${kind}”`;
    throw new UsageError('what-to-write', found, `Say --as ${KINDS.join(', --as ')}.`);
  }
  const packId = values.get('--pack');
  const card = () => scoreRun(run, packId === undefined ? {} : { packId });
  const statements = () =>
    xapiStatements(run, card(), {
      homePage: values.get('--home-page') ?? NO_HOME_PAGE,
      pseudonym: values.get('--team') ?? teamPseudonym(run.runId),
      ...(values.has('--course') ? { course: values.get('--course')! } : {}),
    });
  const send = values.get('--send');
  if (send !== undefined) {
    if (kind !== 'statements') throw new UsageError('only-statements', '--send goes with --as statements only');
    const stored = await sendStatements(send, statements());
    world.out(switches.has('--json') ? JSON.stringify({ sent: stored }) : `${stored} statements are in the store.`);
    return 0;
  }
  const text = write(kind as Kind, run, {
    card,
    statements,
    testData: switches.has('--test-data'),
    freeText: switches.has('--with-free-text'),
  });
  const to = values.get('--to');
  if (to === undefined) world.out(text.trimEnd());
  else writeText(to, text);
  return 0;
}

function write(
  kind: Kind,
  run: RunExport,
  how: {
    readonly card: () => ReturnType<typeof scoreRun>;
    readonly statements: () => readonly XapiStatement[];
    readonly testData: boolean;
    readonly freeText: boolean;
  },
): string {
  switch (kind) {
    case 'events':
      return eventsCsv(run, { withFreeText: how.freeText });
    case 'scorecard':
      return scorecardCsv(how.card());
    case 'track':
      return runTrackCsv(run);
    case 'statements':
      return `${JSON.stringify(how.statements(), null, 2)}\n`;
    case 'observations': {
      if (!how.testData) {
        throw new UsageError(
          'test-data',
          'observations of a simulated patient are not written by default',
          'Add --test-data. Every resource is labelled as test data; never send it to a real record.',
        );
      }
      const startedAt = run.events.find((event) => event.kind === 'run-started')?.wallTime ?? run.createdAt;
      return `${JSON.stringify(fhirBundle(run, { startedAt }), null, 2)}\n`;
    }
  }
}

/**
 * Puts statements into a learning record store (xAPI 1.0.3: POST statements with the version header). Ids are stable, so
 * sending again stores nothing twice: a store answers 409 for those it has, which is told as what it is.
 */
async function sendStatements(address: string, statements: readonly XapiStatement[]): Promise<number> {
  let url: URL;
  try {
    url = new URL(address.endsWith('/statements') ? address : `${address.replace(/\/$/, '')}/statements`);
  } catch {
    throw new UsageError('bad-address', `“${address}” is not an address`, 'Write https://store.example.org/xapi');
  }
  if (url.protocol !== 'https:' && url.hostname !== '127.0.0.1' && url.hostname !== 'localhost') {
    throw new UsageError(
      'not-secret',
      'statements are sent over https only',
      'Use an https address, or one on this machine.',
    );
  }
  const user = process.env['BREATHLINE_STORE_USER'];
  const password = process.env['BREATHLINE_STORE_PASSWORD'];
  const authorization: Record<string, string> =
    user === undefined ? {} : { authorization: `Basic ${Buffer.from(`${user}:${password ?? ''}`).toString('base64')}` };
  let answer: Response;
  try {
    answer = await fetch(url, {
      method: 'POST',
      headers: { 'content-type': 'application/json', 'x-experience-api-version': '1.0.3', ...authorization },
      body: JSON.stringify(statements),
      redirect: 'error',
      signal: AbortSignal.timeout(SEND_WITHIN_MS),
    });
  } catch (error) {
    const why = error instanceof Error ? error.message : String(error);
    throw new UsageError(
      'store-out-of-reach',
      `the store did not answer (${why})`,
      'Nothing was sent. Try again; sending twice is harmless.',
    );
  }
  if (answer.status === 409) {
    throw new UsageError('already-there', 'the store has statements of this run already', 'Nothing was added.');
  }
  if (!answer.ok) {
    throw new UsageError(
      'store-refused',
      `the store answered ${answer.status} ${answer.statusText}`,
      'Check the address, BREATHLINE_STORE_USER and BREATHLINE_STORE_PASSWORD.',
    );
  }
  return statements.length;
}
