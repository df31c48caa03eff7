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

  // From here on everything is 0 unless the patient has, or is driven into, an illness other than anaphylaxis.
  /** First of these. */
  ILLNESS_BASE: 278,
  /** Activity of each disease now, 0..1, in the order of `DISEASE_ORDER`. */
  ACT_BASE: 278,
  /** 1 once a scenario has driven the disease, in the same order. */
  DRIVEN_BASE: 290,
  /** Drives of diseases: now, target, milliseconds left. */
  EXTRA_DRIVE_BASE: 302,
  EXTRA_DRIVE_COUNT: 12,
  /** What all diseases together ask of each mechanism now; see `MECHANISMS`. */
  MECH_BASE: 338,

  /** Object in the airway: part of the radius it takes, 0..1. */
  OBJECT: 354,
  /** How far it has been worked loose, 1 = out. */
  LOOSENED: 355,
  /** 1 after it has come out. */
  OBJECT_OUT: 356,
  /** Air around the left and the right lung, 1 = tension. */
  AIR_LEFT: 357,
  AIR_RIGHT: 358,
  /** Way out for it: 0 none, 1 needle, 2 drain. */
  OUTLET_LEFT: 359,
  OUTLET_RIGHT: 360,
  /** Minutes a needle has been in. */
  NEEDLE_LEFT_MIN: 361,
  NEEDLE_RIGHT_MIN: 362,
  /** Share of filling that pressure in the chest takes from the heart, 0..1. */
  TAMPING: 363,
  /** Water in the lungs 0..1. */
  WATER: 364,
  /** Secretions 0..1. */
  SECRETIONS: 365,
  /** 1 during a pause in breathing. */
  PAUSE: 366,
  /** Minutes of the pause left. */
  PAUSE_LEFT_MIN: 367,
  /** Minutes to the next, as long as nothing changes. */
  PAUSE_NEXT_MIN: 368,
  /** State of the draw that times pauses. */
  PAUSE_DRAW: 369,
  /** Dead space from oxygen undoing the lung’s own matching, 0..1. */
  UNMATCHED: 370,
  /** Minutes of being roused left. */
  ROUSED_MIN: 371,
  /** Pauses so far. */
  PAUSE_COUNT: 372,

  /** Minutes on the heart's own store during complete obstruction. */
  STORE_USED_MIN: 388,

  // Ledger of fluxes, kept only while LEDGER is 1 (tests); mL
  LEDGER: 373,
  L_O2_IN: 374,
  L_O2_LUNG_TO_BLOOD: 375,
  L_O2_TO_BLOOD: 376,
  L_O2_USED: 377,
  L_O2_RESIZED: 378,
  L_O2_BLOOD_RESIZED: 379,
  L_O2_CLAMPED: 380,
  L_CO2_OUT: 381,
  L_CO2_MADE: 382,
  L_CO2_CLAMPED: 383,
  L_FRC: 384,
  L_LOW: 385,
  L_BV: 386,
  L_O2_LAG: 387,
  L_SET: 389,

  // The two lungs, left then right; 0 while both are open
  /** Share of that lung that holds no gas. */
  CLOSED_LEFT: 390,
  CLOSED_RIGHT: 391,
  /** Share of that lung that gets little air. */
  NARROW_LEFT: 392,
  NARROW_RIGHT: 393,
  /** Share of the blood that goes to the left lung, less its usual one. */
  DIVERTED: 394,
  /** Main bronchus a tube lies in: 0 neither, 1 left, 2 right. */
  TUBE_SIDE: 395,
  /** How far the lung beyond the end of the tube has emptied, 0..1. */
  TUBE_SHUT: 396,
  /** 1 while the tube is too deep. */
  TUBE_DEEP: 398,
  /** Shunt of the two sides, share of output. */
  SIDED_SHUNT: 399,

  // Treatments beyond the first set; each is 0 until somebody uses it
  /** Under-skin adrenaline on its way to the vessels, micrograms. */
  AD_SC_TRANSIT: 400,
  /** Unstressed volume that medicines add, fraction. */
  DRUG_VEINS: 401,
  /** Share of resistance that medicines take, 0..1. */
  DRUG_ARTERIES: 402,
  /** Share of the pressure reflex that medicines take, 0..1. */
  DRUG_REFLEX: 403,
  /** Share of lung water aimed at that medicines take, 0..1. */
  LUNG_RELIEF: 404,
  /** Vessels slackened by an anaesthetic, standard doses. */
  SLACK: 405,
  /** Anaesthesia 0..1. */
  ASLEEP: 406,
  /** Neuromuscular block 0..1. */
  RELAXED: 407,
  /** Urine a diuretic has brought, mL. */
  URINE: 408,
  /** Set on a machine: breath, mL/kg; end-expiratory pressure, cmH2O; share of the cycle breathed in. 0 = usual. */
  TIDAL_SET: 409,
  PEEP_SET: 410,
  INSPIRED_SHARE: 411,
  /** Share of each given breath that a mask keeps, 0 = usual. */
  MASK_SEAL: 412,
  /** 1 while the tube lies in the gullet. */
  TUBE_GULLET: 413,
  /** Minutes left of an attempt to pass a tube: no breaths given. */
  ATTEMPT_LEFT_MIN: 414,
  /** Air left behind by given breaths, mL/kg. */
  TRAPPED: 415,
  /** Share of filling that pressure from given breaths takes, 0..1. */
  PRESSED: 416,
  /** Minutes of this arrest without and with compressions worth the name. */
  NO_FLOW_MIN: 417,
  LOW_FLOW_MIN: 418,
  /** Coma and weakness left by an arrest, 0..1. */
  STUNNED: 419,
  /** Litres each given breath brings through open airways. */
  BREATH: 420,
  /** Heart muscle worn by too much adrenaline, 0..1. */
  STRAIN: 421,
  /** A fit, 0..1. */
  FIT: 422,

  // Steering by faculty; every slot is 0 until somebody steers, pushes or holds back an arrest
  /** 1 while any of these is at work. */
  STEER_ON: 430,
  /** Aimed at: 1 better, -1 worse, 0 handed back, 2 the body stands still. */
  STEER_AIM: 431,
  /** Speed, whole ways per minute. */
  STEER_PACE: 432,
  /** How far now, -1..1. */
  STEER: 433,
  /** A passing push aimed at, its minutes left, and how far it is felt now. */
  PUSH_TO: 434,
  PUSH_LEFT_MIN: 435,
  PUSH: 436,
  /** Both together, -1..1: what the step uses. */
  STEER_NET: 437,
  /** Mediator activity of the reaction itself, while MED holds what is felt. */
  MED_OWN: 438,
  /** 1 while an arrest is held back, 2 while getting better after one. */
  BRINK: 439,
  /** Drives as set, while their own places hold what is felt of them. */
  DRIVES_OWN: 440,

  /** Length of a patient state. */
  STATE_SIZE: 460,
} as const;
