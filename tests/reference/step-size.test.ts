/**
 * Halving the step, from 100 to 50 ms, in every disease while it is treated: away from discrete events no vital moves by more
 * than 1 % (of its usual size, or of itself where that is larger), and no event by a second. Untreated courses are compared in
 * packages/patient/test/illness.test.ts.
 */
import { describe, expect, it } from 'vitest';
import { bundled } from '../../packages/patient/test/bundled.ts';
import type { PatientInput, PatientProfile, PatientState, VitalId } from '@breathline/patient';
import { begin, dose, drive, hands, oxygen } from './behaviours.ts';
import { personAt } from './people.ts';

const api = await bundled();

const { SLOTS: X, DISEASES, applyInput, createVitals, readVitals, stepPatient } = api;

const AGE: Readonly<Record<string, number>> = {
  anaphylaxis: 7,
  asthma: 8,
  croup: 2,
  bronchiolitis: 0.4,
  'foreign-body': 2,
  pneumonia: 66,
  copd: 68,
  'opioid-toxicity': 30,
  pneumothorax: 25,
  'pulmonary-oedema': 72,
};

/** What care each gets, by minute. */
const CARE: Readonly<Record<string, readonly (readonly [number, PatientInput])[]>> = {
  anaphylaxis: [
    [0, drive('mediators', 0.9, 1)],
    [3, dose('adrenaline', 'im', 230)],
    [4, oxygen('non-rebreathe-mask', 15)],
    [7, dose('crystalloid', 'iv', 230, 5)],
  ],
  asthma: [
    [3, oxygen('non-rebreathe-mask', 8)],
    [4, dose('salbutamol', 'neb', 5, 5)],
    [6, dose('magnesium', 'iv', 1000, 20)],
  ],
  croup: [
    [2, dose('dexamethasone', 'oral', 1.8)],
    [4, dose('adrenaline', 'neb', 4800, 5)],
  ],
  bronchiolitis: [
    [3, hands('suction')],
    [5, oxygen('high-flow-nasal', 12, 0.4)],
  ],
  'foreign-body': [
    [0.4, hands('back-blows', 5)],
    [0.6, hands('abdominal-thrusts', 5)],
    [0.8, hands('back-blows', 5)],
    [1, hands('back-blows', 5)],
  ],
  pneumonia: [
    [3, oxygen('non-rebreathe-mask', 15)],
    [5, dose('crystalloid', 'iv', 500, 10)],
  ],
  copd: [
    [2, oxygen('venturi-mask', 4, 0.28)],
    [7, oxygen('niv', undefined, 0.28)],
  ],
  'opioid-toxicity': [
    [2, oxygen('bag-mask', 15)],
    [3, hands('breaths-given', 10)],
    [6, dose('naloxone', 'iv', 400)],
    [9, { kind: 'procedure', procedure: 'breaths-given', on: false }],
  ],
  pneumothorax: [[1.5, hands('needle-decompression', undefined, 'right')]],
  'pulmonary-oedema': [
    [3, { kind: 'posture', posture: 'sitting' }],
    [5, oxygen('cpap', undefined, 0.6)],
  ],
};

/** Usual size of each vital: 1 % of it is the least that counts. */
const USUAL: Partial<Record<VitalId, number>> = {
  heartRatePerMin: 100,
  respiratoryRatePerMin: 25,
  spo2Percent: 97,
  systolicMmHg: 100,
  diastolicMmHg: 60,
  meanMmHg: 75,
  etco2MmHg: 37,
  temperatureCelsius: 37,
  glucoseMmolPerL: 5,
  capillaryRefillS: 2,
  consciousnessFraction: 1,
  paco2MmHg: 40,
  arterialPh: 7.4,
  lactateMmolPerL: 1,
};
const IDS = Object.keys(USUAL) as VitalId[];

describe('half the step, treated', () => {
  it.each(Object.entries(DISEASES).map(([id, spec]) => [id, spec.usualPattern] as const))(
    '%s, %s',
    (disease, pattern) => {
      const who: PatientProfile = {
        ...personAt(AGE[disease]!),
        illness: [{ disease, pattern, startedMinutesAgo: disease === 'foreign-body' ? 0 : 12 }],
      };
      const [model, coarse] = begin(api, who);
      const fine = api.copyState(coarse);
      const [a, b] = [createVitals(), createVitals()];
      const events: [Record<string, number>, Record<string, number>] = [{}, {}];
      const note = (kept: Record<string, number>, s: PatientState, atS: number) => {
        const v = readVitals(model, s, a);
        const facts: Record<string, boolean> = {
          'below 94 %': v.spo2Percent < 94,
          'below 90 %': v.spo2Percent < 90,
          'half awake': v.consciousnessFraction < 0.5,
          arrest: v.arrested > 0,
          'object out': s[X.OBJECT_OUT]! > 0,
          'needle kinked': s[X.NEEDLE_RIGHT_MIN]! > 12,
        };
        for (const [id, is] of Object.entries(facts)) if (is && !(id in kept)) kept[id] = atS;
      };
      // Seconds until which a step at an event is let pass.
      let quietFrom = 0;
      const slips: (readonly [atMin: number, id: VitalId, slip: number])[] = [];
      const care = CARE[disease]!;
      for (let i = 0; i < 14 * 600; i++) {
        for (const [minute, input] of care)
          if (Math.round(minute * 600) === i) {
            applyInput(model, coarse, input);
            applyInput(model, fine, input);
            quietFrom = i + 50;
          }
        const rhythm = coarse[X.RHYTHM]! + 10 * coarse[X.OBJECT_OUT]! + 100 * coarse[X.ARREST]!;
        stepPatient(model, coarse, 100);
        stepPatient(model, fine, 50);
        note(events[1], fine, i / 10 + 0.05);
        stepPatient(model, fine, 50);
        note(events[0], coarse, i / 10 + 0.1);
        note(events[1], fine, i / 10 + 0.1);
        if (rhythm !== coarse[X.RHYTHM]! + 10 * coarse[X.OBJECT_OUT]! + 100 * coarse[X.ARREST]!) quietFrom = i + 100;
        if (i % 20 || i < quietFrom) continue;
        readVitals(model, coarse, a);
        readVitals(model, fine, b);
        for (const id of IDS) {
          const slip = Math.abs(a[id] - b[id]) / Math.max(USUAL[id]!, Math.abs(b[id]));
          if (slip > 0.01) slips.push([i / 600, id, slip]);
        }
      }
      // The last minute before an arrest belongs to the arrest.
      const until = (events[0]['arrest'] ?? Infinity) / 60 - 1;
      expect(slips.filter(([atMin]) => atMin < until)).toEqual([]);
      expect(Object.keys(events[0]).sort()).toEqual(Object.keys(events[1]).sort());
      for (const id of Object.keys(events[0])) expect(Math.abs(events[0][id]! - events[1][id]!), id).toBeLessThan(1);
      if (['anaphylaxis', 'foreign-body', 'opioid-toxicity', 'pneumothorax'].includes(disease))
        expect(Object.keys(events[0]).length).toBeGreaterThan(0);
    },
  );
});
