/**
 * From a profile to numbers. Everything the step needs is computed here once; the step itself does no look-ups by name.
 * Units: kg, L, mL/min for gases, L/min for flows, mmHg, minutes for rates.
 */
import { clamp, pow } from '../maths/index.ts';
import { PatientError, requireNumber, unknownId } from '../errors.ts';
import type { BaselineId, PatientModel, PatientProfile } from '../types.ts';
import { ANAPHYLAXIS_PATTERNS, RETURN_FADE, RETURN_SIZE } from '../diseases/anaphylaxis.ts';
import { illnessOf } from '../diseases/profile.ts';
import type { Illness } from '../diseases/profile.ts';
import { airwayRadiusMm, diastolicShare, medianSystolic } from '../norms/norms.ts';
import { BLOOD_VOLUME, FRC_ASLEEP, HAEMOGLOBIN, OXYGEN_USE, P50, bandFor, interpolate } from '../norms/tables.ts';
import { content, curveShift, po2OfSaturation } from './gas.ts';
import { UNCERTAIN } from './uncertain.ts';

const BASELINES: Readonly<Record<BaselineId, readonly [number, number]>> = {
  heartRatePerMin: [30, 220],
  respiratoryRatePerMin: [5, 90],
  systolicMmHg: [40, 220],
  diastolicMmHg: [15, 140],
  spo2Percent: [70, 100],
  temperatureCelsius: [30, 42],
  glucoseMmolPerL: [1, 40],
  haemoglobinGPerDl: [5, 22],
};

/** Parameters computed here; a plain record so that it can be logged, compared and overridden in tests. */
export type Parameters = ReturnType<typeof size>;

/** Sets a patient up. Throws PatientError (wrong numbers, unknown ids) and leaves nothing half made. */
export function buildPatient(profile: PatientProfile): PatientModel {
  const illness = illnessOf(profile);
  return { profile, p: size(profile, illness), ill: illness.rows };
}

/** As `buildPatient`, with parameters replaced by name: for tests against published set-ups only. */
export function buildWithParameters(profile: PatientProfile, change: Readonly<Record<string, number>>): PatientModel {
  const illness = illnessOf(profile);
  const p = size(profile, illness) as Record<string, number>;
  for (const key of Object.keys(change)) {
    if (!(key in p)) throw new PatientError('unknown-constant', key, `one of ${Object.keys(p).join(', ')}`);
  }
  return { profile, p: { ...p, ...change }, ill: illness.rows };
}

function multipliers(profile: PatientProfile): (id: string) => number {
  const given = profile.uncertain ?? {};
  const known = UNCERTAIN.map((u) => u.id);
  for (const id of Object.keys(given)) {
    if (!known.includes(id)) throw unknownId('unknown-constant', id, known);
    requireNumber(`uncertain ${id}`, given[id], 0, 10);
  }
  return (id) => given[id] ?? 1;
}

function size(profile: PatientProfile, illness: Illness) {
  const age = requireNumber('ageYears', profile.ageYears, 0, 110);
  const weight = requireNumber('weightKg', profile.weightKg, 1.5, 250);
  if (profile.sex !== 'female' && profile.sex !== 'male')
    throw unknownId('bad-number', profile.sex, ['female', 'male']);
  const baseline = profile.baseline ?? {};
  for (const id of Object.keys(baseline) as BaselineId[]) {
    const range = BASELINES[id];
    if (!range) throw unknownId('unknown-baseline', id, Object.keys(BASELINES));
    requireNumber(id, baseline[id], range[0], range[1]);
  }
  const times = multipliers(profile);
  const ill = illness.reaction;
  const chronic = illness.chronic;
  const co2Set = chronic?.pco2 ?? 40;
  const pattern = ANAPHYLAXIS_PATTERNS[ill.pattern] ?? ANAPHYLAXIS_PATTERNS['food']!;
  const returnsAfter = ill.returnsAfter > 0 ? ill.returnsAfter : (pattern.returns?.afterMin ?? 0);
  const stubborn = pattern.stubborn ?? { uptake: 1, need: 1, leak: 1 };
  const band = bandFor(age);

  const sbp0 = baseline.systolicMmHg ?? medianSystolic(age);
  const dbp0 = baseline.diastolicMmHg ?? sbp0 * diastolicShare(age);
  if (dbp0 > sbp0 - 5) {
    throw new PatientError('bad-number', `pressure ${sbp0}/${dbp0}`, 'a diastolic at least 5 mmHg below the systolic');
  }
  const map0 = dbp0 + (sbp0 - dbp0) / 3;
  const hr0 = baseline.heartRatePerMin ?? band.heart[2];
  const rr0 = baseline.respiratoryRatePerMin ?? band.breathing[2];
  const hb = baseline.haemoglobinGPerDl ?? interpolate(HAEMOGLOBIN[profile.sex], age);
  const temp0 = baseline.temperatureCelsius ?? 37;
  // Oxygen use and blood volume grow less than weight in obesity, so both stop at a lean weight (BMI 27 when height is known).
  const height = profile.heightCm === undefined ? 0 : requireNumber('heightCm', profile.heightCm, 30, 230);
  const lean = height > 0 && age >= 16 ? Math.min(weight, 27 * (height / 100) * (height / 100)) : Math.min(weight, 100);
  const vo2 = interpolate(OXYGEN_USE, age) * lean;
  const vco2 = 0.85 * vo2;
  const va0 = (0.863 * vco2) / co2Set;
  const ve0 = va0 / 0.7;
  const co0 = vo2 / 10 / 4.2;
  const cvp = 4;
  const p50 = interpolate(P50, age);
  const foetal = 26.86 / p50;
  const shift0 = curveShift(temp0, 7.4, co2Set) * foetal;
  // The shunt that leaves the patient at their own saturation on air.
  const pa0 = 0.21 * 713 - co2Set / 0.85;
  const sa0 = (baseline.spo2Percent ?? (chronic ? 100 * chronic.saturation : age >= 70 ? 96.5 : 97.5)) / 100;
  const endCapillary = content(pa0, hb, shift0);
  const wantedPo2 = po2OfSaturation(sa0) / shift0;
  const missing = (endCapillary - content(wantedPo2, hb, shift0)) / 4.2;
  const shunt0 = missing <= 0.005 ? 0.005 : clamp(missing / (1 + missing), 0.005, 0.5);

  return {
    age,
    weight,
    lean,
    adult: age >= 16 ? 1 : 0,
    radiusMm: airwayRadiusMm(age),
    hr0,
    rr0,
    sbp0,
    dbp0,
    pp0: sbp0 - dbp0,
    map0,
    sa0,
    temp0,
    // Lower in the first month (2.5-5 mmol/L in the first days; textbook, from memory).
    glucose0: baseline.glucoseMmolPerL ?? (age < 1 / 12 ? 4 : 5),
    hb,
    foetal,
    bv0: (interpolate(BLOOD_VOLUME[profile.sex], age) * lean) / 1000,
    frc: ((interpolate(FRC_ASLEEP, age) * lean) / 1000) * times('lung-volume'),
    frcAwake: 1.25,
    vo2,
    vco2,
    va0,
    ve0,
    vt0: ve0 / rr0,
    co0,
    sv0: (co0 / hr0) * 1000,
    cvp,
    svr0: (map0 - cvp) / co0,
    shunt0,
    // Switches and sizes of single mechanisms; see the README for each.
    bohr: 1,
    narcosis: 1,
    // Who lives with a high PaCO2 is drowsy later: 66-143 mmHg, mean 89, in retainers mostly confused or drowsy (Mani RK.
    // Indian J Crit Care Med 2005), against about 70 in others.
    co2Tolerance: co2Set > 45 ? 1.2 * (co2Set - 40) : 0,
    acidDrive: 0.03,
    shuntPerB: 0.08,
    lowVqPerB: 0.4 * times('mismatch'),
    resistPerB: 25,
    onset: pattern.onset,
    triggerMin: pattern.triggerMin,
    // A second wave: minutes from the first signs (0 = none), its strength, and how long the first feeds itself (0 = on and on).
    returnsAfter,
    returnSize: pattern.returns?.size ?? RETURN_SIZE,
    fadesMin:
      pattern.fadesMin ??
      (returnsAfter > 0
        ? RETURN_FADE.share * returnsAfter < RETURN_FADE.mostMin
          ? RETURN_FADE.share * returnsAfter
          : RETURN_FADE.mostMin
        : 0),
    muscleUptake: stubborn.uptake,
    // Muscle doses are reckoned in an apparent volume (per share that arrives); what runs into a vein arrives whole, so
    // that its clearance is 0.20 (20/70)^0.25 / 4.83 = 0.0302 L/kg/min at 70 kg (Abboud I et al. Crit Care 2009;13:R120: 127 L/h); at
    // 16 kg 0.044, within 0.016-0.079 of Fisher DG et al. Crit Care Med 1993;21:111-7 (critically ill children, mean 0.029).
    infusionGain: 4.83,
    feedback: pattern.feedback * times('feedback'),
    clearance: 0.02,
    clearanceByAdrenaline: 0.3,
    severity: ill.severity,
    tempo: ill.tempo,
    already: ill.already,
    prelude: illness.prelude,
    // Usual PaCO2, how hard CO2 above it drives breathing, and the bicarbonate the kidney has kept for it (3.5 mmol/L per 10 mmHg of
    // chronic rise, of which 1 is the acute part already counted; textbook, from memory).
    co2Set,
    co2Slope: chronic && chronic.pco2 > 45 ? 0.025 : 0.06,
    kept: 0.25 * (co2Set - 40),
    // Ventilation that lack of oxygen was driving and that rich oxygen takes away (Aubier 1980, from memory: about a fifth at first).
    oxygenDrive: chronic && chronic.pco2 > 45 ? 0.22 * times('oxygen-drive') : 0,
    unmatching: times('oxygen-dead-space'),
    pauseSeed: 1 + Math.floor(weight * 1000),
    wBronchi: pattern.weights.bronchi,
    wUpper: pattern.weights.upperAirway,
    wVessels: pattern.weights.vessels,
    wSkin: pattern.weights.skin,
    wGut: pattern.weights.gut,
    leakMax: 0.38 * times('leak-size'),
    leakRate: 0.1 * stubborn.leak,
    venous: 0.1,
    dilation: 0.55,
    depression: 0.25,
    ec50: times('adrenaline-potency') * stubborn.need,
    opposition: 0.9 * times('adrenaline-opposition'),
    releaseOpposition: 2.5 * times('adrenaline-opposition'),
    stabilising: 0.9,
    relaxing: 0.9,
    floppy: 3,
    // Apparent volume per kg falls with size as clearance goes with weight^0.75 (Oualha M et al. Crit Care 2014;18:R23).
    adrenalineVolume: pow(20 / weight, 0.25),
    adrenalineElimination: 0.2,
    ke0: 0.7 * times('adrenaline-delay'),
    uptakeFloor: 1 - 0.75 * times('perfusion-limited-uptake') > 0 ? 1 - 0.75 * times('perfusion-limited-uptake') : 0,
    salbutamolMax: 0.8,
    salbutamolHalf: 0.25,
    restraint: 1,
    hrMediator: 0.35,
    hrReflex: 0.7 * times('heart-rate-response'),
    hrTop: age < 1 ? 1.7 : age > 60 ? 1.75 : 1.9,
    vagal: (age >= 16 && ill.pattern === 'venom' ? 0.5 : 0) * times('relative-bradycardia'),
    fatigueRate: 0.12 * times('fatigue'),
    debtRate: 0.45 * times('arrest-debt'),
    overdoseHalf: 16,
    // From which share of the usual mean pressure the left heart balks, and how much of a beat each further share costs.
    balk: 1.3,
    afterload: 0.6,
    // How much of the mind goes as pressure falls through three quarters of the usual.
    faint: 0.3,
    etco2PerB: 12,
    usualBreaths: age < 1 ? 25 : age < 8 ? 20 : age < 12 ? 15 : 10,
  };
}
