import { describe, expect, it } from 'vitest';
import { SCRIPT_HANDBACK_MS } from '../src/run/masks.ts';
import { after, definitionOf, go, scenarioOf, state, thread } from './fixtures.ts';
import { started } from './helpers.ts';

const definition = definitionOf(
  scenarioOf([
    thread('t', [
      state('script', {
        scripted: [{ vital: 'temperatureCelsius', to: 40, overMs: 60_000 }],
        transitions: [go('model', after(120_000))],
      }),
      state('model'),
    ]),
  ]),
);

describe('scripted vitals', () => {
  it('approach their value: 95 % of the way in the time given, never past it', () => {
    const { run } = started(definition);
    const from = run.view().trueVitals.temperatureCelsius;
    run.advanceTo(60_000);
    const share = (run.view().trueVitals.temperatureCelsius - from) / (40 - from);
    // 1 - e^-3 = 0.950 (arithmetic)
    expect(share).toBeCloseTo(0.95, 2);
    run.advanceTo(120_000);
    expect(run.view().trueVitals.temperatureCelsius).toBeLessThan(40);
  });

  it('go back to the model smoothly when the state is left', () => {
    const { run } = started(definition);
    run.advanceTo(120_100);
    const held = run.view().trueVitals.temperatureCelsius;
    run.advanceTo(120_000 + SCRIPT_HANDBACK_MS / 2);
    const half = run.view().trueVitals.temperatureCelsius;
    run.advanceTo(121_000 + SCRIPT_HANDBACK_MS);
    const model = run.view().trueVitals.temperatureCelsius;
    expect(half).toBeCloseTo((held + model) / 2, 1);
    expect(model).toBeLessThan(38);
  });

  it('lie under an override', () => {
    const { run, put } = started(definition);
    run.advanceTo(10_000);
    put({ kind: 'vital-overridden', vital: 'temperatureCelsius', to: 35, overMs: 0 });
    run.advanceTo(100_000);
    expect(run.view().trueVitals.temperatureCelsius).toBe(35);
    put({ kind: 'vital-released', vital: 'temperatureCelsius', overMs: 0 });
    expect(run.view().trueVitals.temperatureCelsius).toBeGreaterThan(39);
  });
});
