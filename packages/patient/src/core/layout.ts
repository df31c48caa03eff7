/**
 * Where each quantity lives in the flat state. Everything that changes is here, so copying the array copies the whole
 * patient. Indices are private to this package and may change with any version.
 */
export const SLOTS = {
  // Clock
  /** Minutes since time zero. */
  T_MIN: 0,

  // Gas
  /** Alveolar PO2 of well-ventilated lung, mmHg. */
  PA_O2: 1,
  /** Alveolar PO2 of poorly ventilated lung, mmHg. */
  PL_O2: 2,
  /** Arterial (and lung) PCO2, mmHg. */
  PA_CO2: 3,
  /** Tissue PCO2, mmHg. */
  PT_CO2: 4,
  /** Mixed venous oxygen content, mL/dL. */
  CV_O2: 5,
  /** Arterial content, mL/dL. */
  CA_O2: 6,
  /** Arterial PO2, mmHg. */
  PAO2: 7,
  /** Arterial saturation, fraction. */
  SAO2: 8,
  /** Factor on PO2 before the standard curve (temperature, pH, PCO2, haemoglobin). */
  SHIFT: 9,
  /** Arterial pH. */
  PH: 10,
  /** Bicarbonate, mmol/L. */
  HCO3: 11,
  /** Mmol/L. */
  LACTATE: 12,
  /** Inspired oxygen fraction at the mouth, lagged. */
  FIO2: 13,
  /** Oxygen used now, mL/min. */
  VO2: 14,
  /** Oxygen delivered, mL/min. */
  DO2: 15,
  /** True shunt, fraction of output. */
  SHUNT: 16,
  /** Share of output through poorly ventilated lung. */
  LOW_VQ: 17,

  // Breathing
  /** Minute ventilation, L/min. */
  VE: 18,
  /** Wanted minute ventilation, L/min. */
  DEMAND: 19,
  /** Greatest sustainable ventilation, L/min. */
  MVV: 20,
  /** Demand over MVV. */
  LOAD: 21,
  /** 0..1. */
  FATIGUE: 22,
  /** Small-airway resistance over normal. */
  R_LOWER: 23,
  /** Upper-airway resistance over normal. */
  R_UPPER: 24,
  /** Dead space fraction. */
  VD_VT: 25,
  /** Alveolar ventilation, L/min. */
  VA: 26,
  /** Breaths per min. */
  RR: 27,
  /** Brain-stem drive 0..1. */
  CNS: 28,
  /** Ventilation given by others, L/min. */
  ASSIST: 29,
  /** Respiratory depression 0..1 after antagonist. */
  OPIOID: 30,

  // Mediators and end organs
  /** How hard release is driven now, 0..1. */
  RELEASE: 31,
  /** Mediator activity 0..1. */
  MED: 32,
  /** Bronchospasm 0..1. */
  B: 33,
  /** Upper-airway swelling; 1 halves the radius. */
  U: 34,
  /** Skin activity 0..1. */
  SKIN: 35,
  /** Gut activity 0..1. */
  GUT: 36,

  // Circulation
  /** Blood volume, L. */
  BV: 37,
  /** Crystalloid still in the circulation, L. */
  VI: 38,
  /** Plasma in the tissues, L. */
  LEAKED: 39,
  /** Sympathetic outflow 0..1. */
  SYMP: 40,
  /** Reflex answer to high pressure 0..1. */
  RESTRAINT: 41,
  /** Heart rate, per min. */
  HR: 42,
  /** Resistance, mmHg min/L. */
  SVR: 43,
  /** Stroke volume, mL. */
  SV: 44,
  /** Output, L/min. */
  CO: 45,
  /** Filling over normal. */
  PRELOAD: 46,
  /** MmHg. */
  MAP: 47,
  /** MmHg. */
  SBP: 48,
  /** MmHg. */
  DBP: 49,
  /** Hypoxic-ischaemic debt 0..1. */
  DEBT: 50,
  /** Capillary refill, s. */
  REFILL: 51,
  /** Skin perfusion 0..1. */
  PERFUSION: 52,
  /** Added unstressed volume, fraction, lagged. */
  POSTURE: 53,

  // Arrest
  /** 1 while there is no output. */
  ARREST: 54,
  /** See RHYTHMS. */
  RHYTHM: 55,
  /** Minutes since output stopped. */
  ARREST_MIN: 56,
  /** 0..1 towards return of circulation. */
  RESTART: 57,

  // Brain, heat, sugar
  /** Consciousness 0..1. */
  AWAKE: 58,
  /** Degrees C. */
  TEMP: 59,
  /** Mmol/L. */
  GLUCOSE: 60,

  // Adrenaline
  /** Fast depot, micrograms. */
  AD_FAST: 61,
  /** Slow depot, micrograms. */
  AD_SLOW: 62,
  /** Subcutaneous depot, micrograms. */
  AD_SC: 63,
  /** Deposited in the upper airway, standard doses. */
  AD_NEB: 64,
  /** On its way there, standard doses. */
  AD_NEB_DEPOT: 65,
  /** Plasma, ng/mL. */
  AD_C: 66,
  /** Effect site, ng/mL. */
  AD_CE: 67,
  /** Heart and vessels, ng/mL (fast). */
  AD_CX: 68,
  /** Effect 0..1. */
  AD_E: 69,
  /** Effect on further release 0..1. */
  AD_ER: 70,
  /** Overdose response 0..1. */
  AD_EX: 71,
  /** Infusion, micrograms/min. */
  AD_RATE: 72,

  // Other medicines
  /** Doses so far, standard doses. */
  STEROID: 73,
  /** Minutes since the first, -1 before. */
  STEROID_MIN: 74,
  /** Salbutamol effect 0..1. */
  E_SALB: 75,
  /** Continuous fluid, mL/min. */
  FLUID_RATE: 76,
  /** Fluid given so far, mL. */
  FLUID_IN: 77,

  // Set by people
  /** Oxygen device code. */
  DEVICE: 78,
  /** L/min, 0 = unset. */
  FLOW: 79,
  /** Fraction, 0 = unset. */
  FIO2_SET: 80,
  /** Code. */
  POSTURE_CODE: 81,
  /** Compressions per min, 0 = none. */
  CPR: 82,
  /** Breaths given per min, 0 = none. */
  BREATHS: 83,
  /** 1 while held open. */
  AIRWAY_OPEN: 84,
  /** 1 once a scenario has driven release. */
  MEDIATORS_DRIVEN: 85,

  // Ten-second memory, for trends
  LAG_SAO2: 86,
  LAG_MAP: 87,
  LAG_HR: 88,
  LAG_CO2: 89,
  LAG_VE: 90,
  LAG_E: 91,
  LAG_B: 92,
  LAG_MED: 93,

  // Drives: now, target, milliseconds left
  DRIVE_BASE: 94,
  DRIVE_STRIDE: 3,
  DRIVE_COUNT: 20,

  // Level medicines: inhaled depot, other depot, vein depot, level (all in standard doses), infusion rate (doses/min)
  LEVEL_BASE: 154,
  LEVEL_STRIDE: 5,
  LEVEL_COUNT: 12,

  // Doses that take time (nebulisers, boluses): effect code, route code, amount left, amount per minute
  QUEUE_BASE: 214,
  QUEUE_STRIDE: 4,
  QUEUE_COUNT: 16,

  /** Length of a patient state. */
  STATE_SIZE: 278,
} as const;
