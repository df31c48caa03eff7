/** Injectors: fixed sizes, how they were used, and what that does to a line and its dose. */
import { describe, expect, it } from 'vitest';
import type { DeviceUse } from '@breathline/patient';
import type { DoseRule, Intervention } from '@breathline/scenario';
import { checkDose, scoreRun } from '../src/index.ts';
import {
  adrenaline,
  build,
  CHECKED,
  end,
  FIRST_ADRENALINE,
  give,
  INTERVENTIONS,
  type Line,
  pack,
  s,
  TOLERANCE,
} from './build-run.ts';

const injector: Intervention = {
  id: 'adrenaline-auto-injector',
  name: 'Adrenaline auto-injector',
  group: 'circulation',
  kind: 'drug',
  drug: 'adrenaline',
  route: 'im',
  sites: ['outer mid-thigh', 'upper arm'],
  unit: 'micrograms',
  deviceDoses: [150, 300, 500],
  search: [],
};
/** Frith K et al. Aust Prescr 2021;44:91-95: 150 micrograms from 7.5 kg, 300 from 20 kg. */
const BY_BAND: DoseRule = {
  id: 'device',
  intervention: injector.id,
  bands: [
    { fromAgeYears: 0, fromWeightKg: 7.5, belowWeightKg: 20, amount: 150 },
    { fromAgeYears: 0, fromWeightKg: 20, amount: 300 },
  ],
  source: CHECKED,
};

const check = (kg: number, amount: number, deviceUse?: DeviceUse, intervention = injector) =>
  checkDose({ amount, unit: 'micrograms', doseSeen: true, deviceUse }, BY_BAND, {
    intervention,
    ageYears: 5,
    trueWeightKg: kg,
    tolerance: TOLERANCE,
  });

describe('the size of a device', () => {
  // Australasian Society of Clinical Immunology and Allergy, questions on injectors, quoted at allergyfacts.org.au: the next
  // size up is used where the wanted one is not at hand, and so is a smaller one; 500 micrograms at 20 kg or less is to be asked about.
  it.each([
    [17, 150, 'right'],
    [17, 300, 'right'],
    [17, 500, 'critical-error'],
    [24, 300, 'right'],
    [24, 500, 'right'],
    [24, 150, 'partial'],
  ])('%d kg, %d micrograms: %s', (kg, amount, verdict) => {
    expect(check(kg, amount).verdict).toBe(verdict);
  });
  it('says so, with the source', () => {
    expect(check(17, 300).text).toMatch(/next device size up: accepted, not an overdose \(ASCIA/);
    expect(check(24, 150).text).toContain('better than none');
    expect(check(17, 300).text).not.toContain('ten times');
  });
  it('from a syringe the same amount is still judged by amount', () => {
    const { deviceDoses, ...syringe } = injector;
    expect(deviceDoses).toHaveLength(3);
    expect(check(17, 300, undefined, syringe).verdict).toBe('critical-error');
  });
});

describe('how it was used', () => {
  it.each<[DeviceUse, string]>([
    [{ heldSeconds: 10 }, 'right'],
    [{ heldSeconds: 1 }, 'partial'],
    [{ fault: 'expired', monthsPastExpiry: 12 }, 'right'],
    [{ fault: 'through-thick-clothing' }, 'right'],
    [{ fault: 'misfire' }, 'critical-error'],
    [{ fault: 'wrong-way-round' }, 'critical-error'],
  ])('%j: %s', (use, verdict) => {
    expect(check(24, 300, use).verdict).toBe(verdict);
  });
});

describe('a device that delivered nothing', () => {
  const withInjector = (lines: readonly Line[]) => {
    const run = build({
      pack: pack({ targets: [{ ...FIRST_ADRENALINE, interventions: ['adrenaline-im', injector.id] }] }),
      lines,
    });
    const library = { ...run.definition.library, interventions: [...INTERVENTIONS, injector] };
    return scoreRun({ ...run, definition: { ...run.definition, library } });
  };
  const device = (at: number, deviceUse?: DeviceUse) => give(at, injector.id, { amount: 300, deviceUse });

  it('does not stop the clock; the dose that got in does, and the try is shown', () => {
    const card = withInjector([device(s(90), { fault: 'misfire' }), adrenaline(s(200))]);
    const [line] = card.results;
    expect(line).toMatchObject({ actualMs: s(200), result: 'late' });
    expect(card.clocks.firstAdrenalineMs).toBe(s(200));
    expect(line!.evidence.map((one) => one.text).join()).toContain('did not fire: nothing was delivered');
  });
  it('alone is a miss, in words: not "nothing in the log"', () => {
    const card = withInjector([device(s(90), { fault: 'wrong-way-round' }), end(s(900))]);
    expect(card.results[0]).toMatchObject({ result: 'missed', credit: 0 });
    expect(card.results[0]!.because).toMatch(/Tried at 1:30, but held the wrong way round.*thumb/);
    expect(card.clocks.firstAdrenalineMs).toBeNull();
    expect(card.criticalFailures).toHaveLength(1);
  });
  it('used well counts as a dose', () => {
    const card = withInjector([device(s(90), { heldSeconds: 3 })]);
    expect(card.results[0]).toMatchObject({ result: 'met', actualMs: s(90) });
  });
});
