/** The step a pack turns on is found for any illness, and adrenaline is not asked about where no pack asks for it. */
import { readFileSync, readdirSync } from 'node:fs';
import { describe, expect, test } from 'vitest';
import { buildLibrary, readScenario } from '@breathline/scenario';
import { buildExport, rehearse } from '@breathline/engine';
import { asksForAdrenaline, keyStep, scoreRun } from '../src/index.ts';

const folder = new URL('../../../scenarios/', import.meta.url).pathname;
const texts = (name: string) =>
  readdirSync(`${folder}${name}`)
    .filter((file) => file.endsWith('.yaml'))
    .map((file) => ({ file, text: readFileSync(`${folder}${name}/${file}`, 'utf8') }));

const library = buildLibrary({ formularies: texts('formulary'), packs: texts('guidelines') });

function textbook(id: string) {
  if (!library.ok) throw new Error('the shipped library does not build');
  const read = readScenario(readFileSync(`${folder}${id}.yaml`, 'utf8'), { file: id, library: library.value });
  if (!read.ok) throw new Error(`${id} does not read`);
  const definition = { scenario: read.value, library: library.value, packId: read.value.guidelines[0]!, seed: 1 };
  const rehearsal = read.value.rehearsals.find(({ name }) => name === 'textbook') ?? read.value.rehearsals[0]!;
  const { events, derived, track } = rehearse(definition, rehearsal);
  return scoreRun(
    buildExport({ runId: id, createdAt: '2026-01-01T00:00:00.000Z', definition, events, derived, track }),
  );
}

describe('the step a pack turns on', () => {
  test('is the first adrenaline in anaphylaxis', () => {
    const card = textbook('wasp-sting-orchard');
    expect(asksForAdrenaline(card)).toBe(true);
    expect(keyStep(card)?.target.id).toBe('first-adrenaline');
  });

  test('is something else in asthma and in an opioid overdose, where no pack asks for adrenaline', () => {
    for (const id of ['asthma-after-a-cold', 'wants-to-go-home']) {
      const card = textbook(id);
      expect(asksForAdrenaline(card)).toBe(false);
      expect(keyStep(card)?.target.critical).toBe(true);
      expect(keyStep(card)?.target.contraindicated ?? false).toBe(false);
    }
  });
});
