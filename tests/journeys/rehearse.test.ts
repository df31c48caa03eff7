/** Proving a scenario before the day, without a terminal: from its card, and as a text changed on the page. */
import path from 'node:path';
import { afterAll, beforeAll, expect, it } from 'vitest';
import { PHONE, TABLET, expectClean, expectThumbs } from './clean.ts';
import { KEEPS_APP, Place, ROOT, button, wordsOf, type Device } from './drive.ts';

const SIZES = [[1920, 1080], [1366, 768], TABLET, PHONE] as const;

let place: Place;
let faculty: Device;

beforeAll(async () => {
  place = await Place.open({ BREATHLINE_SCENARIOS: path.join(ROOT, 'tests/faults/scenarios') });
  faculty = await place.faculty([1366, 768], KEEPS_APP);
}, 240_000);

afterAll(() => place?.close());

it(
  'from the card to what holds, what never comes, a line of the file, and a text made to fail',
  { timeout: 180_000 },
  async () => {
    const { page } = faculty;
    await page.getByRole('link', { name: 'Rehearse: TELLING-TITLE anaphylaxis for tests' }).click();
    await page.getByText('Its one rehearsal holds').waitFor();
    const one = page.getByRole('article', { name: 'Rehearsal: nobody acts' });
    await one.getByRole('button', { name: /nobody acts/ }).click();
    expect(await wordsOf(one)).toMatch(/Expected: settled is never reached Found: settled was never reached/);
    expect(await wordsOf(one)).toMatch(/Heart rate \d+/);
    const never = page.getByRole('region', { name: 'What no rehearsal comes to' });
    expect(await wordsOf(never)).toContain('0 of 1 ending reached, 0 of 1 rules followed');
    expect(await wordsOf(never)).toContain('SECRET-OUTCOME');

    // A place leads to its line of the text, marked.
    const box = page.getByRole('textbox', { name: /fault-drill.yaml/ });
    await never
      .getByRole('button', { name: /show this line/ })
      .first()
      .click();
    const marked = () => box.evaluate((el: HTMLTextAreaElement) => el.value.slice(el.selectionStart, el.selectionEnd));
    await expect.poll(marked).toBe('  settled:');

    const text = await box.inputValue();
    await box.fill(text.replace('settled, never: true', 'settled, by: 0:30'));
    await button(faculty, 'Rehearse this text').click();
    await page.getByText('1 of 1 does not hold').waitFor();
    const words = await wordsOf(one);
    expect(words).toMatch(/Found: settled was never reached: at 0:30 it was still “arrival”/);
    expect(words).toMatch(/→ .+ fault-drill\.yaml:\d+:\d+/);
    await one.getByRole('button', { name: /show this line/ }).click();
    await expect.poll(marked).toContain('settled, by: 0:30');
    await expectThumbs(faculty, 'rehearse');
    for (const size of SIZES) await expectClean(faculty, 'rehearse', size);

    // A slip is pointed at; the library’s own text is one tap away.
    await box.fill(text.replace('start: arrival', 'start: arival'));
    await button(faculty, 'Rehearse this text').click();
    await page.getByText('One file could not be read').waitFor();
    await page
      .getByText(/Line \d+, column \d+:/)
      .first()
      .waitFor();
    await expectClean(faculty, 'rehearse-unread', PHONE);
    await button(faculty, 'As in the library').click();
    await page.getByText('Its one rehearsal holds').waitFor();
  },
);

it('a file of one’s own, and a server that is away', { timeout: 180_000 }, async () => {
  const { page } = faculty;
  await page.setViewportSize({ width: 1366, height: 768 });
  await page.goto(`${place.server.origin}/library`);
  await page.getByRole('link', { name: 'Rehearse a file' }).click();
  await page.getByText('No file chosen yet').waitFor();
  await page.getByLabel('Scenario file').setInputFiles(path.join(ROOT, 'tests/faults/scenarios/fault-drill.yaml'));
  await page.getByText('Its one rehearsal holds').waitFor();
  await faculty.context.setOffline(true);
  const box = page.getByRole('textbox', { name: /fault-drill.yaml/ });
  await button(faculty, 'The file’s text').click();
  await box.fill((await box.inputValue()).replace('nobody acts', 'nobody comes'));
  await button(faculty, 'Rehearse this text').click();
  await page.getByText('The server did not answer').waitFor();
  await faculty.context.setOffline(false);
  // By itself, once the network is back.
  await page.getByRole('article', { name: 'Rehearsal: nobody comes' }).waitFor();
  expect(faculty.complaints).toEqual([]);
});
