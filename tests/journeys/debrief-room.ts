/** What the debrief's journeys share: a server, a finished run brought in from a scenario's own rehearsal, faculty at its debrief. */
import { execFileSync } from 'node:child_process';
import { mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import path from 'node:path';
import type { Browser, BrowserContextOptions } from 'playwright-core';
import type { RunExport } from '@breathline/engine';
import type { TestServer } from '../faults/server.ts';
import { Device, ROOT, firstPassphrase, launch, realServer, signIn, until } from './drive.ts';

export class DebriefRoom {
  readonly server: TestServer;
  browser!: Browser;
  faculty!: Device;
  run!: RunExport;
  runId = '';

  constructor(env: Record<string, string> = {}) {
    this.server = realServer(env);
  }

  static async open(
    size: readonly [number, number] = [1366, 768],
    only = 'first dose late',
    env: Record<string, string> = {},
    more: BrowserContextOptions = {},
  ): Promise<DebriefRoom> {
    const room = new DebriefRoom(env);
    room.run = rehearsed(only);
    await room.server.start();
    room.browser = await launch();
    room.faculty = await Device.open(room.browser, size, 'every', more);
    await room.faculty.page.emulateMedia({ reducedMotion: 'reduce' });
    await signIn(room.faculty, room.server, firstPassphrase(room.server));
    await room.bring(room.run);
    return room;
  }

  /** Brings a run in; the debrief is of that one from here on. */
  async bring(run: RunExport): Promise<void> {
    const answer = await this.faculty.page.request.post(`${this.server.origin}/api/runs/import`, {
      data: run,
      headers: { origin: this.server.origin },
    });
    if (!answer.ok()) throw new Error(`The run was not taken: ${answer.status()} ${await answer.text()}`);
    this.run = run;
    this.runId = ((await answer.json()) as { runId: string }).runId;
  }

  /** A step of the debrief, by its address; opens the analysis where it is still closed. */
  async at(step: string): Promise<void> {
    const { page } = this.faculty;
    await page.goto(`${this.server.origin}/debrief/${this.runId}?step=${step}`);
    // While the run is on its way the page has a heading too.
    await page
      .locator('h1')
      .filter({ hasNotText: /^Debrief$/ })
      .waitFor();
    const closed = page.getByRole('button', { name: 'Open the analysis' });
    if ((await closed.count()) === 0) return;
    const before = (await this.exported()).events.length;
    await closed.click();
    await until('the log has it opened', async () => (await this.exported()).events.length > before);
  }

  async exported(): Promise<RunExport> {
    const answer = await this.faculty.page.request.get(`${this.server.origin}/api/runs/${this.runId}/export`);
    return (await answer.json()) as RunExport;
  }

  async close(): Promise<void> {
    await this.browser?.close();
    await this.server.dispose();
  }
}

/** A run of a shipped scenario as its rehearsal plays it. */
export function rehearsed(only: string, scenario = 'cashew-cookery-club'): RunExport {
  const folder = mkdtempSync(path.join(tmpdir(), 'breathline-debrief-'));
  try {
    const file = path.join(folder, 'run.json');
    const args = ['rehearse', path.join(ROOT, `scenarios/${scenario}.yaml`), '--only', only, '--run', file];
    execFileSync(process.execPath, [path.join(ROOT, 'apps/cli/bin/breathline.mjs'), ...args], {
      stdio: 'ignore',
      cwd: ROOT,
    });
    return JSON.parse(readFileSync(file, 'utf8')) as RunExport;
  } finally {
    rmSync(folder, { recursive: true, force: true });
  }
}
