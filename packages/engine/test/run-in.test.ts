/** A patient who arrives ill has been ill for a while, by the model's own account. */
import { describe, expect, test } from 'vitest';
import { createRun, type RunDefinition } from '../src/index.ts';
import { REACTION } from './fixtures.ts';
import { started } from './helpers.ts';

const begun = (begunMs: number): RunDefinition => ({
  ...REACTION,
  scenario: { ...REACTION.scenario, patient: { ...REACTION.scenario.patient, begunMs } },
});

describe('an illness begun before the start', () => {
  test('time zero equals the same illness watched for as long', () => {
    const arrived = createRun(begun(240_000)).view();
    const { run: watched } = started(begun(0));
    watched.advanceTo(240_000);
    expect(arrived.clockMs).toBe(0);
    expect(arrived.trueVitals).toEqual(watched.view().trueVitals);
    expect(arrived.trueVitals.bronchospasmFraction).toBeGreaterThan(0.02);
  });

  test('nothing begun is the well patient', () => {
    expect(createRun(REACTION).hash()).toBe(createRun(begun(0)).hash());
    expect(createRun(begun(60_000)).hash()).not.toBe(createRun(begun(0)).hash());
  });
});
