/** The order of a debrief: people first, numbers only once opened, points and judgements kept with the run, ten minutes on one tablet. */
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { PHONE, TABLET, expectClean } from './clean.ts';
import { DebriefRoom } from './debrief-room.ts';
import { button, until } from './drive.ts';

let room: DebriefRoom;
beforeAll(async () => {
  room = await DebriefRoom.open([1024, 768]);
}, 240_000);
afterAll(() => room?.close());

const kept = async (kind: string): Promise<number> =>
  (await room.exported()).events.filter((event) => event.kind === kind).length;

describe('the order of a debrief', { timeout: 180_000 }, () => {
  it('shows no score, state or target until faculty open the analysis', async () => {
    const { page } = room.faculty;
    await page.goto(`${room.server.origin}/debrief/${room.runId}?step=scorecard`);
    await page.getByRole('heading', { name: 'The analysis is closed' }).waitFor();
    expect(await page.getByText('Against the guideline').count()).toBe(0);
    await button(room.faculty, 'How is everyone?').click();
    await page.getByRole('heading', { name: 'How is everyone?' }).waitFor();
    await page.getByLabel('Add to: Said').fill('Worried at first');
    await page.getByRole('button', { name: 'Add to Said' }).click();
    await until('the reaction is on disk', async () => (await kept('debrief-note')) === 1);
    await button(room.faculty, 'Only ten minutes').click();
    await page.getByRole('heading', { name: 'One thing to take home' }).waitFor();
    expect(await page.locator('.moments li').count()).toBe(3);
    await until('the log says that it was opened', async () => (await kept('debrief-phase')) === 1);
    await expectClean(room.faculty, 'debrief-ten', TABLET);
    await expectClean(room.faculty, 'debrief-ten', PHONE);
    await page.setViewportSize({ width: 1024, height: 768 });
  });

  it('keeps plus and delta, the group’s objectives and what each takes home', async () => {
    const { page } = room.faculty;
    await room.at('discuss');
    await page.getByLabel('Add to: Went well').fill('Called early');
    await page.getByRole('button', { name: 'Add to Went well' }).click();
    await button(room.faculty, 'Partly').first().click();
    await until('it is judged', async () => (await kept('objective-judged')) === 1);
    await expectClean(room.faculty, 'debrief-discuss', TABLET);
    await page.setViewportSize({ width: 1024, height: 768 });
    await page.getByRole('tab', { name: 'Summary' }).click();
    await page.getByLabel('Add to: Take home').fill('Say it aloud');
    await page.getByRole('button', { name: 'Add to Take home' }).click();
    await until('all points are on disk', async () => (await kept('debrief-note')) === 3);
    await page.reload();
    await page.getByText('Say it aloud').waitFor();
  });

  it('a line judged otherwise keeps both values and the reason', async () => {
    const { page } = room.faculty;
    await room.at('scorecard');
    await page.getByRole('heading', { name: 'Against the guideline' }).waitFor();
    const line = page.locator('ol.lines > li').filter({ hasText: 'First intramuscular adrenaline' }).first();
    const before = await line.locator('.result').innerText();
    await line.getByRole('button', { name: /Evidence and source/ }).click();
    await line.getByRole('button', { name: 'Judge otherwise' }).click();
    await line.getByLabel('Why').fill('The kit was locked away');
    await line.getByRole('button', { name: 'Judge so' }).click();
    await line.getByText('Faculty: Met').waitFor();
    const after = await line.locator('.result').innerText();
    expect(after).toContain(before.split('\n')[0]);
    expect(after).toContain('The kit was locked away');
    await until('it is on disk', async () => (await kept('line-adjusted')) === 1);
  });

  it('files come with their type, and test observations only past a warning', async () => {
    const { page } = room.faculty;
    await button(room.faculty, 'More files').click();
    const dialog = page.getByRole('dialog', { name: 'Files to take away' });
    await dialog.waitFor();
    expect(await dialog.getByRole('link', { name: 'Test observations, JSON' }).count()).toBe(0);
    await dialog.getByRole('checkbox').click();
    const wanted = [
      ['Scorecard, PDF', '%PDF'],
      ['Scorecard, CSV', 'target'],
      ['Learning statements (xAPI), JSON', '['],
      ['Test observations, JSON', '{'],
    ] as const;
    for (const [name, begins] of wanted) {
      const href = await dialog.getByRole('link', { name }).getAttribute('href');
      const answer = await page.request.get(`${room.server.origin}${href}`);
      expect(answer.status(), name).toBe(200);
      expect(
        (await answer.body())
          .toString('latin1')
          .replace(/^\uFEFF|^ï»¿/, '')
          .slice(0, 400),
        name,
      ).toContain(begins);
    }
    await page.keyboard.press('Escape');
    expect(room.faculty.complaints).toEqual([]);
  });
});
