/** Replay: the monitor shows what it showed, at the moment the line stands at; by key, by slider, at speed; and why. */
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { TABLET, expectClean } from './clean.ts';
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
    expect(room.faculty.complaints).toEqual([]);
  });

  it('a recording of the room is tied by a clap, keeps in step, and is sent nowhere', async () => {
    const { page } = room.faculty;
    const sent: string[] = [];
    page.on('request', (request) => {
      // That another phase is on is written down; nothing else goes anywhere.
      const phase = request.postData()?.includes('"kind":"debrief-phase"') && request.url().endsWith('/commands');
      if (request.method() !== 'GET' && !phase) sent.push(request.url());
    });
    await page.setViewportSize({ width: 1366, height: 900 });
    await room.at('replay');
    const moment = page.getByRole('slider', { name: 'Moment of the run' });
    await moment.fill('60000');
    const choose = page.getByLabel('Choose a recording');
    await choose.setInputFiles({ name: 'torn.mp4', mimeType: 'video/mp4', buffer: Buffer.from('no film at all') });
    await page.getByText('This browser can not play “torn.mp4”').waitFor();
    await button(room.faculty, 'Put the recording away').click();
    await choose.setInputFiles({ name: 'room.wav', mimeType: 'audio/wav', buffer: silence(300) });
    const media = page.locator('video');
    const state = () =>
      media.evaluate(({ currentTime, paused, playbackRate }: HTMLVideoElement) => ({
        currentTime,
        paused,
        playbackRate,
      }));
    await until('it can be played', () => media.evaluate((each: HTMLVideoElement) => each.readyState >= 3));
    await media.evaluate((each: HTMLVideoElement) => void (each.currentTime = 12.5));
    await button(room.faculty, 'The clap is here in both').click();
    await page.getByText('Tied at 1:00.').waitFor();

    await moment.fill('100000');
    // 40 s of the run after the clap.
    await until('it jumped along', async () => Math.abs((await state()).currentTime - 52.5) < 0.01);
    await page.getByLabel('Speed').selectOption('4');
    await button(room.faculty, 'Play').click();
    await page.waitForTimeout(3000);
    const [{ currentTime, paused, playbackRate }, runMs] = [await state(), await at()];
    expect([paused, playbackRate]).toEqual([false, 4]);
    // Drift of up to 0.3 s at the pace it is heard at, and a look either way.
    expect(Math.abs(currentTime - (runMs / 1000 - 47.5))).toBeLessThan(4 * 0.8);
    await button(room.faculty, 'Pause').click();
    await until('it stands still too', async () => (await state()).paused);
    // Before the recording began there is nothing to hear.
    await moment.fill('20000');
    await button(room.faculty, 'Play').click();
    await page.waitForTimeout(500);
    expect((await state()).paused).toBe(true);
    await button(room.faculty, 'Pause').click();

    // Another part of the debrief and back: as it was left, file, tie, moment, speed, and playing.
    await moment.fill('100000');
    await button(room.faculty, 'Play').click();
    await page.getByRole('tab', { name: 'Summary' }).click();
    await page.getByRole('heading', { name: 'Take home' }).waitFor();
    await page.waitForTimeout(1000);
    await page.getByRole('tab', { name: 'Replay' }).click();
    await page.locator('[data-playing="true"]').waitFor();
    await button(room.faculty, 'Pause').click();
    expect(await page.getByLabel('Speed').inputValue()).toBe('4');
    await page.getByText('Tied at 1:00.').waitFor();
    const back = await at();
    expect(back).toBeGreaterThanOrEqual(100_000);
    await until('the recording is there too', async () => {
      return Math.abs((await state()).currentTime - (back / 1000 - 47.5)) < 4 * 0.8;
    });
    // A page loaded again can not open the file; it says which one it was, and takes the tie up again.
    await page.reload();
    await page.getByText('“room.wav” was open here, tied at 1:00.').waitFor();
    await room.faculty.shot('debrief-recording-again');
    await page
      .getByLabel('Choose “room.wav” again')
      .setInputFiles({ name: 'room.wav', mimeType: 'audio/wav', buffer: silence(300) });
    await page.getByText('Tied at 1:00.').waitFor();
    await button(room.faculty, 'Tie again').click();
    await button(room.faculty, 'The clap is here in both').waitFor();
    await button(room.faculty, 'Put the recording away').click();
    await choose.waitFor();
    expect(sent).toEqual([]);
    expect(room.faculty.complaints).toEqual([]);
  });
});

/** A sound file of silence: 8 bits, one channel, 4 kHz. */
function silence(seconds: number): Buffer {
  const [rate, size] = [4000, seconds * 4000];
  const head = Buffer.alloc(44);
  head.write('RIFF', 0);
  head.writeUInt32LE(36 + size, 4);
  head.write('WAVEfmt ', 8);
  head.writeUInt32LE(16, 16);
  head.writeUInt16LE(1, 20);
  head.writeUInt16LE(1, 22);
  head.writeUInt32LE(rate, 24);
  head.writeUInt32LE(rate, 28);
  head.writeUInt16LE(1, 32);
  head.writeUInt16LE(8, 34);
  head.write('data', 36);
  head.writeUInt32LE(size, 40);
  return Buffer.concat([head, Buffer.alloc(size, 128)]);
}
