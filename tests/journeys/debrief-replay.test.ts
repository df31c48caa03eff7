/** Replay: the monitor shows what it showed, at the moment the line stands at; by key, by slider, at speed; and why. */
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { PHONE, TABLET, expectClean } from './clean.ts';
import { DebriefRoom } from './debrief-room.ts';
import { button, monitorNumber, until } from './drive.ts';

let room: DebriefRoom;
beforeAll(async () => {
  room = await DebriefRoom.open([1366, 900], 'textbook');
}, 240_000);
afterAll(() => room?.close());

const at = async (): Promise<number> =>
  Number(await room.faculty.page.locator('[data-replay-ms]').getAttribute('data-replay-ms'));

describe('replay', { timeout: 180_000 }, () => {
  it('shows at each moment what the monitor showed then, forwards and back', async () => {
    const { page } = room.faculty;
    await room.at('replay');
    await page.locator('[data-replay-ms]').waitFor();
    for (const seconds of [120, 400, 90, 600]) {
      await page.getByRole('slider', { name: 'Moment of the run' }).fill(String(seconds * 1000));
      const shown = room.run.track.find((row) => row.atMs === seconds * 1000)!.shown.spo2Percent;
      expect(shown).not.toBeNull();
      await until(
        `saturation ${shown} at ${seconds} s`,
        async () => (await monitorNumber(room.faculty, 'oxygen')) === shown,
      );
      expect(await at()).toBe(seconds * 1000);
    }
    await page.getByRole('heading', { name: /Why was the saturation \d+ % at 10:00/ }).waitFor();
  });

  it('plays in step with the wall’s clock at each speed, and stops for a space', async () => {
    const { page } = room.faculty;
    await page.getByRole('slider', { name: 'Moment of the run' }).fill('60000');
    await page.getByLabel('Speed').selectOption('8');
    const [from, began] = [await at(), performance.now()];
    await button(room.faculty, 'Play').click();
    await page.waitForTimeout(3000);
    await button(room.faculty, 'Pause').click();
    const wall = performance.now() - began;
    const ran = (await at()) - from;
    // A tap and a frame either way, on busy cores.
    expect(ran).toBeGreaterThan(8 * 1500);
    expect(ran).toBeLessThanOrEqual(8 * wall);
    await page.getByRole('heading', { name: /^Why was/ }).click();
    const still = await at();
    await page.keyboard.press('ArrowRight');
    await until('five seconds on', async () => (await at()) === still + 5000);
    await page.keyboard.press('ArrowDown');
    await until('at the next event', async () => (await at()) > still + 5000);
    await page.keyboard.press('Space');
    await page.locator('[data-playing="true"]').waitFor();
    await page.keyboard.press('Space');
    await page.locator('[data-playing="false"]').waitFor();
    await expectClean(room.faculty, 'debrief-replay', TABLET);
    await expectClean(room.faculty, 'debrief-replay', PHONE);
    expect(room.faculty.complaints).toEqual([]);
  });
});
