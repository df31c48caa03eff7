/** What surrounds the patient, as built: words become numbers, durations milliseconds, and a call list is always there. */
import { expect, test } from 'vitest';
import { readScenario, STANDARD_CALLS } from '../src/index.ts';
import { here, must, testLibrary, text } from './support.ts';

const read = (change: (yaml: string) => string = (yaml) => yaml) =>
  must(
    readScenario(change(text(here('fixtures/valid-around/input.yaml'))), { file: 'x.yaml', library: testLibrary() }),
  );

test('family, calls, exhibits, behaviours and the arrest rule are built', () => {
  const { family, calls, exhibits, behaviours, arrest } = read();
  expect(family).toEqual([
    {
      who: 'Mother',
      says: 'Holds him and answers what she is asked.',
      distress: 3,
      history: [
        { id: 'what-he-ate', ifAsked: 'What he had to eat', says: '“A biscuit from the tin.”' },
        { id: 'pen', ifAsked: 'Whether he has an adrenaline pen', says: '“In my bag. It may be out of date.”' },
      ],
      worries: [{ id: 'too-quiet', says: '“He’s never this quiet.”', why: 'He is tiring before the numbers show it.' }],
    },
    { who: 'Brother', says: 'Watches.' },
  ]);
  expect(calls).toEqual([
    {
      id: 'registrar',
      title: 'The children’s doctor on call',
      picksUp: 'The registrar, walking',
      answersAfterMs: 30_000,
      asks: ['How old', 'What have you given'],
      does: 'Comes.',
      arrivesAfterMs: 300_000,
    },
    {
      id: 'ward',
      title: 'The ward',
      picksUp: 'Nurse in charge',
      answersAfterMs: 60_000,
      asks: [],
      does: 'Finds a bed.',
    },
  ]);
  expect(exhibits).toHaveLength(2);
  expect(exhibits![0]!.picture).toBe('chest-film.png');
  expect(behaviours).toEqual([{ id: 'reads-back', says: 'Reads back each dose before giving it' }]);
  expect(arrest).toBe('as-model');
});

test('a scenario that names nobody to call gets the standard list; one that says so gets none', () => {
  const without = (yaml: string): string => yaml.replace(/calls:\n(?: {2}.*\n)+/, '');
  expect(read(without).calls).toEqual(STANDARD_CALLS);
  expect(read((yaml) => `${without(yaml).trimEnd()}\ncalls: []\n`).calls).toEqual([]);
});

test('the standard list names jobs, with ids once each and delays that pass in a drill', () => {
  expect(new Set(STANDARD_CALLS.map((call) => call.id)).size).toBe(STANDARD_CALLS.length);
  for (const call of STANDARD_CALLS) {
    expect(call.answersAfterMs).toBeGreaterThan(0);
    expect(call.answersAfterMs + (call.arrivesAfterMs ?? 0)).toBeLessThanOrEqual(660_000);
    expect(call.asks.length).toBeGreaterThan(0);
  }
});
