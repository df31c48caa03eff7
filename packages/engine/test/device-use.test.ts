/** An injector's use, from the log to the patient. */
import { describe, expect, it } from 'vitest';
import type { DeviceUse } from '@breathline/patient';
import type { Intervention } from '@breathline/scenario';
import { commandWarnings, type RunDefinition } from '../src/index.ts';
import { give, REACTION } from './fixtures.ts';
import { started } from './helpers.ts';

const injector: Intervention = {
  id: 'injector',
  name: 'Injector',
  group: 'circulation',
  kind: 'drug',
  drug: 'adrenaline',
  effect: 'adrenaline',
  route: 'im',
  unit: 'micrograms',
  deviceDoses: [150, 300, 500],
  search: [],
};
const WITH: RunDefinition = {
  ...REACTION,
  library: { ...REACTION.library, interventions: [...REACTION.library.interventions, injector] },
};

function after(deviceUse: DeviceUse | undefined, amount = 300, item = 'injector') {
  const { run, put } = started(WITH);
  put({ ...give(item, amount, 'micrograms'), ...(deviceUse ? { deviceUse } : {}) } as never);
  run.advanceTo(480_000);
  return { vitals: run.view().trueVitals, doses: run.view().doses.length };
}
const untreated = (() => {
  const { run } = started(WITH);
  run.advanceTo(480_000);
  return run.view().trueVitals;
})();

describe('device use', () => {
  it('held long enough is the same dose as a syringe’s, to the last bit', () => {
    expect(after({ heldSeconds: 3 }).vitals).toEqual(after(undefined, 300, 'adrenaline-im').vitals);
    expect(after(undefined).vitals).toEqual(after({}).vitals);
  });
  it.each<[string, DeviceUse]>([
    ['misfire', { fault: 'misfire' }],
    ['wrong way round', { fault: 'wrong-way-round' }],
  ])('%s: the patient is as if nothing was given, and no dose is counted', (_, use) => {
    const { vitals, doses } = after(use);
    expect(vitals).toEqual(untreated);
    expect(doses).toBe(0);
  });
  it('part of it acts in part: full, expired, through cloth, let go early, none, in order', () => {
    const spasm = (use: DeviceUse) => after(use).vitals.bronchospasmFraction;
    const order = [
      spasm({}),
      spasm({ fault: 'expired', monthsPastExpiry: 60 }),
      spasm({ heldSeconds: 1 }),
      spasm({ heldSeconds: 0.3 }),
      untreated.bronchospasmFraction,
    ];
    for (let i = 1; i < order.length; i++) expect(order[i]!, `${i}`).toBeGreaterThan(order[i - 1]!);
    // Under the skin it comes too, later.
    expect(spasm({ fault: 'through-thick-clothing' })).toBeGreaterThan(spasm({}));
    expect(spasm({ fault: 'through-thick-clothing' })).toBeLessThan(untreated.bronchospasmFraction);
  });
  it('says when no device comes in that size; the next size up is no caution', () => {
    const { run } = started(WITH);
    const codes = (amount: number) =>
      commandWarnings(WITH, run.view(), give('injector', amount, 'micrograms')).map((one) => one.code);
    expect(codes(200)).toContain('no-such-device');
    expect(codes(300)).not.toContain('no-such-device');
    const said = commandWarnings(WITH, run.view(), {
      ...give('injector', 300, 'micrograms'),
      deviceUse: { fault: 'misfire' },
    } as never).find((one) => one.code === 'device-use');
    expect(said?.message).toMatch(/^The device did not fire: nothing was delivered\.$/);
    const syringe = { ...give('adrenaline-im', 300, 'micrograms'), deviceUse: { heldSeconds: 1 } } as never;
    expect(commandWarnings(WITH, run.view(), syringe).map((one) => one.code)).toContain('not-a-device');
  });
});
