/** A blood gas as an analyser would print it, computed from the model's blood. */
import { unknownId } from '../errors.ts';
import type { BloodGas, BloodGasSite, PatientModel, PatientState } from '../types.ts';
import { bloodPh, po2OfContent, saturation } from './gas.ts';
import { SLOTS } from './layout.ts';
import type { Parameters } from './parameters.ts';

const X = SLOTS;

/** What blood bound to haemoglobin buffers when CO2 is taken up in the tissues, mmol/L per mmHg (acute, textbook). */
const BUFFER = 0.1;

/**
 * pH, gases and metabolites of blood drawn now. `venous` is mixed venous; a peripheral sample in shock is worse.
 * `capillary` is a warmed heel or ear: arterial in good flow, towards venous as flow fails. Throws for an unknown site.
 */
export function bloodGas(model: PatientModel, state: PatientState, site: BloodGasSite): BloodGas {
  const p = model.p as Parameters;
  const s = state;
  let venous: number;
  if (site === 'arterial') venous = 0;
  else if (site === 'venous') venous = 1;
  // A warmed capillary sample holds a tenth of venous blood at full perfusion, most of it when the skin is shut down (chosen here).
  else if (site === 'capillary') venous = 0.1 + 0.6 * (1 - s[X.PERFUSION]!);
  else throw unknownId('unknown-input', site, ['arterial', 'venous', 'capillary']);
  const pco2 = s[X.PA_CO2]! + venous * (s[X.PT_CO2]! - s[X.PA_CO2]!);
  const hco3 = s[X.HCO3]! + BUFFER * (pco2 - s[X.PA_CO2]!);
  const content = s[X.CA_O2]! + venous * (s[X.CV_O2]! - s[X.CA_O2]!);
  const po2 = po2OfContent(content, p.hb, s[X.SHIFT]!, s[X.PAO2]!);
  const pH = bloodPh(hco3, pco2);
  return {
    site,
    pH,
    pco2MmHg: pco2,
    pco2KPa: pco2 / 7.50062,
    po2MmHg: po2,
    po2KPa: po2 / 7.50062,
    bicarbonateMmolPerL: hco3,
    baseExcessMmolPerL: standardBaseExcess(pH, hco3),
    lactateMmolPerL: s[X.LACTATE]!,
    glucoseMmolPerL: s[X.GLUCOSE]!,
    haemoglobinGPerDl: p.hb,
    saturationPercent: 100 * saturation(po2 * s[X.SHIFT]!),
  };
}

/**
 * Standard base excess, mmol/L: 0.9287 (HCO3 - 24.4 + 14.83 (pH - 7.4)), CLSI C46 after Siggaard-Andersen's Van Slyke
 * equation (coefficients from memory).
 */
export function standardBaseExcess(pH: number, bicarbonate: number): number {
  return 0.9287 * (bicarbonate - 24.4 + 14.83 * (pH - 7.4));
}
