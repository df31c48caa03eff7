/** Making and copying patients. */
import { PatientError } from '../errors.ts';
import type { PatientModel, PatientState, TrueVitals } from '../types.ts';
import { airwayBlock } from './drive.ts';
import { M_DEAD_SPACE } from '../diseases/mechanisms.ts';
import { content, curveShift } from './gas.ts';
import { SLOTS } from './layout.ts';
import type { Parameters } from './parameters.ts';
import { stepPatient } from './step.ts';

const X = SLOTS;

/** Minutes run before time zero, with the illness off, so that the patient starts steady. */
const SETTLE_MIN = 10;

/** A settled patient at time zero: lying down, on air, before any illness. */
export function createState(model: PatientModel): PatientState {
  const p = model.p as Parameters;
  const s = new Float64Array(X.STATE_SIZE) as PatientState;
  const shift = p.bohr > 0 ? curveShift(p.temp0, 7.4, 40) * p.foetal : 1;
  s[X.T_MIN] = -SETTLE_MIN - p.prelude;
  s[X.PA_O2] = 102;
  s[X.PL_O2] = 102;
  s[X.PA_CO2] = p.co2Set;
  s[X.PT_CO2] = p.co2Set + 6;
  s[X.PAO2] = 95;
  s[X.SAO2] = p.sa0;
  s[X.CA_O2] = content(95, p.hb, shift);
  s[X.CV_O2] = s[X.CA_O2]! - 4.2;
  s[X.SHIFT] = shift;
  s[X.PH] = 7.4;
  s[X.HCO3] = 24;
  s[X.LACTATE] = 1;
  s[X.FIO2] = 0.21;
  s[X.VO2] = p.vo2;
  s[X.DO2] = 10 * p.co0 * s[X.CA_O2]!;
  s[X.SHUNT] = p.shunt0;
  s[X.VE] = p.ve0;
  s[X.DEMAND] = p.ve0;
  s[X.MVV] = 9 * p.ve0;
  s[X.VD_VT] = 0.3;
  s[X.VA] = p.va0;
  s[X.RR] = p.rr0;
  s[X.CNS] = 1;
  s[X.R_LOWER] = 1;
  s[X.R_UPPER] = 1;
  s[X.BV] = p.bv0;
  s[X.HR] = p.hr0;
  s[X.SVR] = p.svr0;
  s[X.SV] = p.sv0;
  s[X.CO] = p.co0;
  s[X.PRELOAD] = 1;
  s[X.MAP] = p.map0;
  s[X.SBP] = p.sbp0;
  s[X.DBP] = p.dbp0;
  s[X.REFILL] = 1.5;
  s[X.PERFUSION] = 1;
  s[X.AWAKE] = 1;
  s[X.TEMP] = p.temp0;
  s[X.GLUCOSE] = p.glucose0;
  s[X.STEROID_MIN] = -1;
  const steps = SETTLE_MIN * 600;
  for (let i = 0; i < steps; i++) stepPatient(model, s, 100);
  // A reaction that began before time zero has run its own course until now.
  s[X.T_MIN] = -p.prelude;
  const before = Math.round(p.prelude * 600);
  for (let i = 0; i < before; i++) stepPatient(model, s, 100);
  s[X.T_MIN] = 0;
  return s;
}

/** A full, independent copy. */
export function copyState(state: PatientState): PatientState {
  if (state.length !== X.STATE_SIZE) {
    throw new PatientError('wrong-state', `a state of ${state.length} numbers`, `${X.STATE_SIZE} numbers`);
  }
  return new Float64Array(state) as PatientState;
}

/** An empty set of vitals for `readVitals` to fill. */
export function createVitals(): TrueVitals {
  return {
    heartRatePerMin: 0,
    pulseRatePerMin: 0,
    respiratoryRatePerMin: 0,
    spo2Percent: 0,
    systolicMmHg: 0,
    diastolicMmHg: 0,
    meanMmHg: 0,
    etco2MmHg: 0,
    temperatureCelsius: 0,
    glucoseMmolPerL: 0,
    capillaryRefillS: 0,
    perfusionFraction: 0,
    consciousnessFraction: 0,
    paco2MmHg: 0,
    pao2MmHg: 0,
    arterialPh: 0,
    lactateMmolPerL: 0,
    ventilationRatio: 0,
    bronchospasmFraction: 0,
    upperAirwayFraction: 0,
    fio2Fraction: 0,
    rhythm: 0,
    arrested: 0,
  };
}

/** Writes what is true now into `out` (and returns it); allocates nothing. */
export function readVitals(model: PatientModel, state: PatientState, out: TrueVitals): TrueVitals {
  const p = model.p as Parameters;
  const s = state;
  const arrested = s[X.ARREST]! > 0;
  out.heartRatePerMin = s[X.HR]!;
  out.pulseRatePerMin = arrested ? s[X.CPR]! : s[X.SBP]! < 30 ? 0 : s[X.HR]!;
  out.respiratoryRatePerMin = s[X.RR]!;
  out.spo2Percent = 100 * s[X.SAO2]!;
  out.systolicMmHg = s[X.SBP]!;
  out.diastolicMmHg = s[X.DBP]!;
  out.meanMmHg = s[X.MAP]!;
  out.etco2MmHg = endTidal(p, s);
  out.temperatureCelsius = s[X.TEMP]!;
  out.glucoseMmolPerL = s[X.GLUCOSE]!;
  out.capillaryRefillS = s[X.REFILL]!;
  out.perfusionFraction = s[X.PERFUSION]!;
  out.consciousnessFraction = s[X.AWAKE]!;
  out.paco2MmHg = s[X.PA_CO2]!;
  out.pao2MmHg = s[X.PAO2]!;
  out.arterialPh = s[X.PH]!;
  out.lactateMmolPerL = s[X.LACTATE]!;
  out.ventilationRatio = s[X.VE]! / p.ve0;
  out.bronchospasmFraction = s[X.B]!;
  const u = s[X.U]!;
  const block = airwayBlock(s);
  const upper = 1 - (1 - (u > 1 ? 1 : u)) * (1 - block);
  out.upperAirwayFraction = upper;
  out.fio2Fraction = s[X.FIO2]!;
  out.rhythm = s[X.RHYTHM]!;
  out.arrested = s[X.ARREST]!;
  return out;
}

/** End-tidal CO2, mmHg: arterial less a gap that widens with bronchospasm and low output; 0 when nothing is exhaled. */
function endTidal(p: Parameters, s: Float64Array): number {
  if (s[X.RR]! <= 0 || (s[X.DEVICE] === 9 && s[X.TUBE_GULLET]! > 0)) return 0;
  const flow = s[X.CO]! / p.co0;
  // In arrest the lungs give up what little blood brings them: about 10-20 mmHg under good compressions, and a jump when
  // the heart is back (Falk JL et al. N Engl J Med 1988;318:607-11, from memory; guideline aim above 10 mmHg).
  if (s[X.ARREST]! > 0) return Math.max((s[X.PA_CO2]! - 3 - 25 * s[M_DEAD_SPACE]!) * Math.min(1.1 * flow, 1), 0);
  const gap = 3 + p.etco2PerB * s[X.B]! + 25 * (1 - (flow < 1 ? flow : 1)) + 25 * s[M_DEAD_SPACE]!;
  const e = s[X.PA_CO2]! - gap;
  return e > 0 ? e : 0;
}
