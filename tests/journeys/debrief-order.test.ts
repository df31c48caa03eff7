/** The order of a debrief: people first, numbers only once opened, points and judgements kept with the run, ten minutes on one tablet. */
import { afterAll, beforeAll, describe, expect, it, onTestFinished } from 'vitest';
import { TABLET, expectClean } from './clean.ts';
import { durationText, scoreRun } from '@breathline/debrief';
import type { RunExport } from '@breathline/engine';
import type { Page } from 'playwright-core';
import { STRUCTURES } from '../../apps/web/src/lib/debrief/guide/structures.ts';
import { STATUS } from '../../apps/web/src/lib/ui/status.ts';
import { aboutMoments } from './debrief-notes.ts';
import { DebriefRoom, rehearsed } from './debrief-room.ts';
import { everyWord, twoTakes } from './debrief-runs.ts';
import { KEEPS_APP, button, chooseStructure, until, wordsOf } from './drive.ts';

let room: DebriefRoom;
/** The run the room began with; others are made of its patient and packs. */
let first: RunExport;
beforeAll(async () => {
  room = await DebriefRoom.open([1024, 768], 'first dose late', {}, KEEPS_APP);
  first = room.run;
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
    await page.getByLabel('What the place should change').fill('No spacer in the bag');
    await button(room.faculty, 'Equipment').click();
    await page.getByLabel('Owner, by role (optional)').fill('Ward manager');
    await page.getByLabel('Due (optional)').fill('2030-01-31');
    await button(room.faculty, 'Add to the register').click();
    await page.getByRole('link', { name: 'Follow in the register: No spacer in the bag' }).waitFor();
    await until('the register has the fix, its kind, its owner and its day', async () => {
      const answer = await page.request.get(`${room.server.origin}/api/problems`);
      const { problems } = (await answer.json()) as { problems: Record<string, unknown>[] };
      const line = problems.find(({ words }) => words === 'No spacer in the bag');
      return line?.['category'] === 'kit' && line['ownerRole'] === 'Ward manager' && line['dueOn'] === '2030-01-31';
    });
    await expectClean(room.faculty, 'debrief-ten', TABLET);
    await page.setViewportSize({ width: 1024, height: 768 });
  });

  it('keeps plus and delta, the group’s objectives and what each takes home', async () => {
    const { page } = room.faculty;
    await room.at('discuss');
    // Stems are offered in all but plus and delta, and the structure chosen stays.
    for (const [structure, stems] of [
      ['three-phases', 1],
      ['advocacy-inquiry', 1],
      ['plus-delta', 0],
      ['blended', 1],
    ] as const) {
      await chooseStructure(page, structure);
      await until(
        `stems in ${structure}`,
        async () => (await page.getByRole('button', { name: /For faculty: words to begin with/ }).count()) === stems,
      );
    }
    await page.reload();
    await page.getByText('Short of time, or all agree').waitFor();
    await page.getByLabel('Add to: Went well').fill('Called early');
    await page.getByRole('button', { name: 'Add to Went well' }).click();
    await button(room.faculty, 'Partly').first().click();
    await until('it is judged', async () => (await kept('objective-judged')) === 1);
    await expectClean(room.faculty, 'debrief-discuss', TABLET);
    await page.setViewportSize({ width: 1024, height: 768 });
    await aboutMoments(room);
    await page.getByRole('tab', { name: 'Summary' }).click();
    await page.getByLabel('Add to: Take home').fill('Say it aloud');
    await page.getByRole('button', { name: 'Add to Take home' }).click();
    await until('all points are on disk', async () => (await kept('debrief-note')) === 6);
    await page.reload();
    await page.getByText('Say it aloud').waitFor();
  });

  it('keeps what is written without a network, says so, and sends it once, also after the page was loaded again', async () => {
    const { page, context } = room.faculty;
    await room.at('discuss');
    const before = (await room.exported()).events.length;
    await page.evaluate(() => navigator.serviceWorker.ready.then(() => undefined));
    // Whatever comes of this, the tests after it have their network.
    onTestFinished(() => context.setOffline(false));
    await context.setOffline(true);
    await page.getByLabel('Add to: Went well').fill('Said without a network');
    await page.getByRole('button', { name: 'Add to Went well' }).click();
    await button(room.faculty, 'Not met').first().click();
    await page.getByText('Kept here, 2 waiting').waitFor();
    await page.getByRole('listitem').filter({ hasText: 'Said without a network' }).waitFor();
    await page.getByLabel('Add to: Would change').fill('Half typed');
    await room.faculty.shot('debrief-kept-here');
    expect((await room.exported()).events).toHaveLength(before);
    // The browser lets a page that loads anew reach the server for a moment: what comes through then has no answer, and
    // must not be there twice in the end.
    await page.reload();
    await page.getByText('Kept here, 2 waiting').waitFor();
    await context.setOffline(false);
    // By itself: the page, then what waited.
    await page.getByRole('listitem').filter({ hasText: 'Said without a network' }).waitFor();
    await until('both are on disk', async () => (await room.exported()).events.length === before + 2);
    await until('nothing waits', async () => (await page.getByText(/Kept here/).count()) === 0);
    expect(await page.getByLabel('Add to: Would change').inputValue()).toBe('Half typed');
    await page.reload();
    await page.getByRole('listitem').filter({ hasText: 'Said without a network' }).waitFor();
    expect(await page.getByRole('listitem').filter({ hasText: 'Said without a network' }).count()).toBe(1);
    await page.waitForTimeout(1000);
    expect((await room.exported()).events.map(({ kind }) => kind).slice(before)).toEqual([
      'debrief-note',
      'objective-judged',
    ]);
    await page.getByLabel('Add to: Would change').fill('');
  });

  it('walks the phases of the chosen structure, without a number before the analysis, by one clock on every screen', async () => {
    const { page, context } = room.faculty;
    const other = await context.newPage();
    const led = { ...first, runId: 'led-by-a-structure' };
    await room.bring(led);
    const phases = page.getByRole('list', { name: 'Phases of the debrief' });
    await page.goto(`${room.server.origin}/debrief/${room.runId}`);
    await page.getByRole('heading', { name: 'How is everyone?' }).waitFor();
    for (const { id, phases: own } of STRUCTURES) {
      await chooseStructure(page, id);
      await until(`the phases of ${id}`, async () => (await phases.getByRole('button').count()) === own.length);
      const names = (await phases.getByRole('button').allInnerTexts()).map((text) => text.split(/\s+\d/)[0]);
      expect(names).toEqual(own.map(({ title }) => title));
    }
    await chooseStructure(page, 'plus-delta');
    await button(room.faculty, 'Start clock').click();
    const left = (at: Page) => at.getByRole('timer', { name: 'Left of this phase' }).innerText();
    const seconds = (text: string): number => {
      const [, minutes, rest] = /(\d+):(\d\d) left/.exec(text) ?? [];
      return Number(minutes) * 60 + Number(rest);
    };
    await until('the clock of the reactions runs', async () => seconds(await left(page)) <= 118);
    for (const [name, ask] of [
      [/^Plus/, 'What went well? Write it down.'],
      [/^Delta/, 'What would we change? Write that down.'],
    ] as const) {
      await phases.getByRole('button', { name }).click();
      await page.getByText(ask).waitFor();
      expect(await page.locator('.top, svg.chart, .tabs-strip').count()).toBe(0);
    }
    await phases.getByRole('button', { name: /^Summary/ }).click();
    await page.getByRole('heading', { name: 'Summary' }).waitFor();
    expect(await page.locator('.top, .tabs-strip').count()).toBe(0);
    await phases.getByRole('button', { name: /^Delta/ }).click();
    await page.getByText('What would we change? Write that down.').waitFor();
    // Another window, and this one loaded again, have the same phase, structure and clock; later changes reach both.
    await other.goto(`${room.server.origin}/debrief/${room.runId}?step=talk`);
    await other.getByText('What would we change? Write that down.').waitFor();
    await page.reload();
    await page.getByText('What would we change? Write that down.').waitFor();
    await page.waitForTimeout(1200);
    const [mine, theirs] = await Promise.all([left(page), left(other)]);
    expect(seconds(mine)).toBeLessThan(300);
    expect(Math.abs(seconds(mine) - seconds(theirs))).toBeLessThanOrEqual(1);
    await phases.getByRole('button', { name: /^Why/ }).click();
    await page.getByText('Say why, for one of each.').waitFor();
    await other.goto(`${room.server.origin}/debrief/${room.runId}?step=discuss`);
    await other.getByText('Say why, for one of each.').waitFor();
    await page.getByLabel('Add to: Went well').fill('Seen in the other window');
    await page.getByRole('button', { name: 'Add to Went well' }).click();
    await other.getByText('Seen in the other window').waitFor();
    await other.close();
    await room.bring(first);
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
    await button(room.faculty, 'Files').click();
    const dialog = page.getByRole('dialog', { name: 'Files to take away' });
    await dialog.waitFor();
    expect(await dialog.getByRole('link', { name: 'Test observations, JSON' }).count()).toBe(0);
    await dialog.getByRole('checkbox').click();
    const wanted = [
      ['Scorecard, PDF', '%PDF'],
      ['One page for the team, PDF', '%PDF'],
      ['Scorecard, CSV', 'target'],
      ['The log without typed words, CSV', 'occurred s'],
      ['The log with typed words (may hold names), CSV', 'occurred s'],
      ['Vitals by the second, CSV', 'shown spo2Percent'],
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

  it('every word a line can have is shown with its evidence and its source, and a wrong dose leads', async () => {
    const { page } = room.faculty;
    const seen = new Set<string>();
    for (const run of everyWord(first)) {
      await room.bring(run);
      await room.at('scorecard');
      await button(room.faculty, /^Never fell due in this run/)
        .click({ timeout: 3000 })
        .catch(() => undefined);
      const { results } = scoreRun(run);
      await until(
        'every line stands there',
        async () => (await page.locator('ol.lines > li').count()) === results.length,
      );
      for (const closed of await page.getByRole('button', { name: /Evidence and source/ }).all()) await closed.click();
      for (const one of results) {
        const line = page
          .locator('ol.lines > li')
          .filter({ has: page.getByRole('heading', { name: one.target.says, exact: true }) });
        const words = await wordsOf(line);
        expect(words, one.target.id).toContain(STATUS[one.result].word);
        expect(words, one.target.id).toContain(one.source.organisation);
        for (const { text } of one.evidence) expect(words, one.target.id).toContain(text);
        if (one.result === 'late') expect(words).toContain(durationText(one.latenessMs ?? 0));
        seen.add(one.result);
      }
      if (run.runId === 'words-late') {
        await page.getByText('Adrenaline, intravenous bolus (with a pulse). The guideline: “No intravenous').waitFor();
        const clocks = await wordsOf(page.locator('.clocks'));
        expect(clocks).toMatch(/^Arrival 0:00 Could have seen 0:10 .*First adrenaline 4:20 4 min 10 s after/);
        expect(clocks).toContain('Dose 2 6:40 2 min 20 s after the dose before End 10:00');
      }
      await room.faculty.shot(`debrief-${run.runId}`);
      if (run.runId === 'words-wrong') {
        expect(await wordsOf(page.locator('h1'))).toMatch(/First adrenaline .*, wrong dose: ten times the dose/);
      }
    }
    const all = Object.keys(STATUS).filter((word) => word !== 'unverified');
    expect([...seen].sort()).toEqual(all.sort());
  });

  it('another guideline beside: lines, and where the two themselves differ', async () => {
    const { page } = room.faculty;
    await page.getByLabel('Compare with').selectOption('anaphylaxis-ascia-2024');
    await page.getByRole('table', { name: 'Results by two guidelines' }).waitFor();
    const differences = await wordsOf(page.getByRole('table', { name: 'Differences between two guidelines' }));
    // One aims for 94 to 98 % on oxygen, the other names no range.
    expect(differences).toContain('Saturation aimed for on oxygen 94 to 98 % no such line');
    await expectClean(room.faculty, 'debrief-beside', TABLET);
    await page.setViewportSize({ width: 1024, height: 768 });
  });

  it('an earlier take is chosen, judged by itself, and stays judged', async () => {
    const { page } = room.faculty;
    await room.bring(twoTakes(first));
    await room.at('scorecard');
    const line = page.locator('ol.lines > li').filter({ hasText: 'First intramuscular adrenaline' }).first();
    const take = page.getByLabel('Take', { exact: true });
    await until('take 2 stands there', async () => (await wordsOf(line)).startsWith('Met'));
    await take.selectOption('1');
    await until('take 1 stands there', async () => (await wordsOf(line)).startsWith('Not recorded'));
    await line.getByRole('button', { name: /Evidence and source/ }).click();
    await line.getByRole('button', { name: 'Judge otherwise' }).click();
    await line.getByLabel('Judged as').selectOption('missed');
    await line.getByLabel('Why').fill('Seen from the door');
    await line.getByRole('button', { name: 'Judge so' }).click();
    await line.getByText('Faculty: Missed').waitFor();
    const judged = async () => (await room.exported()).events.filter((event) => event.kind === 'line-adjusted');
    await until('it is on disk', async () => (await judged()).length === 1);
    expect((await judged())[0]).toMatchObject({ ofTake: 1, reason: 'Seen from the door' });
    await take.selectOption('2');
    await until('take 2 is as it was', async () => (await wordsOf(line)).startsWith('Met'));
    expect(await line.getByText('Faculty:').count()).toBe(0);
    await page.reload();
    await take.selectOption('1');
    await line.getByText('Faculty: Missed').waitFor();
    expect(await wordsOf(line)).toContain('Not recorded');
  });

  it('where carbon dioxide may be retained, too much oxygen is danger, by the range of the pack', async () => {
    const { page } = room.faculty;
    await room.bring(rehearsed('fifteen litres and left', 'blue-at-the-bus-stop'));
    await room.at('scorecard');
    const { saturation } = scoreRun(room.run).danger;
    expect(saturation).toMatchObject({ belowPercent: 88, abovePercent: 92 });
    expect(saturation.aboveMs).toBeGreaterThan(20 * 60_000);
    await page.getByText('Saturation above 92 % on oxygen: too much for this patient').waitFor();
    await page.getByText(durationText(saturation.aboveMs), { exact: true }).waitFor();
    const oxygen = page.getByRole('region', { name: 'Oxygen, to 88–92 %' });
    expect(await wordsOf(oxygen)).toContain(
      'British Thoracic Society, Guideline for emergency oxygen use in adult patients',
    );
    expect(await wordsOf(page.locator('h1'))).toBe(`Above 92 % on oxygen for ${durationText(saturation.aboveMs)}`);
    await room.at('timeline');
    await page
      .getByText(/▴\s?92/)
      .first()
      .waitFor();
    await room.faculty.shot('debrief-controlled-oxygen');
  });

  it('a run is found by what the list says of it: scenario, date, length, how it ended', async () => {
    const { page } = room.faculty;
    await page.goto(`${room.server.origin}/runs`);
    const rows = page.locator('section li');
    await rows.first().waitFor();
    const all = await rows.count();
    expect(await wordsOf(rows.first())).toMatch(/Ended in: \S/);
    await page.getByLabel('Find a run').fill('how much oxygen ended in');
    await until('one is left', async () => (await rows.count()) === 1);
    expect(await wordsOf(rows.first())).toMatch(/how much oxygen/);
    await page.getByLabel('Find a run').fill('no such words');
    await page.getByText('No run has all these words').waitFor();
    await button(room.faculty, `Show all ${all}`).click();
    await until('all are back', async () => (await rows.count()) === all);
  });

  it('asks what no drill can know, keeps the answer, and judges the time of watching with it', async () => {
    const { page } = room.faculty;
    await room.bring({ ...rehearsed('textbook'), runId: 'asked-of-its-circumstances' });
    await page.goto(`${room.server.origin}/debrief/${room.runId}?step=reconcile`);
    const asked = page.getByRole('region', { name: 'What the drill could not know' });
    const line = asked.getByRole('listitem').filter({ hasText: /severe asthma/i });
    await line.getByRole('button', { name: 'Yes' }).click();
    await until('it is on disk', async () =>
      (await room.exported()).events.some(
        (event) =>
          event.kind === 'circumstance-told' && event.circumstance === 'severe asthma' && event.answer === 'yes',
      ),
    );
    await room.at('scorecard');
    expect(await wordsOf(page.locator('main'))).toContain(
      'The pack asks for at least 12 hours from resolution. Asked afterwards, yes: severe asthma. By the log alone the pack would ask for at least 6 hours.',
    );
  });
});
