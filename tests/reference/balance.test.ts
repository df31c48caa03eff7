/**
 * Nothing is lost: volumes of any patient under any plan close to 1e-6 L at every step, with what a limit took written down;
 * medicines likewise. Oxygen and CO2, by illness, close in packages/patient/test/illness.test.ts; here for any age and plan.
 */
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { bundled } from '../../packages/patient/test/bundled.ts';
import type { PatientInput } from '@breathline/patient';
import { begin, dose, drive, hands, oxygen } from './behaviours.ts';
import { anyone, runs } from './people.ts';

const api = await bundled();

const { SLOTS: X, applyInput, stepPatient } = api;

const plan: fc.Arbitrary<readonly (readonly [atStep: number, input: PatientInput])[]> = fc.array(
  fc.tuple(
    fc.integer({ min: 0, max: 6000 }),
    fc.oneof(
      fc.integer({ min: 0, max: 10 }).map((n) => drive('mediators', n / 10, 1)),
      fc.integer({ min: 0, max: 8 }).map((n) => drive('bleeding', n)),
      fc.integer({ min: 0, max: 10 }).map((n) => drive('vasoplegia', n / 10, 2)),
      fc.integer({ min: 0, max: 10 }).map((n) => drive('bronchospasm', n / 10, 2)),
      fc.integer({ min: 0, max: 6 }).map((n) => drive('shunt', n / 10, 1)),
      fc.integer({ min: 0, max: 4000 }).map((mL) => dose('crystalloid', 'iv', mL, 5)),
      fc.integer({ min: 0, max: 1000 }).map((n) => dose('adrenaline', 'im', n)),
      fc.constantFrom(
        oxygen('cpap', undefined, 0.6),
        oxygen('non-rebreathe-mask', 15),
        hands('breaths-given', 20),
        hands('cpr'),
      ),
    ),
  ),
  { minLength: 2, maxLength: 8 },
);

describe('balances at any age under any plan', () => {
  it('blood: what is there is what was, less leak, bleeding and crystalloid gone, plus what came; limits on the ledger', () => {
    let touched = 0;
    fc.assert(
      fc.property(anyone(), plan, (who, inputs) => {
        const [model, s] = begin(api, who);
        const p = model.p as Record<string, number>;
        const [least, most] = [0.3 * p['bv0']!, 2 * p['bv0']!];
        let clamped = 0;
        const at0 = s[X.BV]! + s[X.LEAKED]! - s[X.VI]! * 0.75;
        let bled = 0;
        let given0 = s[X.FLUID_IN]!;
        let sum = 0;
        for (let i = 0; i < 6000; i++) {
          for (const [step, input] of inputs) if (step === i) applyInput(model, s, input);
          const before = s[X.BV]! + s[X.LEAKED]! - 0.75 * s[X.VI]!;
          stepPatient(model, s, 100);
          const loss = (s[X.DRIVE_BASE + 7 * X.DRIVE_STRIDE]! * p['weight']!) / 1000 / 600;
          bled += loss;
          const came = (s[X.FLUID_IN]! - given0) / 1000;
          given0 = s[X.FLUID_IN]!;
          sum += 0.25 * came;
          const slip = s[X.BV]! + s[X.LEAKED]! - 0.75 * s[X.VI]! - (before + 0.25 * came - loss);
          // Only a limit may take or give, and only at the limit.
          if (Math.abs(slip) > 1e-9) {
            const atLimit = Math.abs(s[X.BV]! - least) < 1e-9 || s[X.BV]! > most - 0.2 * p['bv0']!;
            expect(atLimit, `step ${i}: ${slip} L`).toBe(true);
            clamped += slip;
            touched++;
          }
        }
        const now = s[X.BV]! + s[X.LEAKED]! - 0.75 * s[X.VI]!;
        expect(Math.abs(now - (at0 + sum - bled + clamped))).toBeLessThan(1e-6);
      }),
      runs(12),
    );
    // The limits were reached by some of these plans, or the ledger would have gone untried.
    expect(touched).toBeGreaterThan(0);
  });

  it('oxygen and CO2 close to 1e-6 mL, limits on the ledger', () => {
    fc.assert(
      fc.property(anyone(), plan, (who, inputs) => {
        const [model, s] = begin(api, who);
        const p = model.p as Record<string, number>;
        const carbon = () => 0.12 * p['weight']! * s[X.PA_CO2]! + (p['vco2']! / 4) * s[X.PT_CO2]!;
        const oxygenNow = () => api.ledgers.lungOxygen(s, s[X.L_FRC]!, s[X.L_LOW]!) + 7.5 * s[X.L_BV]! * s[X.CV_O2]!;
        s[X.LEDGER] = 1;
        stepPatient(model, s, 100);
        for (let i = X.L_O2_IN; i <= X.L_CO2_CLAMPED; i++) s[i] = 0;
        s[X.L_O2_LAG] = 0;
        const [o0, c0] = [oxygenNow(), carbon()];
        for (let i = 0; i < 6000; i++) {
          for (const [step, input] of inputs) if (step === i) applyInput(model, s, input);
          stepPatient(model, s, 100);
        }
        const o = s[X.L_O2_IN]! - s[X.L_O2_USED]! + s[X.L_O2_RESIZED]! + s[X.L_O2_BLOOD_RESIZED]! + s[X.L_O2_CLAMPED]! - s[X.L_O2_LAG]!; // prettier-ignore
        expect(Math.abs(oxygenNow() - o0 - o)).toBeLessThan(1e-6);
        expect(Math.abs(carbon() - c0 - (s[X.L_CO2_MADE]! - s[X.L_CO2_OUT]! + s[X.L_CO2_CLAMPED]!))).toBeLessThan(1e-6);
        expect(Math.abs(s[X.L_O2_LUNG_TO_BLOOD]! - s[X.L_O2_TO_BLOOD]!)).toBeLessThan(1e-6);
        expect(s[X.L_O2_USED]!).toBeGreaterThan(0);
        expect(s[X.L_CO2_MADE]! / s[X.L_O2_USED]!).toBeCloseTo(0.85, 6);
      }),
      runs(6),
    );
  });
});
