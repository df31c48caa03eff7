/** The step a pack turns on is found for any illness, and adrenaline is not asked about where no pack asks for it. */
import { readFileSync, readdirSync } from 'node:fs';
import { describe, expect, test } from 'vitest';
import { buildLibrary, readScenario } from '@breathline/scenario';
import { buildExport, rehearse } from '@breathline/engine';
import { asksForAdrenaline, buildTimeline, keyStep, scoreRun } from '../src/index.ts';
import { aRun, shippedDefinition } from '../../../tests/reference/a-run.ts';

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

describe('the bracket of the key step', () => {
  const picture = (id: string, name: string) => {
    const run = aRun(id, name);
    const card = scoreRun(run);
    return { card, model: buildTimeline(run, card) };
  };

  test('runs from when it was called for to when it was done, outside anaphylaxis too', () => {
    const { card, model } = picture('grape-at-the-party', 'three minutes late');
    expect(model.key).toMatchObject({
      target: 'first-back-blows',
      since: 'could-have-seen',
      fault: null,
      outcome: null,
    });
    expect(model.key?.fromMs).toBe(card.clocks.couldHaveSeenMs);
    expect(model.key?.toMs).toBe(240_000);
    expect(model.moments.find(({ id }) => id === 'key-step')).toMatchObject({
      label: 'First back blows',
      atMs: 240_000,
    });
  });

  test('begins late where what calls for it comes late, and says when nothing is in the log', () => {
    const { model } = picture('six-weeks-old-off-feeds', 'nobody acts');
    expect(model.key).toMatchObject({
      target: 'apnoea-answered',
      since: 'called-for',
      toMs: null,
      outcome: 'not in the log',
    });
    expect(model.key!.fromMs).toBeGreaterThan(300_000);
  });

  test('carries what was wrong with the dose, and never the time alone', () => {
    const { model } = picture('cashew-cookery-club', 'ten times the dose');
    expect(model.key).toMatchObject({ toMs: 80_000, fault: 'wrong dose', faultSays: 'ten times the dose' });
    expect(model.moments.find(({ id }) => id === 'key-step')?.fault).toBe('wrong dose');
  });

  test('every shipped pack names its own, and without a name it is the first critical step done to the patient', () => {
    const { packs } = shippedDefinition('tight-since-sunday').library;
    for (const { id, keyStep: key, targets } of packs) {
      expect(key, id).toBeDefined();
      expect(targets.find((one) => one.id === key?.target)?.dueMs, id).toBeGreaterThan(0);
    }
    const run = aRun('tight-since-sunday', 'textbook');
    const { keyStep: _named, ...card } = scoreRun(run);
    expect(keyStep(card, run.definition.library.interventions)?.target.id).toBe('oxygen');
  });
});
