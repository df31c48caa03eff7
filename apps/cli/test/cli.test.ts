/** The command line as a user meets it: the real launcher in a process of its own. */
import { spawn, spawnSync } from 'node:child_process';
import { createServer } from 'node:http';
import type { AddressInfo } from 'node:net';
import { cpSync, mkdirSync, mkdtempSync, readFileSync, rmSync, symlinkSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath, pathToFileURL } from 'node:url';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { checkExport, type RunExport } from '@breathline/engine';

const ROOT = fileURLToPath(new URL('../../..', import.meta.url));
const LAUNCHER = join(ROOT, 'apps', 'cli', 'bin', 'breathline.mjs');
const folder = mkdtempSync(join(tmpdir(), 'breathline-cli-'));
const at = (name: string): string => join(folder, name);
/** A copy, so that somebody editing a scenario meanwhile changes nothing here. */
const LIBRARY = at('pinned');
const CHILD = at('pinned/cashew-cookery-club.yaml');

interface Answer {
  readonly code: number | null;
  readonly out: string;
  readonly err: string;
}

/** The command as a person starts it: a program of its own. */
function started(
  args: readonly string[],
  options: { cwd?: string; launcher?: string; env?: NodeJS.ProcessEnv } = {},
): Answer {
  const env = { ...process.env, ...options.env };
  if (options.env === undefined) delete env['npm_lifecycle_event'];
  const { status, stdout, stderr } = spawnSync(process.execPath, [options.launcher ?? LAUNCHER, ...args], {
    cwd: options.cwd ?? folder,
    env,
    encoding: 'utf8',
    maxBuffer: 64 * 1024 * 1024,
  });
  return { code: status, out: stdout, err: stderr };
}

/** What the launcher starts, once it has built it. */
const bundled = async (): Promise<(args: readonly string[], place: { root: string }) => Promise<number>> =>
  ((await import(/* @vite-ignore */ pathToFileURL(join(ROOT, 'apps/cli/dist/breathline.mjs')).href)) as never)['main'];

/** The same command without a program of its own, which costs half a second each time. */
async function breathline(args: readonly string[]): Promise<Answer> {
  const main = await bundled();
  const said = { out: '', err: '' };
  const streams = ['stdout', 'stderr'] as const;
  const writes = streams.map((name) => process[name].write);
  process.chdir(folder);
  process.stdout.write = ((text: string, done?: () => void) => {
    said.out += text;
    done?.();
    return true;
  }) as typeof process.stdout.write;
  process.stderr.write = ((text: string) => {
    said.err += text;
    return true;
  }) as typeof process.stderr.write;
  try {
    return { code: await main(args, { root: ROOT }), ...said };
  } finally {
    streams.forEach((name, at) => (process[name].write = writes[at]!));
    process.chdir(ROOT);
  }
}

const json = <T>(answer: Answer): T => JSON.parse(answer.out) as T;

let rehearsals: string[] = [];

beforeAll(async () => {
  // Builds what the calls after it share.
  expect(started(['--version']).code).toBe(0);
  cpSync(join(ROOT, 'scenarios'), LIBRARY, { recursive: true });
  const text = readFileSync(CHILD, 'utf8');
  writeFileSync(at('good.yaml'), text);
  // One name spelt wrong in one place.
  const [, start] = /^start: (\S+)$/m.exec(text) ?? [];
  expect(start).toBeDefined();
  writeFileSync(at('bad.yaml'), text.replace(`start: ${start}`, `start: ${start}x`));
  writeFileSync(at('notes.txt'), 'not: [closed');
  const listed = json<{ rehearsals: { name: string }[] }>(
    await breathline(['rehearse', CHILD, '--library', LIBRARY, '--json']),
  );
  rehearsals = listed.rehearsals.map((each) => each.name);
  await breathline([
    'rehearse',
    CHILD,
    '--library',
    LIBRARY,
    '--only',
    rehearsals[0]!,
    '--run',
    at('run.json'),
    '--csv',
    at('run.csv'),
  ]);
});

afterAll(() => rmSync(folder, { recursive: true, force: true }));

describe('calling it', () => {
  it('helps, in plain words, and says it is for training only', async () => {
    for (const args of [[], ['--help'], ['help']]) {
      const { code, out } = await breathline(args);
      expect(code).toBe(0);
      expect(out).toContain('SIMULATION – NOT FOR CLINICAL USE');
      for (const command of ['check', 'rehearse', 'debrief', 'whatif', 'replay', 'serve', 'explain']) {
        expect(out).toContain(`breathline ${command}`);
      }
    }
    expect((await breathline(['whatif', '--help'])).out).toContain('--move SEQ=');
    expect((await breathline(['--version'])).out).toMatch(/^breathline \d+\.\d+\.\d+\n$/);
  });

  const WRONG: [string[], string][] = [
    [['chekc'], 'Did you mean check?'],
    [['check', 'good.yaml', '--jsno'], 'Did you mean --json?'],
    [['check'], 'needs at least one file'],
    [['check', 'missing.yaml'], 'there is no such file'],
    [['rehearse', 'good.yaml', '--only'], '--only needs a value'],
    [['rehearse', 'good.yaml', '--only', 'nobody wrote this'], 'there is no rehearsal called'],
    [['rehearse', 'good.yaml', '--run', 'x.json'], '--run writes one rehearsal'],
    [['rehearse', 'good.yaml', '--pack', 'nowhere'], 'there is no guideline pack'],
    [['rehearse', 'good.yaml', '--csv', 'no/such/folder/x.csv'], 'there is no such folder'],
    [['rehearse', 'bad.yaml'], 'did you mean'],
    [['debrief', 'good.yaml'], 'this is not JSON'],
    [['debrief', 'run.json', '--pack', 'nowhere'], 'no guideline pack'],
    [['whatif', 'run.json', '--drop', '9999'], 'there is no event 9999'],
    [['whatif', 'run.json', '--drop', '1'], 'not the clock'],
    [['whatif', 'run.json', '--move', '6=120'], 'with a unit'],
    [['whatif', 'run.json', '--dose', '6=300'], 'an amount with its unit'],
    [['whatif', 'run.json', '--move', 'six'], 'the number of an act first'],
    [['explain', 'unknown-stat'], 'Did you mean unknown-state?'],
    [['serve', 'something'], 'takes no files'],
  ];
  const refused: Answer[] = [];
  beforeAll(async () => {
    for (const [args] of WRONG) refused.push(await breathline(args));
  });

  it.each(WRONG.map(([args, words], at) => [args, words, at] as const))(
    '%j ends with exit 2 and words',
    (_args, words, at) => {
      const { code, out, err } = refused[at]!;
      expect(err).toContain(words);
      expect(out).toBe('');
      expect(code).toBe(2);
    },
  );

  it('with --json even a mistake is JSON on standard output', async () => {
    const answer = started(['debrief', 'missing.json', '--json']);
    expect(answer.code).toBe(2);
    expect(json<{ error: { code: string } }>(answer).error.code).toBe('file-unreadable');
  });

  it('takes files from where the user stands, through npm too', () => {
    const env = { INIT_CWD: folder, npm_lifecycle_event: 'breathline' };
    expect(started(['check', 'good.yaml'], { cwd: ROOT, env }).code).toBe(0);
    expect(started(['check', 'scenarios/cashew-cookery-club.yaml'], { cwd: ROOT, env }).code).toBe(0);
  });
});

describe('check', () => {
  it('passes good files, packs and formularies: a whole folder', async () => {
    const { code, out } = await breathline(['check', join(ROOT, 'scenarios')]);
    expect(code).toBe(0);
    expect(out).toContain('guidelines');
    expect(out).toContain('formulary');
  });

  it('names file, line and column, and gives exactly the promised JSON', async () => {
    const text = await breathline(['check', 'bad.yaml', 'good.yaml']);
    expect(text.code).toBe(1);
    const line =
      readFileSync(at('bad.yaml'), 'utf8')
        .split('\n')
        .findIndex((each) => each.startsWith('start: ')) + 1;
    expect(text.out).toContain(`bad.yaml:${line}:8 error`);
    const answer = await breathline(['check', 'bad.yaml', 'good.yaml', 'notes.txt', '--json']);
    expect(answer.code).toBe(1);
    const { files, ...rest } = json<{ files: Record<string, unknown>[] }>(answer);
    expect(rest).toEqual({});
    expect(files.map((each) => each['file'])).toEqual(['bad.yaml', 'good.yaml', 'notes.txt']);
    for (const each of files) {
      expect(Object.keys(each)).toEqual(['file', 'errors', 'warnings']);
      for (const found of [...(each['errors'] as object[]), ...(each['warnings'] as object[])]) {
        expect(Object.keys(found)).toEqual(['code', 'message', 'line', 'column']);
      }
    }
    expect(files[0]!['errors']).toMatchObject([{ line, column: 8 }]);
    expect(files[1]!['errors']).toEqual([]);
    expect((files[2]!['errors'] as object[]).length).toBeGreaterThan(0);
  });

  it('checks the rest when one of several can not be read, and says so in its place', async () => {
    const answer = await breathline(['check', 'missing.yaml', 'bad.yaml', 'good.yaml', '--json']);
    expect(answer.code).toBe(1);
    const { files } = json<{ files: { file: string; errors: { code: string }[] }[] }>(answer);
    expect(files.map((each) => each.file)).toEqual(['missing.yaml', 'bad.yaml', 'good.yaml']);
    expect(files.map((each) => each.errors[0]?.code)).toEqual(['file-unreadable', 'no-start', undefined]);
  });

  it('reports a broken library beside the scenario', async () => {
    cpSync(join(ROOT, 'scenarios'), at('library'), { recursive: true });
    writeFileSync(
      at('library/formulary/extra.yaml'),
      'breathline: 1\nkind: formulary\nid: extra\ninterventions: nothing\n',
    );
    const answer = await breathline(['check', 'good.yaml', '--library', at('library'), '--json']);
    expect(answer.code).toBe(1);
    expect(answer.out).toContain('extra.yaml');
    expect((await breathline(['check', 'good.yaml', '--library', at('nowhere')])).code).toBe(2);
  });

  it('explains every code it may print', async () => {
    const [first] = json<{ files: { errors: { code: string }[] }[] }>(
      await breathline(['check', 'bad.yaml', '--json']),
    ).files;
    const { code, out } = await breathline(['explain', first!.errors[0]!.code]);
    expect(code).toBe(0);
    expect(out.split('\n').length).toBeGreaterThan(3);
    expect((await breathline(['explain', 'file-unreadable'])).code).toBe(0);
  });
});

describe('rehearse', () => {
  it('says which rehearsals hold, and its exit code agrees', async () => {
    const answer = await breathline(['rehearse', CHILD, '--library', LIBRARY, '--json']);
    const result = json<{ ok: boolean; caution: string; rehearsals: { ok: boolean; checks: { ok: boolean }[] }[] }>(
      answer,
    );
    expect(result.caution).toContain('NOT FOR CLINICAL USE');
    expect(result.rehearsals.length).toBeGreaterThan(1);
    for (const each of result.rehearsals) expect(each.ok).toBe(each.checks.every((check) => check.ok));
    expect(result.ok).toBe(result.rehearsals.every((each) => each.ok));
    expect(answer.code).toBe(result.ok ? 0 : 1);
    const text = await breathline(['rehearse', CHILD, '--library', LIBRARY]);
    expect(text.code).toBe(answer.code);
    expect(text.out).toContain('NOT FOR CLINICAL USE');
  });

  it('fails with exit 1 when an expectation does not hold', async () => {
    const text = readFileSync(CHILD, 'utf8');
    const name = rehearsals[1]!;
    const strict = text.replace(/by: \d+:\d\d/g, 'by: 0:01');
    expect(strict).not.toBe(text);
    writeFileSync(at('strict.yaml'), strict);
    const { code, out } = started(['rehearse', 'strict.yaml', '--only', name]);
    expect(out).toContain('NO ');
    expect(code).toBe(1);
  });

  it('writes RFC 4180: CRLF, the same number of cells in each row, the caution in all', () => {
    const csv = readFileSync(at('run.csv'), 'utf8');
    expect(csv.endsWith('\r\n')).toBe(true);
    expect(csv.replaceAll('\r\n', '')).not.toMatch(/[\r\n]/);
    const rows = csv.trimEnd().split('\r\n');
    const run = checkExport(readFileSync(at('run.json'), 'utf8'));
    expect(rows).toHaveLength(run.track.length + 1);
    const width = rows[0]!.split(',').length;
    for (const row of rows.slice(1)) {
      expect(row.split(',')).toHaveLength(width);
      expect(row).toContain('SIMULATION – NOT FOR CLINICAL USE');
    }
    const spo2 = rows[0]!.split(',').indexOf('spo2Percent');
    expect(Number(rows[61]!.split(',')[spo2])).toBeCloseTo(run.track[60]!.true.spo2Percent, 5);
  });

  it('exports the same run each time', async () => {
    await breathline(['rehearse', CHILD, '--library', LIBRARY, '--only', rehearsals[0]!, '--run', at('again.json')]);
    expect(readFileSync(at('again.json'), 'utf8') === readFileSync(at('run.json'), 'utf8')).toBe(true);
    expect((await breathline(['replay', 'run.json'])).code).toBe(0);
    const run = JSON.parse(readFileSync(at('run.json'), 'utf8')) as { track: { true: { spo2Percent: number } }[] };
    run.track[30]!.true.spo2Percent += 1;
    writeFileSync(at('touched.json'), JSON.stringify(run));
    const touched = await breathline(['replay', 'touched.json']);
    expect(touched.code).toBe(1);
    expect(touched.out).toContain('0:30');
  });
});

describe('debrief and what-if', () => {
  it('score an exported run, as text and as JSON', async () => {
    const card = json<{ results: { target: { id: string }; result: string }[]; caution: string }>(
      await breathline(['debrief', 'run.json', '--json']),
    );
    expect(card.results.length).toBeGreaterThan(3);
    const text = await breathline(['debrief', 'run.json']);
    expect(text.code).toBe(0);
    expect(text.out).toContain('NOT FOR CLINICAL USE');
    expect(text.out).toMatch(/^First adrenaline {6}\d+:\d\d$/m);
    expect(text.out).not.toContain('First adequate dose');
    // Ten times as much: the time stands beside what was wrong, and no adequate dose is named.
    const run = JSON.parse(readFileSync(at('run.json'), 'utf8')) as {
      events: { intervention?: string; amount?: number }[];
    };
    for (const event of run.events) {
      if (event.intervention === 'adrenaline-im' && event.amount) {
        Object.assign(event, { amount: event.amount * 10, volumeMl: null, doseSeen: true });
      }
    }
    writeFileSync(at('tenfold.json'), JSON.stringify(run));
    const wrong = (await breathline(['debrief', 'tenfold.json'])).out;
    expect(wrong).toMatch(/^First adrenaline {6}\d+:\d\d {2}wrong dose: ten times the dose$/m);
    expect(wrong).toMatch(/^First adequate dose {3}never$/m);
  });

  it('need nothing but the file: they work the same in a copy without scenarios/', async () => {
    const bare = at('bare');
    mkdirSync(join(bare, 'apps'), { recursive: true });
    cpSync(join(ROOT, 'apps', 'cli'), join(bare, 'apps', 'cli'), {
      recursive: true,
      filter: (path) => !path.includes('node_modules'),
    });
    cpSync(join(ROOT, 'packages'), join(bare, 'packages'), {
      recursive: true,
      filter: (path) => !/node_modules|test$/.test(path),
    });
    symlinkSync(join(ROOT, 'node_modules'), join(bare, 'node_modules'));
    const launcher = join(bare, 'apps', 'cli', 'bin', 'breathline.mjs');
    for (const args of [
      ['debrief', at('run.json'), '--json'],
      ['whatif', at('run.json'), '--drop', '6', '--quick', '--json'],
    ]) {
      const there = started(args, { launcher, cwd: bare });
      expect(there.code).toBe(0);
      expect(there.out === (await breathline(args)).out).toBe(true);
    }
    expect(started(['check', at('good.yaml')], { launcher, cwd: bare }).err).toContain('no library folder');
  });

  it('lists the acts by number, then answers for one of them', async () => {
    const run = JSON.parse(readFileSync(at('run.json'), 'utf8')) as RunExport;
    const dose = run.events.find(
      (event) => event.kind === 'intervention' && event.amount !== null && event.unit === 'micrograms',
    )!;
    const list = await breathline(['whatif', 'run.json']);
    expect(list.code).toBe(0);
    expect(list.out).toContain('NOT FOR CLINICAL USE');
    expect(list.out).toMatch(new RegExp(`^\\s+${dose.seq}\\s`, 'm'));
    const answer = json<{
      edits: object[];
      identical: boolean;
      differences: { id: string; changeRange: unknown }[];
      events: RunExport['events'];
    }>(
      await breathline([
        'whatif',
        'run.json',
        '--dose',
        `${dose.seq}=0.15 mg`,
        '--move',
        `${dose.seq}=+1.5min`,
        '--quick',
        '--json',
      ]),
    );
    expect(answer.edits).toEqual([
      { kind: 'dose', seq: dose.seq, amount: 150 },
      { kind: 'move', seq: dose.seq, byMs: 90_000 },
    ]);
    expect(answer.identical).toBe(false);
    expect(answer.events.find((event) => event.seq === dose.seq)!.appliedAtMs).toBe(dose.appliedAtMs + 90_000);
    expect(json<{ identical: boolean }>(await breathline(['whatif', 'run.json', '--json'])).identical).toBe(true);
    const text = await breathline(['whatif', 'run.json', '--drop', String(dose.seq)]);
    expect(text.out).toContain(`Without act ${dose.seq}`);
    expect(text.out).toContain('uncertain constants');
  });

  it('scores both courses: a dose two minutes later is two minutes later against its target', async () => {
    interface Target {
      id: string;
      base: { latenessMs: number | null; result: string };
      alternative: { latenessMs: number | null; result: string };
      latenessChangeMs: number | null;
    }
    const run = JSON.parse(readFileSync(at('run.json'), 'utf8')) as RunExport;
    const isDose = (event: RunExport['events'][number]): boolean =>
      event.kind === 'intervention' && event.intervention === 'adrenaline-im';
    const { seq } = run.events.find(isDose)!;
    const ask = async (...edits: string[]) =>
      json<{ targets: Target[] }>(await breathline(['whatif', 'run.json', ...edits, '--quick', '--json'])).targets;
    const first = (await ask('--move', `${seq}=+120s`)).find((target) => target.id === 'first-adrenaline')!;
    expect(first.latenessChangeMs).toBe(120_000);
    expect(first.alternative.latenessMs! - first.base.latenessMs!).toBe(120_000);
    const own = json<{ results: { target: { id: string }; result: string; latenessMs: number | null }[] }>(
      await breathline(['debrief', 'run.json', '--json']),
    ).results.find(({ target }) => target.id === 'first-adrenaline')!;
    expect(first.base).toMatchObject({ result: own.result, latenessMs: own.latenessMs });
    for (const { base, alternative } of await ask()) expect(alternative).toEqual(base);
    expect((await breathline(['whatif', 'run.json', '--drop', String(seq), '--quick'])).out).toContain(
      'come out otherwise',
    );
  });

  it('lists only what can be asked about, and says what is wrong with a number', async () => {
    const run = JSON.parse(readFileSync(at('run.json'), 'utf8')) as RunExport;
    const dose = run.events.find((event) => event.kind === 'intervention' && event.amount !== null)!;
    const end = run.events.at(-1)!;
    const withdrawn = { ...end, kind: 'event-withdrawn', targetSeq: dose.seq, seq: end.seq + 1 };
    writeFileSync(at('undone.json'), JSON.stringify({ ...run, events: [...run.events, withdrawn] }));
    const { acts } = json<{ acts: { seq: number }[] }>(
      await breathline(['whatif', 'undone.json', '--quick', '--json']),
    );
    for (const seq of [dose.seq, withdrawn.seq]) expect(acts.map((act) => act.seq)).not.toContain(seq);
    for (const amount of ['3.mg', '0,3mg', '.3mg', '1e3mg']) {
      const { code, err } = await breathline(['whatif', 'run.json', '--dose', `${dose.seq}=${amount}`]);
      expect(code).toBe(2);
      expect(err).toMatch(/an amount with its unit|does not convert/);
    }
    expect((await breathline(['whatif', 'run.json', '--move', `${dose.seq}=+0s`, '--quick'])).out).not.toMatch(
      /[+-]0\b(?!\.)/,
    );
  });
});

describe('out', () => {
  it('writes tables, statements and, only when named as test data, observations', async () => {
    for (const kind of ['events', 'scorecard', 'track']) {
      const { code, out } = await breathline(['out', at('run.json'), '--as', kind]);
      expect([kind, code]).toEqual([kind, 0]);
      expect(out.split('\r\n').length).toBeGreaterThan(5);
    }
    const statements = json<{ actor: { account: { name: string } } }[]>(
      await breathline(['out', at('run.json'), '--as', 'statements', '--team', 'team-otter']),
    );
    expect(statements.every(({ actor }) => actor.account.name === 'team-otter')).toBe(true);
    expect(await breathline(['out', at('run.json'), '--as', 'observations'])).toMatchObject({
      code: 2,
      err: expect.stringContaining('--test-data') as unknown,
    });
    const bundle = json<{ resourceType: string }>(
      await breathline(['out', at('run.json'), '--as', 'observations', '--test-data']),
    );
    expect(bundle.resourceType).toBe('Bundle');
    expect(await breathline(['out', at('run.json'), '--as', 'magic'])).toMatchObject({ code: 2 });
  });

  it('sends statements to a store with its version header, and says what a store answered', async () => {
    const seen: { version: unknown; authorization: unknown; body: unknown[] }[] = [];
    let status = 200;
    const store = createServer((request, response) => {
      let body = '';
      request.on('data', (chunk: Buffer) => (body += chunk.toString()));
      request.on('end', () => {
        seen.push({
          version: request.headers['x-experience-api-version'],
          authorization: request.headers.authorization,
          body: JSON.parse(body) as unknown[],
        });
        response.statusCode = status;
        response.end('[]');
      });
    });
    await new Promise<void>((done) => store.listen(0, '127.0.0.1', done));
    const { port } = store.address() as AddressInfo;
    const send = (address: string) =>
      new Promise<Answer>((done) => {
        const child = spawn(
          process.execPath,
          [LAUNCHER, 'out', at('run.json'), '--as', 'statements', '--send', address, '--json'],
          {
            cwd: folder,
            env: { ...process.env, BREATHLINE_STORE_USER: 'u', BREATHLINE_STORE_PASSWORD: 'p' },
          },
        );
        let [out, err] = ['', ''];
        child.stdout.on('data', (chunk: Buffer) => (out += chunk.toString()));
        child.stderr.on('data', (chunk: Buffer) => (err += chunk.toString()));
        child.on('close', (code) => done({ code, out, err }));
      });
    const first = await send(`http://127.0.0.1:${port}/xapi`);
    expect(first.code).toBe(0);
    expect(json<{ sent: number }>(first).sent).toBe(seen[0]!.body.length);
    expect(seen[0]).toMatchObject({
      version: '1.0.3',
      authorization: `Basic ${Buffer.from('u:p').toString('base64')}`,
    });
    status = 409;
    expect(await send(`http://127.0.0.1:${port}/xapi/`)).toMatchObject({
      code: 2,
      err: expect.stringContaining('already') as unknown,
    });
    status = 401;
    expect(await send(`http://127.0.0.1:${port}/xapi`)).toMatchObject({
      code: 2,
      err: expect.stringContaining('401') as unknown,
    });
    expect(seen[1]!.body).toEqual(seen[0]!.body);
    store.close();
    expect(await send(`http://127.0.0.1:${port}/xapi`)).toMatchObject({
      code: 2,
      err: expect.stringContaining('did not answer') as unknown,
    });
    expect(await send('http://store.example.org')).toMatchObject({
      code: 2,
      err: expect.stringContaining('https') as unknown,
    });
  });
});

describe('pack', () => {
  it('copies a pack beside it, never over a file, and says in one line what was then changed', async () => {
    const args = ['pack', 'fork', 'anaphylaxis-uk-2021', '--as', 'our-own', '--library', LIBRARY];
    const made = await breathline(args);
    expect(made.code, made.err).toBe(0);
    const file = at('pinned/guidelines/our-own.yaml');
    expect(made.out).toContain('not for patient care');
    expect(await breathline(['pack', 'diff', 'our-own', '--library', LIBRARY])).toMatchObject({ code: 0 });

    const text = readFileSync(file, 'utf8');
    writeFileSync(file, text.replace('dose: 500 mL', 'dose: 400 mL'));
    const differs = await breathline(['pack', 'diff', 'our-own', '--library', LIBRARY, '--json']);
    expect(differs.code).toBe(1);
    const found = json<{ a: string; differences: { about: string; b: string }[]; copy: { parentMovedOn: boolean } }>(
      differs,
    );
    expect(found).toMatchObject({ a: 'anaphylaxis-uk-2021', copy: { parentMovedOn: false } });
    expect(found.differences).toHaveLength(1);
    expect(found.differences[0]!.b).toContain('400 to 1,000 mL');

    const again = await breathline(args);
    expect(again.code).toBe(2);
    expect(again.err).toContain('our-own');
    expect(readFileSync(file, 'utf8')).toContain('dose: 400 mL');

    // The published pack moves on.
    const published = at('pinned/guidelines/anaphylaxis-uk-2021.yaml');
    const before = readFileSync(published, 'utf8');
    writeFileSync(published, before.replace('up-to: 1000 mL', 'up-to: 900 mL'));
    expect((await breathline(['pack', 'diff', 'our-own', '--library', LIBRARY])).out).toContain(
      'anaphylaxis-uk-2021 has changed since this copy was made',
    );
    writeFileSync(published, before);
    rmSync(file);
  });

  const WRONG: [string[], string][] = [
    [['pack'], 'fork'],
    [['pack', 'mend', 'x'], 'mend'],
    [['pack', 'fork', 'anaphylaxis-uk-2021'], '--as'],
    [['pack', 'fork', 'croup-ukk', '--as', 'ours'], 'croup-uk'],
    [['pack', 'fork', 'croup-uk', '--as', '../ours'], '../ours'],
    [['pack', 'diff', 'croup-uk'], 'no copy'],
    [['pack', 'diff', 'croup-uk', 'nothing-of-the-sort'], 'nothing-of-the-sort'],
  ];
  const refused: Answer[] = [];
  beforeAll(async () => {
    for (const [args] of WRONG) refused.push(await breathline([...args, '--library', LIBRARY]));
  });

  it.each(WRONG.map(([args, word], at) => [args, word, at] as const))('%j is refused in words', (_args, word, at) => {
    const answer = refused[at]!;
    expect(answer.code).toBe(2);
    expect(answer.err).toContain(word);
  });
});
