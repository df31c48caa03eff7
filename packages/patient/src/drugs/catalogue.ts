/** Kinetics in code, keyed by effect id. What a medicine is called, its strengths and doses live in the formulary. */
import type { Route } from '../types.ts';

/** How a medicine behaves once given. Rates per minute. */
export interface LevelKinetics {
  readonly slot: number;
  /** One standard dose: `perKg` held within least..most, in the effect's unit. */
  readonly standard: { readonly perKg: number; readonly least: number; readonly most: number };
  readonly absorb: { readonly inhaled: number; readonly other: number; readonly vein: number };
  readonly leave: number;
  /** Share that arrives, by route; absent = 1. */
  readonly share?: Readonly<Partial<Record<Route, number>>>;
}

export interface EffectSpec {
  /** Unit of `amount` in a dose and of a rate per minute. */
  readonly unit: 'micrograms' | 'mg' | 'mL';
  readonly routes: readonly Route[];
  readonly says: string;
  readonly code: number;
  readonly kind: 'adrenaline' | 'fluid' | 'level' | 'steroid' | 'glucose' | 'slow';
  readonly level?: LevelKinetics;
  /** Standard dose of a steroid, mg/kg, and of glucose, grams per unit. */
  readonly factor?: number;
  /** Standard doses of vessel slackening per standard dose (anaesthetics). */
  readonly slackens?: number;
}

const LN2 = 0.6931471805599453;

/** Level slots, in order. */
export const SALBUTAMOL = 0;
export const IPRATROPIUM = 1;
export const MAGNESIUM = 2;
export const ANTIHISTAMINE = 3;
export const NALOXONE = 4;
export const OPIOID_DOSE = 5;
export const AMINOPHYLLINE = 6;
export const GLUCAGON = 7;
export const FUROSEMIDE = 8;
export const NITRATE = 9;
export const ANAESTHETIC = 10;
export const RELAXANT = 11;

export const EFFECTS = {
  adrenaline: {
    code: 1,
    kind: 'adrenaline',
    unit: 'micrograms',
    routes: ['im', 'subcutaneous', 'iv', 'io', 'neb'],
    says: 'Tightens vessels, opens bronchi, strengthens the heart, slows further release. Thigh muscle is fastest short of a vein.',
  },
  salbutamol: {
    code: 2,
    kind: 'level',
    unit: 'mg',
    routes: ['neb', 'inhaled', 'iv', 'io'],
    says: 'Opens small airways within minutes; faster heart. Less reaches a tight lung.',
    level: {
      slot: SALBUTAMOL,
      standard: { perKg: 0.15, least: 2.5, most: 5 },
      absorb: { inhaled: 1 / 9, other: 1 / 9, vein: 1 / 3 },
      leave: LN2 / 210,
      // Ten puffs through a spacer (1 mg) do about what one nebuliser does; a vein dose is far smaller than a nebulised one.
      share: { inhaled: 5, iv: 12, io: 12 },
    },
  },
  ipratropium: {
    code: 3,
    kind: 'level',
    unit: 'micrograms',
    routes: ['neb', 'inhaled'],
    says: 'Opens small airways a little more, over 20 minutes.',
    level: {
      slot: IPRATROPIUM,
      standard: { perKg: 12, least: 250, most: 500 },
      absorb: { inhaled: 1 / 20, other: 1 / 20, vein: 1 / 20 },
      leave: LN2 / 240,
      share: { inhaled: 3 },
    },
  },
  magnesium: {
    code: 4,
    kind: 'level',
    unit: 'mg',
    routes: ['iv', 'io', 'neb'],
    says: 'Relaxes bronchi during and after a slow infusion; pressure falls a little.',
    level: {
      slot: MAGNESIUM,
      standard: { perKg: 40, least: 100, most: 2000 },
      absorb: { inhaled: 1 / 10, other: 1 / 10, vein: 1 / 5 },
      leave: LN2 / 45,
      share: { neb: 1.5 },
    },
  },
  hydrocortisone: {
    code: 5,
    kind: 'steroid',
    unit: 'mg',
    routes: ['iv', 'io', 'im'],
    factor: 4,
    says: 'Slows the reaction after hours; nothing in the first.',
  },
  prednisolone: {
    code: 6,
    kind: 'steroid',
    unit: 'mg',
    routes: ['oral'],
    factor: 1,
    says: 'Slows the reaction after hours; nothing in the first.',
  },
  dexamethasone: {
    code: 7,
    kind: 'steroid',
    unit: 'mg',
    routes: ['oral', 'iv', 'io', 'im'],
    factor: 0.15,
    says: 'Shrinks croup swelling and slows reactions after hours; nothing in the first.',
  },
  antihistamine: {
    code: 8,
    kind: 'level',
    unit: 'mg',
    routes: ['oral', 'iv', 'io', 'im'],
    says: 'Eases itch and hives only. No effect on breathing or pressure.',
    level: {
      slot: ANTIHISTAMINE,
      standard: { perKg: 0.2, least: 2.5, most: 10 },
      absorb: { inhaled: 0.03, other: 0.03, vein: 0.15 },
      leave: LN2 / 480,
    },
  },
  crystalloid: {
    code: 9,
    kind: 'fluid',
    unit: 'mL',
    routes: ['iv', 'io'],
    says: 'Fills the circulation; three quarters leave it again with a half-life of eight minutes.',
  },
  naloxone: {
    code: 10,
    kind: 'level',
    unit: 'micrograms',
    routes: ['iv', 'io', 'im', 'intranasal', 'subcutaneous'],
    says: 'Reverses an opioid in minutes; wears off before most opioids do.',
    level: {
      slot: NALOXONE,
      standard: { perKg: 10, least: 20, most: 400 },
      absorb: { inhaled: 1 / 8, other: 1 / 4, vein: 1 / 1.5 },
      // Effect fades faster than plasma (half-life about 60 min): 20-60 min of action (Buck ML. Pediatr Pharm 2002).
      leave: LN2 / 25,
      share: { intranasal: 0.5 },
    },
  },
  morphine: {
    code: 11,
    kind: 'level',
    unit: 'mg',
    routes: ['iv', 'io', 'im', 'oral', 'subcutaneous'],
    says: 'Depresses breathing and consciousness in dose.',
    level: {
      slot: OPIOID_DOSE,
      standard: { perKg: 0.1, least: 0.1, most: 10 },
      absorb: { inhaled: 0.05, other: 0.05, vein: 0.2 },
      leave: LN2 / 180,
      share: { oral: 0.35 },
    },
  },
  aminophylline: {
    code: 12,
    kind: 'level',
    unit: 'mg',
    routes: ['iv', 'io'],
    says: 'Opens bronchi a little; faster heart.',
    level: {
      slot: AMINOPHYLLINE,
      standard: { perKg: 5, least: 5, most: 500 },
      absorb: { inhaled: 0.1, other: 0.1, vein: 0.2 },
      leave: LN2 / 360,
    },
  },
  'glucose-10-percent': {
    code: 13,
    kind: 'glucose',
    unit: 'mL',
    routes: ['iv', 'io'],
    factor: 0.1,
    says: 'Raises blood glucose at once.',
  },
  glucagon: {
    code: 14,
    kind: 'level',
    unit: 'mg',
    routes: ['iv', 'io', 'im'],
    says: 'Strengthens and quickens a beta-blocked heart by another door, and lets adrenaline work again; vomiting.',
    level: {
      slot: GLUCAGON,
      // Onset 1-3 min and about a quarter of an hour of effect (label text, from memory).
      standard: { perKg: 0.03, least: 0.1, most: 2 },
      absorb: { inhaled: 0.1, other: 0.12, vein: 1 },
      leave: LN2 / 12,
    },
  },
  furosemide: {
    code: 15,
    kind: 'level',
    unit: 'mg',
    routes: ['iv', 'io'],
    says: 'Widens veins within 5 to 15 minutes; urine follows, most at half an hour.',
    level: {
      slot: FUROSEMIDE,
      standard: { perKg: 0.5, least: 1, most: 40 },
      absorb: { inhaled: 1 / 8, other: 1 / 20, vein: 1 / 8 },
      leave: LN2 / 90,
    },
  },
  'glyceryl-trinitrate': {
    code: 16,
    kind: 'level',
    unit: 'micrograms',
    // Under the tongue or on the skin counts as topical; the first is far quicker and is what is modelled.
    routes: ['topical', 'iv', 'io'],
    says: 'Widens veins, and arteries less: less water is driven into the lungs, and pressure falls. Minutes.',
    level: {
      slot: NITRATE,
      standard: { perKg: 6, least: 50, most: 400 },
      absorb: { inhaled: 0.6, other: 0.6, vein: 1 },
      leave: LN2 / 12,
    },
  },
  antibiotic: {
    code: 17,
    kind: 'slow',
    unit: 'mg',
    routes: ['iv', 'io', 'im', 'oral'],
    says: 'Saves lives over hours and days; nothing changes within the hour.',
  },
  ketamine: {
    code: 18,
    kind: 'level',
    unit: 'mg',
    routes: ['iv', 'io'],
    says: 'Asleep within a minute; the pressure is held better than by others, not surely.',
    level: {
      slot: ANAESTHETIC,
      standard: { perKg: 1.5, least: 3, most: 150 },
      absorb: { inhaled: 1.5, other: 0.3, vein: 1.5 },
      leave: LN2 / 9,
    },
  },
  propofol: {
    code: 19,
    kind: 'level',
    unit: 'mg',
    routes: ['iv', 'io'],
    slackens: 1,
    says: 'Asleep within a minute; vessels widen, so that a shocked patient can lose the pressure altogether.',
    level: {
      slot: ANAESTHETIC,
      standard: { perKg: 2, least: 4, most: 200 },
      absorb: { inhaled: 1.5, other: 0.3, vein: 1.5 },
      leave: LN2 / 9,
    },
  },
  rocuronium: {
    code: 20,
    kind: 'level',
    unit: 'mg',
    routes: ['iv', 'io'],
    says: 'Stops all muscles within a minute for half an hour or more: from then on others breathe, or nobody does.',
    level: {
      slot: RELAXANT,
      standard: { perKg: 1, least: 2, most: 100 },
      absorb: { inhaled: 1.2, other: 0.1, vein: 1.2 },
      leave: LN2 / 20,
    },
  },
} as const satisfies Record<string, EffectSpec>;

export type EffectId = keyof typeof EFFECTS;
export const EFFECT_IDS = Object.keys(EFFECTS) as EffectId[];

/** Effects by code, for doses that wait in the state. */
export const EFFECT_BY_CODE: readonly (EffectSpec | undefined)[] = (() => {
  const list: (EffectSpec | undefined)[] = [];
  for (const id of EFFECT_IDS) list[EFFECTS[id].code] = EFFECTS[id];
  return list;
})();
