/** Points of a debrief that are about a moment of the run. */
import { expect } from 'vitest';
import type { DebriefRoom } from './debrief-room.ts';
import { button, until } from './drive.ts';

/** A note about a moment, from the picture, the replay and the list: at most two taps before it is typed. */
export const aboutMoments = async (room: DebriefRoom): Promise<void> => {
  const { page } = room.faculty;
  const write = async (text: string) => {
    const dialog = page.getByRole('dialog', { name: /^Note at/ });
    expect(await dialog.getByLabel('What the group says of it').evaluate((box) => box === document.activeElement)).toBe(
      true,
    );
    await page.keyboard.type(text);
    await page.keyboard.press('Enter');
    await dialog.waitFor({ state: 'detached' });
  };
  await page.getByRole('tab', { name: 'Timeline' }).click();
  const chart = page.getByRole('group', { name: /^Timeline of the run/ });
  const { width } = (await chart.boundingBox())!;
  await chart.click({ position: { x: width / 2, y: 200 } });
  await button(room.faculty, /^Note at/)
    .first()
    .click();
  await write('From the picture');
  await page.locator('svg text', { hasText: 'Note: From the picture' }).first().waitFor();
  await button(room.faculty, /^The same as a list/).click();
  await button(room.faculty, /^Note at .*: Adrenaline/)
    .first()
    .click();
  await write('From the list');
  await page.getByRole('tab', { name: 'Replay' }).click();
  await page.getByRole('slider', { name: 'Moment of the run' }).fill('95000');
  await button(room.faculty, 'Note at 1:35').click();
  await write('From the replay');
  const told = async () =>
    (await room.exported()).events.flatMap((event) =>
      event.kind === 'debrief-note' && event.aboutMs !== undefined ? [event] : [],
    );
  await until('they are on disk', async () => (await told()).length === 3);
  const { events } = await room.exported();
  const about = await told();
  expect(about.map(({ text }) => text)).toEqual(['From the picture', 'From the list', 'From the replay']);
  const dose = events.find((event) => event.kind === 'intervention' && event.intervention === 'adrenaline-im')!;
  expect(about[1]!.aboutMs).toBe(dose.occurredAtMs);
  expect(about[2]!.aboutMs).toBe(95_000);
  // On the axis, at its moment, and in the table that is taken away.
  await page.getByRole('tab', { name: 'Timeline' }).click();
  for (const { text } of about)
    await page
      .locator('svg text', { hasText: `Note: ${text}` })
      .first()
      .waitFor();
  const file = await page.request.get(`${room.server.origin}/api/runs/${room.runId}/files/notes.csv`);
  expect(await file.text()).toContain(',95,1:35,moment,From the replay,');
};
