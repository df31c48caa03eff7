/**
 * What if, in a real browser: a dose moved by button and by dragging, left out, made larger. And what goes in and out of a debrief: files that are no run, statements to a record store that takes, refuses or hangs up.
 */
import { mkdtempSync, rmSync, truncateSync, writeFileSync } from 'node:fs';
import { createServer, type IncomingMessage } from 'node:http';
import type { AddressInfo } from 'node:net';
import { tmpdir } from 'node:os';
import path from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { whatIf } from '@breathline/engine';
import { TABLET, expectClean } from './clean.ts';
import { DebriefRoom } from './debrief-room.ts';
import { button, until, wordsOf, type Device } from './drive.ts';

let room: DebriefRoom;

/** A learning record store of the test: what it was sent, and how it behaves. */
const store = {
  answers: 'hangs up' as 'hangs up' | number,
  asked: 0,
  taken: [] as { readonly headers: IncomingMessage['headers']; readonly body: string }[],
  server: createServer((request, response) => {
    let body = '';
    request.on('data', (data: Buffer) => (body += data.toString()));
    request.on('end', () => {
      store.asked += 1;
      if (store.answers === 'hangs up') return void request.socket.destroy();
      if (store.answers === 200) store.taken.push({ headers: request.headers, body });
      response.writeHead(store.answers, { 'content-type': 'application/json' }).end('[]');
    });
  }),
};

beforeAll(async () => {
  await new Promise<void>((resolve) => store.server.listen(0, '127.0.0.1', resolve));
  const { port } = store.server.address() as AddressInfo;
  room = await DebriefRoom.open([1366, 768], 'first dose late', {
    BREATHLINE_STORE: `http://127.0.0.1:${port}/xapi`,
    BREATHLINE_STORE_USER: 'drills',
    BREATHLINE_STORE_PASSWORD: 'invented',
  });
}, 240_000);
afterAll(async () => {
  await room?.close();
  store.server.close();
});

const adrenaline = () =>
  room.run.events.find((event) => event.kind === 'intervention' && event.intervention === 'adrenaline-im')!;
const outcomes = () => room.faculty.page.locator('[data-whatif]');
describe('what if', { timeout: 180_000 }, () => {
  it('answers as the engine does, in ranges, and is shared only on purpose', async () => {
    const { page } = room.faculty;
    await room.at('whatif');
    await page.getByText('For faculty only until you share it').waitFor();
    await page.getByText(/teaching model of a simulated patient/).waitFor();
    const { seq } = adrenaline();
    await page.getByLabel('What if this had been different?').selectOption(String(seq));
    await button(room.faculty, '1 min earlier').click();
    await outcomes().waitFor();
    await page.locator('[data-widened="all"]').waitFor();
    const expected = whatIf(room.run, [{ kind: 'move', seq, byMs: -60_000 }]);
    const below = expected.differences.find(({ id }) => id === 'msBelow90Percent')!;
    expect(expected.uncertainConstants).toBeGreaterThan(5);
    const row = await wordsOf(page.locator('[data-outcome="lowestSystolicMmHg"]'));
    const lowest = expected.differences.find(({ id }) => id === 'lowestSystolicMmHg')!;
    expect(row).toContain(`${Math.round(lowest.base!)} mmHg`);
    expect(row).toContain(`${Math.round(lowest.alternative!)} mmHg`);
    expect(below.changeRange).not.toBeNull();
    expect(await page.locator('path.line.other').count()).toBeGreaterThan(3);
    await page.getByRole('tab', { name: 'Timeline' }).click();
    await page.getByText('shown on the monitor').waitFor();
    expect(await page.locator('path.line.other').count()).toBe(0);
    await page.getByRole('tab', { name: 'What if' }).click();
    await button(room.faculty, 'Share with the group').click();
    await page.getByRole('tab', { name: 'Timeline' }).click();
    await page.getByText(/What if, shared by faculty/).waitFor();
    expect(await page.locator('path.line.other').count()).toBeGreaterThan(3);
    await page.getByRole('tab', { name: 'What if' }).click();
    await outcomes().waitFor();
    await expectClean(room.faculty, 'debrief-whatif', TABLET);
  });

  it('the room’s own screen follows, and is sent nothing that is faculty’s own', async () => {
    const { page, context } = room.faculty;
    await button(room.faculty, 'Back to the run as it went').click();
    // Another ear on what the two windows say to each other.
    await page.evaluate((name) => {
      const heard: string[] = [];
      Object.assign(globalThis, { heard });
      new BroadcastChannel(name).onmessage = ({ data }) => void heard.push(JSON.stringify(data));
    }, `breathline-room-${room.runId}`);
    const heard = () => page.evaluate(() => (globalThis as unknown as { heard: string[] }).heard.join('\n'));
    const [screen] = await Promise.all([
      context.waitForEvent('page'),
      button(room.faculty, 'Screen for the room').click(),
    ]);
    await screen.setViewportSize({ width: 1366, height: 768 });
    const showing = (kind: string) => screen.locator(`[data-room="${kind}"]`).waitFor();
    const other = screen.locator('path.line.other');
    await showing('timeline');
    await page.getByText('The room sees the timeline.').waitFor();
    await button(room.faculty, '1 min earlier').click();
    await outcomes().waitFor();
    await page.locator('[data-widened="all"]').waitFor();
    expect(await other.count()).toBe(0);
    expect(await heard()).not.toMatch(/"lines":\{"spo2"|steering|"kind":"note"|[Ff]aculty/);
    await button(room.faculty, 'Share with the group').click();
    await screen.getByText('What if: a teaching model of a simulated patient').waitFor();
    await until('the room has the other course', async () => (await other.count()) > 3);
    expect(await screen.locator('.says li').count()).toBeGreaterThan(3);
    expect(await screen.getByRole('button').count()).toBe(0);
    await room.faculty.shot('debrief-whatif-shared');
    const folder = process.env['SHOTS'];
    if (folder) await screen.screenshot({ path: `${folder}/debrief-room-whatif.png` });
    await expectClean({ page: screen, shot: async () => undefined } as unknown as Device, 'debrief-room', [1366, 768]);
    await button(room.faculty, 'Cover the room’s screen').click();
    await showing('nothing');
    await button(room.faculty, 'Cover the room’s screen').click();
    await showing('timeline');
    await page.getByRole('tab', { name: 'Replay' }).click();
    await showing('replay');
    await page.getByRole('slider', { name: 'Moment of the run' }).fill('400000');
    await until('the room’s monitor is at the same moment', async () =>
      (await screen.locator('.at').innerText()).startsWith('6:40'),
    );
    if (folder) await screen.screenshot({ path: `${folder}/debrief-room-replay.png` });
    await page.getByRole('tab', { name: 'Scorecard' }).click();
    await showing('timeline');
    expect(await screen.getByText('Against the guideline').count()).toBe(0);
    await button(room.faculty, /^Reactions/).click();
    await showing('nothing');
    if (folder) await screen.screenshot({ path: `${folder}/debrief-room-nothing.png` });
    // Opened again, faculty's page finds the screen that is there; gone, it leaves nothing on it.
    await room.at('summary');
    await showing('words');
    await page.goto(`${room.server.origin}/runs`);
    await showing('waiting');
    await screen.close();
    await room.at('whatif');
    await page.getByLabel('What if this had been different?').selectOption(String(adrenaline().seq));
  });

  it('moved there and back is the run, bit for bit, and says so', async () => {
    const { page } = room.faculty;
    await button(room.faculty, '10 s later').click();
    await outcomes().waitFor();
    await button(room.faculty, 'Leave it out').click();
    await page.locator('[data-whatif="other"]').waitFor();
    await page.getByText('Left out.').waitFor();
    await button(room.faculty, 'Leave it out').click();
    await button(room.faculty, '10 s earlier').click();
    // Nothing is changed any more, so there is nothing to compare.
    await until('the answer is gone', async () => (await outcomes().count()) === 0);
  });

  it('a dose is dragged along the axis, and ten times the dose is another course', async () => {
    const { page } = room.faculty;
    const mark = page
      .locator('.mark.kind-drug')
      .filter({ has: page.locator('.hit') })
      .first()
      .locator('.hit');
    await mark.scrollIntoViewIfNeeded();
    const box = (await mark.boundingBox())!;
    const [x, y] = [box.x + box.width / 2, box.y + box.height / 2];
    await page.mouse.move(x, y);
    await page.mouse.down();
    for (let step = 1; step <= 10; step += 1) await page.mouse.move(x - step * 8, y);
    await page.mouse.up();
    await page.locator('[data-whatif="other"]').waitFor();
    expect(await wordsOf(page.locator('.edit .now'))).toContain('in the run');
    await button(room.faculty, 'Back to the run as it went').click();
    await button(room.faculty, 'Ten times').click();
    await page.locator('[data-outcome="highestHeartRatePerMin"]').waitFor();
  });
});

describe('in and out of a debrief', { timeout: 120_000 }, () => {
  it('a file that is no run says what is wrong with it, and changes nothing', async () => {
    const { page } = room.faculty;
    const runs = async () =>
      ((await (await page.request.get(`${room.server.origin}/api/runs`)).json()) as { runs: unknown[] }).runs;
    const before = await runs();
    const folder = mkdtempSync(path.join(tmpdir(), 'breathline-bad-files-'));
    const file = (name: string, text: string): string => {
      writeFileSync(path.join(folder, name), text);
      return path.join(folder, name);
    };
    const whole = JSON.stringify(room.run);
    const big = file('big.json', whole);
    truncateSync(big, 33 * 1024 * 1024);
    try {
      await page.goto(`${room.server.origin}/runs`);
      await button(room.faculty, 'Import a run file').waitFor();
      for (const [chosen, says] of [
        [file('letter.json', 'Dear team'), /letter\.json could not be read as JSON/],
        [file('newer.json', JSON.stringify({ ...room.run, formatVersion: 2 })), /format version 2/],
        [file('cut.json', whole.slice(0, whole.length / 2)), /cut\.json could not be read as JSON/],
        [file('other.json', '{"format":"something"}'), /not an exported run/],
        [big, /big\.json is 33 MB; a run is at most 32 MB/],
      ] as const) {
        await page.getByLabel('Run file').setInputFiles(chosen);
        await page.getByText(says).first().waitFor();
        expect(await runs(), path.basename(chosen)).toEqual(before);
      }
      // The whole file is taken after all that, and what was wrong with the others no longer stands there.
      await page.getByLabel('Run file').setInputFiles(file('whole.json', whole));
      await page.getByText('The run is in.').waitFor();
      await page.getByText(/^This file is a rehearsal: .* it never counts in the programme/).waitFor();
      expect(await page.getByText(/at most 32 MB/).count()).toBe(0);
      expect(await runs()).toHaveLength(before.length + 1);
    } finally {
      rmSync(folder, { recursive: true, force: true });
    }
  });

  it('statements go to the record store from the button; one that hangs up or refuses is told in words', async () => {
    const { page } = room.faculty;
    const events = room.run.events.map((event) => ({ ...event, by: { role: 'lead' } as const }));
    // Of a rehearsal there is nobody to keep them of.
    await room.bring({ ...room.run, runId: 'a-drill-of-a-team', events });
    await room.at('timeline');
    await button(room.faculty, 'Files').click();
    const dialog = page.getByRole('dialog', { name: 'Files to take away' });
    const send = dialog.getByRole('button', { name: 'Send statements to the record store' });
    const asked = async (answers: typeof store.answers, says: string | RegExp): Promise<void> => {
      Object.assign(store, { answers, asked: 0 });
      await send.click();
      await dialog.getByText(says).first().waitFor();
      expect(store.asked).toBeGreaterThan(0);
    };
    await asked('hangs up', 'The record store did not answer.');
    await dialog.getByText('They are kept here with the run. Send them again: sending twice stores once.').waitFor();
    await asked(401, 'The record store answered 401.');
    expect(store.taken).toEqual([]);
    await asked(200, /^\d+ statements are in the record store\.$/);
    expect(await dialog.getByText('The record store answered 401.').count()).toBe(0);
    expect(store.taken).toHaveLength(1);
    const [{ headers, body }] = store.taken as [(typeof store.taken)[number]];
    const statements = JSON.parse(body) as { readonly id: string }[];
    expect(await wordsOf(dialog.getByRole('status').first())).toBe(
      `${statements.length} statements are in the record store.`,
    );
    expect(headers['x-experience-api-version']).toBe('1.0.3');
    expect(headers.authorization).toBe(`Basic ${Buffer.from('drills:invented').toString('base64')}`);
    await asked(409, 'The record store has them already.');
  });
});
