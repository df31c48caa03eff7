/**
 * One run, three places: Node here, the command line in a process of its own, and real Chromium. The state after every
 * step must hash the same in all three, or a screen's replay would drift from the server's.
 */
import { execFileSync } from 'node:child_process';
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { build } from 'esbuild';
import type { Browser } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, it, vi } from 'vitest';
import { buildExport, replay, whatIf, type RunExport, type WhatIfEdit } from '@breathline/engine';
import { reviewRun, scoreRun, type Scorecard } from '@breathline/debrief';
import { TestServer } from '../faults/server.ts';
import { REACTION, TREATED } from '../../packages/engine/test/fixtures.ts';
import { launch } from '../browser.ts';

const ROOT = fileURLToPath(new URL('../..', import.meta.url));
const LAUNCHER = join(ROOT, 'apps', 'cli', 'bin', 'breathline.mjs');

// Three places, each playing whole runs: slow on a machine that builds something else meanwhile.
vi.setConfig({ testTimeout: 240_000 });

const folder = mkdtempSync(join(tmpdir(), 'breathline-determinism-'));
let browser: Browser;
let script: string;

beforeAll(async () => {
  const bundled = await build({
    stdin: {
      contents: `
        import { replay, whatIf } from '@breathline/engine';
        import { reviewRun, scoreRun } from '@breathline/debrief';
        globalThis.judge = (run, edits) => {
          const card = scoreRun(run);
          return JSON.stringify([card, reviewRun(run, { card }), whatIf(run, edits, { uncertain: [] })]);
        };
        globalThis.tickHashes = (run) => {
          const hashes = [];
          replay(run.definition, run.events, { untilMs: run.untilMs, onTick: (now) => hashes.push(now.hash()) });
          return hashes;
        };`,
      resolveDir: ROOT,
      loader: 'ts',
    },
    bundle: true,
    write: false,
    format: 'iife',
    platform: 'browser',
    target: 'es2022',
    logLevel: 'silent',
  });
  script = bundled.outputFiles[0]!.text;
  browser = await launch();
});

afterAll(async () => {
  await browser?.close();
  rmSync(folder, { recursive: true, force: true });
});

const lengthOf = (run: RunExport): number => run.track.at(-1)!.atMs;

function inNode(run: RunExport): string[] {
  const hashes: string[] = [];
  replay(run.definition, run.events, { untilMs: lengthOf(run), onTick: (now) => void hashes.push(now.hash()) });
  return hashes;
}

function onCommandLine(run: RunExport): string[] {
  const file = join(folder, `${run.runId}.json`);
  writeFileSync(file, JSON.stringify(run));
  const out = execFileSync(process.execPath, [LAUNCHER, 'replay', file, '--json', '--hashes'], {
    encoding: 'utf8',
    maxBuffer: 64 * 1024 * 1024,
  });
  return (JSON.parse(out) as { hashes: string[] }).hashes;
}

async function inChromium(run: RunExport): Promise<string[]> {
  const page = await browser.newPage();
  try {
    await page.addScriptTag({ content: script });
    const input = { definition: run.definition, events: run.events, untilMs: lengthOf(run) };
    return await page.evaluate(
      (given) => (globalThis as unknown as { tickHashes: (run: unknown) => string[] }).tickHashes(given),
      input,
    );
  } finally {
    await page.close();
  }
}

/** Score, review and a what-if of one run, as text, in Chromium. */
async function judgedInChromium(run: RunExport, edits: readonly WhatIfEdit[]): Promise<string> {
  const page = await browser.newPage();
  try {
    await page.addScriptTag({ content: script });
    return await page.evaluate(
      ([given, moves]) =>
        (globalThis as unknown as { judge: (run: unknown, edits: unknown) => string }).judge(given, moves),
      [run, edits] as [unknown, unknown],
    );
  } finally {
    await page.close();
  }
}

/** A real scenario's first rehearsal, as the command line exports it. */
function rehearsedRun(file: string): RunExport {
  const out = join(folder, 'rehearsed.json');
  const listed = JSON.parse(run('rehearse', file, '--json')) as { rehearsals: { name: string }[] };
  run('rehearse', file, '--only', listed.rehearsals[0]!.name, '--run', out);
  return JSON.parse(readFileSync(out, 'utf8')) as RunExport;
}

/** Output of the command line, whether or not what it checked holds. */
function run(...args: string[]): string {
  try {
    return execFileSync(process.execPath, [LAUNCHER, ...args], {
      encoding: 'utf8',
      cwd: ROOT,
      stdio: ['ignore', 'pipe', 'ignore'],
    });
  } catch (error) {
    const { status, stdout } = error as { status: number; stdout: string };
    if (status === 1) return stdout;
    throw error;
  }
}

describe('bit for bit in Node, on the command line and in Chromium', () => {
  it.each([
    ['a pinned run', () => buildExport({ runId: 'pinned', createdAt: '', definition: REACTION, events: TREATED })],
    ['a child with food anaphylaxis', () => rehearsedRun('scenarios/cashew-cookery-club.yaml')],
    ['an adult with sting anaphylaxis', () => rehearsedRun('scenarios/wasp-sting-orchard.yaml')],
  ])('%s', async (_, make) => {
    const exported = make();
    const node = inNode(exported);
    expect(node).toHaveLength(lengthOf(exported) / 100);
    expect(new Set(node).size).toBe(node.length);
    expect(onCommandLine(exported)).toEqual(node);
    expect(await inChromium(exported)).toEqual(node);
  });
});

describe('the same run scores the same', () => {
  it('here, on the command line, in Chromium and over HTTP; and the same what-if answers the same', async () => {
    const exported = rehearsedRun('scenarios/cashew-cookery-club.yaml');
    const dose = exported.events.find(
      (event) => event.kind === 'intervention' && /adrenaline/.test(event.intervention),
    )!;
    const edits: WhatIfEdit[] = [{ kind: 'move', seq: dose.seq, byMs: 120_000 }];
    const card = scoreRun(exported);
    const here = JSON.stringify([card, reviewRun(exported, { card }), whatIf(exported, edits, { uncertain: [] })]);
    expect(await judgedInChromium(exported, edits)).toBe(here);

    const file = join(folder, 'rehearsed.json');
    expect(JSON.parse(run('debrief', file, '--json'))).toEqual(JSON.parse(JSON.stringify(card)));

    const server = await TestServer.signedIn();
    try {
      const { body: made } = await server.call<{ runId: string }>('POST', '/api/runs/import', exported);
      const { body: scored } = await server.call<Scorecard>('GET', `/api/runs/${made.runId}/scorecard`);
      const plain = JSON.parse(JSON.stringify(card)) as Scorecard;
      expect({ ...scored, runId: '' }).toEqual({ ...plain, runId: '' });
    } finally {
      await server.dispose();
    }
  });
});
