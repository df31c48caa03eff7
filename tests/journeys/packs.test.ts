/** A site makes its own copy of a guideline pack, changes it in a text editor, and sees how it differs. */
import { cpSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import path from 'node:path';
import { afterAll, beforeAll, expect, it } from 'vitest';
import { expectClean } from './clean.ts';
import { Device, Place, ROOT, button, wordsOf } from './drive.ts';

const folder = mkdtempSync(path.join(tmpdir(), 'breathline-own-packs-'));
const published = path.join(folder, 'guidelines/choking-uk-2021.yaml');
const own = path.join(folder, 'guidelines/harbour-hospital-choking-uk-2021.yaml');
let place: Place;
let faculty: Device;

const change = (file: string, from: string | RegExp, to: string): void => {
  const before = readFileSync(file, 'utf8');
  const after = before.replace(from, to);
  expect(after).not.toBe(before);
  writeFileSync(file, after);
};

beforeAll(async () => {
  cpSync(path.join(ROOT, 'scenarios'), folder, { recursive: true });
  place = await Place.open({ BREATHLINE_SCENARIOS: folder });
  faculty = await place.faculty([1366, 768]);
}, 240_000);

afterAll(async () => {
  await place?.close();
  rmSync(folder, { recursive: true, force: true });
});

it('from the library to a copy that says what it changed', { timeout: 180_000 }, async () => {
  const { page } = faculty;
  await page.getByRole('link', { name: 'Guideline packs' }).click();
  // Every line can be read, with its source, and laid beside another guideline for the same illness.
  const uk = page.getByRole('article', { name: 'Anaphylaxis, United Kingdom 2021', exact: true });
  await uk.getByRole('button', { name: /Read its lines/ }).click();
  const doses = await wordsOf(uk.getByRole('region', { name: 'Doses' }));
  expect(doses).toContain('age band 6 years to under 12 years: 300 micrograms');
  expect(doses).toMatch(/Resuscitation Council UK.*not checked by a clinician/);
  await uk.getByRole('button', { name: /Beside another guideline/ }).click();
  await uk.getByLabel(/^Compare /).selectOption('anaphylaxis-wao-2020');
  const differences = uk.getByRole('table', { name: /beside/ });
  await differences.getByText('10 micrograms for each kg, at most 500 micrograms').first().waitFor();
  await expectClean(faculty, 'packs-read', [390, 844]);
  await page.setViewportSize({ width: 1366, height: 768 });
  await button(faculty, 'Make our own copy of Choking in a child, United Kingdom 2021').click();
  await page.getByLabel('Name of your site').fill('Harbour Hospital');
  await button(faculty, 'Make the copy').click();
  await page.getByText('The copy is written').waitFor();
  const copy = page.getByRole('article', { name: 'Choking in a child, United Kingdom 2021, Harbour Hospital' });
  await copy.getByText('says the same, copied').waitFor();

  // As somebody would in a text editor: one dose, one time, and a review date that has passed.
  change(own, '10 micrograms/kg, max', '12 micrograms/kg, max');
  change(own, 'due: 15 s', 'due: 10 s');
  change(own, /review-by: .*/, 'review-by: 2026-01-01');
  change(own, /checked-on: .*/g, 'checked-on: 2025-12-01');
  await page.reload();
  await copy.getByText('differs in 2 lines').waitFor();
  await copy.getByText('Review overdue').waitFor();
  await copy.getByRole('button', { name: /What differs/ }).click();
  const table = copy.getByRole('table');
  await table.getByRole('cell', { name: '12 micrograms for each kg, at most 1 mg as 0.1 mg/mL' }).waitFor();
  await table.getByRole('cell', { name: 'due 10 s from could have seen teaching time' }).waitFor();
  expect(await page.getByText('Training only, not for patient care').count()).toBeGreaterThan(0);

  // The published pack moves on.
  change(published, 'limit: 60 s', 'limit: 90 s');
  await page.reload();
  await copy.getByText('has changed since this copy was made').waitFor();

  // A slip in the file takes the copy away, says where the slip is, and leaves the rest.
  change(own, 'kind: pack', 'kind: sack');
  await page.reload();
  await page.getByText('One file could not be read').waitFor();
  await page.getByRole('article', { name: 'Choking in a child, United Kingdom 2021' }).waitFor();
  expect(await copy.count()).toBe(0);
  expect(faculty.complaints).toEqual([]);
});
