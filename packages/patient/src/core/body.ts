/** Consciousness, temperature, glucose, lactate, and the short memory that tells rising from falling. */
import { clamp, unit } from '../maths/index.ts';
import { M_FEVER } from '../diseases/mechanisms.ts';
import { GLUCAGON } from '../drugs/catalogue.ts';
import { D_FEVER, D_GLUCOSE, D_PARALYSIS, drive, level } from './drive.ts';
import { SLOTS } from './layout.ts';
import type { Parameters } from './parameters.ts';

const X = SLOTS;

/** Slow quantities over dtMs. */
export function stepBody(p: Parameters, s: Float64Array, dtMs: number): void {
  const h = dtMs / 60000;
  const oxygen = unit((s[X.SAO2]! - 0.45) / 0.3);
  const pressure = unit((s[X.MAP]! / p.map0 - 0.3) / 0.28);
  const carbon = 1 - unit((s[X.PA_CO2]! - 70) / 50);
  const sugar = unit((s[X.GLUCOSE]! - 1.2) / 1.6);
  const anaesthetised = 1 - drive(s, D_PARALYSIS);
  const opioid = 1 - 0.95 * s[X.OPIOID]! * s[X.OPIOID]!;
  const alive = s[X.ARREST]! > 0 ? 0 : 1;
  const awake = oxygen * pressure * carbon * sugar * opioid * anaesthetised * alive * (1 - 0.25 * s[X.FATIGUE]!);
  // Lost within about ten seconds, regained within half a minute.
  const tau = awake < s[X.AWAKE]! ? 0.15 : 0.5;
  s[X.AWAKE] = unit(s[X.AWAKE]! + unit(h / tau) * (awake - s[X.AWAKE]!));

  s[X.TEMP] = clamp(s[X.TEMP]! + (h / 20) * (p.temp0 + drive(s, D_FEVER) + s[M_FEVER]! - s[X.TEMP]!), 28, 43);
  const sugarTarget = Math.max(p.glucose0 + drive(s, D_GLUCOSE) + 3 * s[X.AD_E]! + glucagonSugar(s), 0.5);
  s[X.GLUCOSE] = clamp(s[X.GLUCOSE]! + (h / 25) * (sugarTarget - s[X.GLUCOSE]!), 0.3, 60);

  // Lactate: made when tissues go short, and by adrenaline and salbutamol; cleared with a half-life near 20 min. Chosen here.
  const short = 1 - s[X.VO2]! / p.vo2;
  const strain = unit((0.5 - s[X.CO]! / p.co0) / 0.5);
  const made = 1.6 * unit(short) + 0.35 * strain + 0.04 * s[X.AD_E]! + 0.1 * s[X.AD_EX]! + 0.03 * s[X.E_SALB]!;
  s[X.LACTATE] = clamp(s[X.LACTATE]! + h * (made - 0.035 * (s[X.LACTATE]! - 1)), 0.5, 25);

  const k = unit(h * 6);
  s[X.LAG_SAO2] = s[X.LAG_SAO2]! + k * (s[X.SAO2]! - s[X.LAG_SAO2]!);
  s[X.LAG_MAP] = s[X.LAG_MAP]! + k * (s[X.MAP]! - s[X.LAG_MAP]!);
  s[X.LAG_HR] = s[X.LAG_HR]! + k * (s[X.HR]! - s[X.LAG_HR]!);
  s[X.LAG_CO2] = s[X.LAG_CO2]! + k * (s[X.PA_CO2]! - s[X.LAG_CO2]!);
  s[X.LAG_VE] = s[X.LAG_VE]! + k * (s[X.VE]! - s[X.LAG_VE]!);
  s[X.LAG_E] = s[X.LAG_E]! + k * (s[X.AD_E]! - s[X.LAG_E]!);
  s[X.LAG_B] = s[X.LAG_B]! + k * (s[X.B]! - s[X.LAG_B]!);
  s[X.LAG_MED] = s[X.LAG_MED]! + k * (s[X.MED]! - s[X.LAG_MED]!);
}

/** Glucagon empties the liver's sugar store: up to 3 mmol/L (chosen here). */
function glucagonSugar(s: Float64Array): number {
  const g = level(s, GLUCAGON);
  return (3 * g) / (g + 0.5);
}
