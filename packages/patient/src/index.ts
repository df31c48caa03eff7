/**
 * A simulated patient as pure maths: for training only, not for patient care. See README.md for every equation, its
 * source and its limits.
 */
export type * from './types.ts';
export { GRADES, LETTERS, OXYGEN_DEVICES, POSTURES, ROUTES, SIGNS } from './types.ts';
export { PatientError } from './errors.ts';
export type { PatientErrorCode } from './errors.ts';
export { buildPatient } from './core/parameters.ts';
export { copyState, createState, createVitals, readVitals } from './core/state.ts';
export { stepPatient } from './core/step.ts';
export { touchedState } from './core/touched.ts';
export { applyInput } from './core/inputs.ts';
export { isAtBrink, steeringNow, WORSE_ENDS_MINUTES } from './core/steering.ts';
export { bloodGas, standardBaseExcess } from './core/bloodgas.ts';
export { isFitting, readSign } from './core/signs.ts';
export { readFindings } from './explain/findings.ts';
export { explain } from './explain/explain.ts';
export { chestSides, type Side as ChestSide } from './explain/sides.ts';
export { ageNorms, airwayRadiusMm, oedemaFraction } from './norms/norms.ts';
export { CENTILES } from './norms/tables.ts';
export { DISEASES } from './diseases/catalogue.ts';
export { DRIVES } from './diseases/drives.ts';
export type { DriveId, DriveSpec } from './diseases/drives.ts';
export { EFFECTS } from './drugs/catalogue.ts';
export type { EffectId, EffectSpec } from './drugs/catalogue.ts';
export { DEVICE_FAULTS, deviceDelivery, deviceUseText } from './drugs/auto-injector.ts';
export type { DeviceDelivery, DeviceFault, DeviceUse } from './drugs/auto-injector.ts';
export { PROCEDURES, RHYTHMS } from './core/codes.ts';
export { UNCERTAIN } from './core/uncertain.ts';
export type { UncertainConstant } from './core/uncertain.ts';
export * from './maths/index.ts';
export { pressureAnchors, rateCentile } from './norms/centiles.ts';
export type { PressureAnchors, RateCentile } from './norms/centiles.ts';
export * from './scores/index.ts';
