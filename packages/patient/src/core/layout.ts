/**
 * Where each quantity lives in the flat state. Everything that changes is here, so copying the array copies the whole
 * patient. Indices are private to this package and may change with any version.
 */

// Clock
/** Minutes since time zero. */
export const T_MIN = 0;

// Gas
/** Alveolar PO2 of well-ventilated lung, mmHg. */
export const PA_O2 = 1;
/** Alveolar PO2 of poorly ventilated lung, mmHg. */
export const PL_O2 = 2;
/** Arterial (and lung) PCO2, mmHg. */
export const PA_CO2 = 3;
/** Tissue PCO2, mmHg. */
export const PT_CO2 = 4;
/** Mixed venous oxygen content, mL/dL. */
export const CV_O2 = 5;
/** Arterial content, mL/dL. */
export const CA_O2 = 6;
/** Arterial PO2, mmHg. */
export const PAO2 = 7;
/** Arterial saturation, fraction. */
export const SAO2 = 8;
/** Factor on PO2 before the standard curve (temperature, pH, PCO2, haemoglobin). */
export const SHIFT = 9;
/** Arterial pH. */
export const PH = 10;
/** Bicarbonate, mmol/L. */
export const HCO3 = 11;
/** Mmol/L. */
export const LACTATE = 12;
/** Inspired oxygen fraction at the mouth, lagged. */
export const FIO2 = 13;
/** Oxygen used now, mL/min. */
export const VO2 = 14;
/** Oxygen delivered, mL/min. */
export const DO2 = 15;
/** True shunt, fraction of output. */
export const SHUNT = 16;
/** Share of output through poorly ventilated lung. */
export const LOW_VQ = 17;

// Breathing
/** Minute ventilation, L/min. */
export const VE = 18;
/** Wanted minute ventilation, L/min. */
export const DEMAND = 19;
/** Greatest sustainable ventilation, L/min. */
export const MVV = 20;
/** Demand over MVV. */
export const LOAD = 21;
/** 0..1. */
export const FATIGUE = 22;
/** Small-airway resistance over normal. */
export const R_LOWER = 23;
/** Upper-airway resistance over normal. */
export const R_UPPER = 24;
/** Dead space fraction. */
export const VD_VT = 25;
/** Alveolar ventilation, L/min. */
export const VA = 26;
/** Breaths per min. */
export const RR = 27;
/** Brain-stem drive 0..1. */
export const CNS = 28;
/** Ventilation given by others, L/min. */
export const ASSIST = 29;
/** Respiratory depression 0..1 after antagonist. */
export const OPIOID = 30;

// Mediators and end organs
/** How hard release is driven now, 0..1. */
export const RELEASE = 31;
/** Mediator activity 0..1. */
export const MED = 32;
/** Bronchospasm 0..1. */
export const B = 33;
/** Upper-airway swelling; 1 halves the radius. */
export const U = 34;
/** Skin activity 0..1. */
export const SKIN = 35;
/** Gut activity 0..1. */
export const GUT = 36;

// Circulation
/** Blood volume, L. */
export const BV = 37;
/** Crystalloid still in the circulation, L. */
export const VI = 38;
/** Plasma in the tissues, L. */
export const LEAKED = 39;
/** Sympathetic outflow 0..1. */
export const SYMP = 40;
/** Heart rate, per min. */
export const HR = 41;
/** Resistance, mmHg min/L. */
export const SVR = 42;
/** Stroke volume, mL. */
export const SV = 43;
/** Output, L/min. */
export const CO = 44;
/** Filling over normal. */
export const PRELOAD = 45;
/** MmHg. */
export const MAP = 46;
/** MmHg. */
export const SBP = 47;
/** MmHg. */
export const DBP = 48;
/** Hypoxic-ischaemic debt 0..1. */
export const DEBT = 49;
/** Capillary refill, s. */
export const REFILL = 50;
/** Skin perfusion 0..1. */
export const PERFUSION = 51;
/** Added unstressed volume, fraction, lagged. */
export const POSTURE = 52;

// Arrest
/** 1 while there is no output. */
export const ARREST = 53;
/** See RHYTHMS. */
export const RHYTHM = 54;
/** Minutes since output stopped. */
export const ARREST_MIN = 55;
/** 0..1 towards return of circulation. */
export const RESTART = 56;

// Brain, heat, sugar
/** Consciousness 0..1. */
export const AWAKE = 57;
/** Degrees C. */
export const TEMP = 58;
/** Mmol/L. */
export const GLUCOSE = 59;

// Adrenaline
/** Fast depot, micrograms. */
export const AD_FAST = 60;
/** Slow depot, micrograms. */
export const AD_SLOW = 61;
/** Subcutaneous depot, micrograms. */
export const AD_SC = 62;
/** Deposited in the upper airway, standard doses. */
export const AD_NEB = 63;
/** On its way there, standard doses. */
export const AD_NEB_DEPOT = 64;
/** Plasma, ng/mL. */
export const AD_C = 65;
/** Effect site, ng/mL. */
export const AD_CE = 66;
/** Heart and vessels, ng/mL (fast). */
export const AD_CX = 67;
/** Effect 0..1. */
export const AD_E = 68;
/** Overdose response 0..1. */
export const AD_EX = 69;
/** Infusion, micrograms/min. */
export const AD_RATE = 70;

// Other medicines
/** Doses so far, standard doses. */
export const STEROID = 71;
/** Minutes since the first, -1 before. */
export const STEROID_MIN = 72;
/** Salbutamol effect 0..1. */
export const E_SALB = 73;
/** Continuous fluid, mL/min. */
export const FLUID_RATE = 74;
/** Fluid given so far, mL. */
export const FLUID_IN = 75;

// Set by people
/** Oxygen device code. */
export const DEVICE = 76;
/** L/min, 0 = unset. */
export const FLOW = 77;
/** Fraction, 0 = unset. */
export const FIO2_SET = 78;
/** Code. */
export const POSTURE_CODE = 79;
/** Compressions per min, 0 = none. */
export const CPR = 80;
/** Breaths given per min, 0 = none. */
export const BREATHS = 81;
/** 1 while held open. */
export const AIRWAY_OPEN = 82;
/** 1 once a scenario has driven release. */
export const MEDIATORS_DRIVEN = 83;

// Ten-second memory, for trends
export const LAG_SAO2 = 84;
export const LAG_MAP = 85;
export const LAG_HR = 86;
export const LAG_CO2 = 87;
export const LAG_VE = 88;
export const LAG_E = 89;
export const LAG_B = 90;
export const LAG_MED = 91;

// Drives: now, target, milliseconds left
export const DRIVE_BASE = 92;
export const DRIVE_STRIDE = 3;
export const DRIVE_COUNT = 20;

// Level medicines: inhaled depot, other depot, vein depot, level (all in standard doses), infusion rate (doses/min)
export const LEVEL_BASE = DRIVE_BASE + DRIVE_STRIDE * DRIVE_COUNT;
export const LEVEL_STRIDE = 5;
export const LEVEL_COUNT = 12;

// Doses that take time (nebulisers, boluses): effect code, route code, amount left, amount per minute
export const QUEUE_BASE = LEVEL_BASE + LEVEL_STRIDE * LEVEL_COUNT;
export const QUEUE_STRIDE = 4;
export const QUEUE_COUNT = 16;

/** Length of a patient state. */
export const STATE_SIZE = QUEUE_BASE + QUEUE_STRIDE * QUEUE_COUNT;
