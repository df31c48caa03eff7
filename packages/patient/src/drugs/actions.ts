/**
 * What the medicines outside the airways do to vessels, reflexes, lung water, wakefulness and muscles, worked out once a
 * step from their levels into slots that breathing, circulation and the lungs read. Every slot is 0 without them.
 *
 * Glyceryl trinitrate: 5 min after 0.3 mg under the tongue mean pressure fell by 9 mmHg and wedge pressure from 17 to 12
 * mmHg, both still down at 30 min (Delgado CE et al. Br Heart J 1975;37:392-6, doi 10.1136/hrt.37.4.392, abstract seen).
 * Furosemide: veins widen within 5-15 min, urine is most at 30-60 (Jhund PS et al. Br J Clin Pharmacol 2000;50:9-13,
 * second-hand); 1 mg/kg brought 860 mL in 90 min in left heart failure (haemodynamic study in 22 men after infarction,
 * abstract seen). In severe chronic failure the first 20 min can be worse (Francis GS et al. Ann Intern Med 1985;103:1-6,
 * abstract seen): not modelled. Anaesthetics: pressure falls after intubation of the critically ill in 30-37 % (Perbet S et
 * al. Crit Care 2015;19:257; Smischney NJ et al. PLoS One 2020;15:e0233852, abstracts seen): vessels widen and the reflex
 * that held them goes. Sizes chosen here to meet these.
 */
import { SLOTS } from '../core/layout.ts';
import type { Parameters } from '../core/parameters.ts';
import { ANAESTHETIC, FUROSEMIDE, NITRATE, RELAXANT } from './catalogue.ts';

const X = SLOTS;

/** Share of urine that comes out of the blood at once; the rest refills from the tissues (chosen here). */
export const URINE_FROM_BLOOD = 0.5;

/** Works the slots out, and lets urine leave, over dtMs. */
export function stepActions(p: Parameters, s: Float64Array, dtMs: number): void {
  const h = dtMs / 60000;
  const nitrate = s[X.LEVEL_BASE + X.LEVEL_STRIDE * NITRATE + 3]!;
  const diuretic = s[X.LEVEL_BASE + X.LEVEL_STRIDE * FUROSEMIDE + 3]!;
  const asleep = s[X.LEVEL_BASE + X.LEVEL_STRIDE * ANAESTHETIC + 3]!;
  const relaxant = s[X.LEVEL_BASE + X.LEVEL_STRIDE * RELAXANT + 3]!;
  const slack = s[X.SLACK]!;
  if (nitrate + diuretic + asleep + relaxant + slack + s[X.DRUG_VEINS]! === 0) return;
  const n = nitrate / (nitrate + 0.7);
  const veins = diuretic / (diuretic + 0.15);
  const depth = (asleep * asleep) / (asleep * asleep + 0.06);
  s[X.SLACK] = slack - h * 0.087 * slack;
  const q = slack / (slack + 0.8);
  s[X.DRUG_VEINS] = 0.09 * n + 0.02 * veins + 0.04 * q + 0.015 * depth;
  s[X.DRUG_ARTERIES] = 0.28 * n + 0.25 * q;
  s[X.DRUG_REFLEX] = 0.3 * depth + 0.4 * q;
  s[X.LUNG_RELIEF] = 0.6 * n + 0.25 * veins;
  s[X.ASLEEP] = depth;
  s[X.RELAXED] = (relaxant * relaxant) / (relaxant * relaxant + 0.02);
  const urine = 0.0002 * p.weight * (diuretic / (diuretic + 0.5));
  s[X.URINE] = s[X.URINE]! + h * urine * 1000;
  s[X.BV] = Math.max(s[X.BV]! - h * URINE_FROM_BLOOD * urine, 0.3 * p.bv0);
}
