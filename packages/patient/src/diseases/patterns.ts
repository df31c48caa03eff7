/**
 * Diseases other than anaphylaxis: what each does to the body at full activity, and its own time course when no scenario
 * drives it. Every weight is a choice of this model, shaped on the behaviour named beside it; see the README for what is
 * checked against what.
 */
import type { Weights } from './mechanisms.ts';

export interface DiseasePattern {
  readonly says: string;
  /** Minutes from nothing to full when it runs by itself. */
  readonly riseMin: number;
  /** Time constant, minutes, of the level's fade after that; its effect fades later. Absent = it stays. */
  readonly fadeMin?: number;
  /** What full activity (1) adds to each mechanism. */
  readonly weights: Weights;
  /** Side of a one-sided illness; absent = both or none. */
  readonly side?: 'left' | 'right';
  /** What it does to that lung at full activity: shares of it without gas and with little air, and how far its vessels answer, 0..1. */
  readonly lung?: { readonly closed: number; readonly narrow: number; readonly vessels: number };
  /** Object in the airway: part of the radius it takes at full activity. */
  readonly object?: number;
  /** Air around the lung aimed at, 1 = tension; more under positive pressure. */
  readonly air?: number;
  /** Water in the lungs aimed at. */
  readonly water?: number;
  /** Chronic retainer: usual PaCO2, mmHg; usual saturation, fraction; dead space that rich oxygen adds. */
  readonly chronic?: { readonly pco2: number; readonly saturation: number; readonly unmatching: number };
}

/** Order is the order of slots in the state. */
export const DISEASE_ORDER = [
  'asthma',
  'croup',
  'bronchiolitis',
  'foreign-body',
  'pneumonia',
  'copd',
  'opioid-toxicity',
  'pneumothorax',
  'pulmonary-oedema',
] as const;

export type OtherDiseaseId = (typeof DISEASE_ORDER)[number];

export const ASTHMA = 0;
export const CROUP = 1;
export const BRONCHIOLITIS = 2;
export const FOREIGN_BODY = 3;
export const PNEUMONIA = 4;
export const COPD = 5;
export const OPIOID = 6;
export const PNEUMOTHORAX = 7;
export const OEDEMA = 8;

type Patterns = Readonly<Record<string, DiseasePattern>>;

const asthma: Patterns = {
  moderate: {
    says: 'Wheeze and a fast rate; settles with the first nebulisers.',
    riseMin: 20,
    weights: { spasm: 0.55, urge: 0.35, agitation: 0.1 },
  },
  'acute-severe': {
    says: 'Cannot finish sentences, fast pulse and breathing; PaCO2 low while strength lasts.',
    riseMin: 20,
    weights: { spasm: 0.76, urge: 0.45, secretions: 0.15, agitation: 0.3 },
  },
  'life-threatening': {
    says: 'Tight and plugged: quiet chest, tiring, PaCO2 normal and then rising; bronchodilators only do part.',
    riseMin: 15,
    weights: { spasm: 0.66, plugging: 0.22, urge: 0.45, secretions: 0.35, agitation: 0.35 },
  },
};

const croup: Patterns = {
  viral: {
    says: 'Barking cough, stridor, hoarse; worse when upset; saturation holds until the child tires.',
    riseMin: 30,
    weights: { swelling: 0.96, urge: 0.15, fever: 0.8, agitation: 0.1 },
  },
  spasmodic: {
    says: 'Sudden at night without fever; stridor that comes on within minutes.',
    riseMin: 6,
    weights: { swelling: 0.85, urge: 0.15, agitation: 0.2 },
  },
};

const bronchiolitis: Patterns = {
  viral: {
    says: 'Wet, wheezy, fast and sucking in; bronchodilators hardly help, suction and high flow do.',
    riseMin: 30,
    weights: {
      plugging: 0.42,
      shunt: 0.05,
      deadSpace: 0.1,
      lowVq: 0.02,
      stiffness: 0.2,
      lostGas: 0.15,
      urge: 0.3,
      fever: 0.7,
      secretions: 1,
    },
  },
  'with-apnoea': {
    says: 'As viral, in the first weeks of life: breathing stops now and then.',
    riseMin: 30,
    weights: {
      plugging: 0.32,
      shunt: 0.05,
      deadSpace: 0.1,
      lowVq: 0.02,
      stiffness: 0.2,
      lostGas: 0.15,
      urge: 0.2,
      fever: 0.4,
      secretions: 1,
      pauses: 0.5,
    },
  },
};

const foreignBody: Patterns = {
  'laryngeal-partial': {
    says: 'Air still moves past it: stridor, coughing, voice.',
    riseMin: 0.05,
    object: 0.42,
    weights: { urge: 0.3, agitation: 0.5 },
  },
  'laryngeal-complete': {
    says: 'Nothing passes: silent, no voice, no cough.',
    riseMin: 0.05,
    object: 1,
    weights: { urge: 0.3, agitation: 0.6 },
  },
  'right-bronchial': {
    says: 'Past the voice box, on the right: little air entry and a wheeze on one side.',
    riseMin: 0.2,
    side: 'right',
    lung: { closed: 0.25, narrow: 0.45, vessels: 1 },
    weights: { plugging: 0.06, stiffness: 0.7, urge: 0.3, agitation: 0.2 },
  },
  'left-bronchial': {
    says: 'Past the voice box, on the left: little air entry and a wheeze on one side.',
    riseMin: 0.2,
    side: 'left',
    lung: { closed: 0.25, narrow: 0.45, vessels: 1 },
    weights: { plugging: 0.06, stiffness: 0.6, urge: 0.3, agitation: 0.2 },
  },
};

const pneumonia: Patterns = {
  'right-lobar': {
    says: 'Fever, fast breathing, dull and crackly on the right.',
    riseMin: 30,
    side: 'right',
    lung: { closed: 0.4, narrow: 0, vessels: 0 },
    weights: { stiffness: 0.7, urge: 0.5, fever: 2.2, lostGas: 0.1, secretions: 0.3 },
  },
  'left-lobar': {
    says: 'Fever, fast breathing, dull and crackly on the left.',
    riseMin: 30,
    side: 'left',
    lung: { closed: 0.44, narrow: 0, vessels: 0 },
    weights: { stiffness: 0.6, urge: 0.5, fever: 2.2, lostGas: 0.08, secretions: 0.3 },
  },
  bilateral: {
    says: 'Both lungs: oxygen helps less.',
    riseMin: 30,
    weights: { shunt: 0.36, stiffness: 1.4, urge: 0.7, fever: 2, lostGas: 0.2, secretions: 0.3 },
  },
  septic: {
    says: 'One lung and the blood: warm, then a falling pressure that answers fluid.',
    riseMin: 30,
    side: 'right',
    lung: { closed: 0.4, narrow: 0, vessels: 0 },
    weights: { stiffness: 0.7, urge: 0.9, fever: 2.4, lostGas: 0.1, vasoplegia: 0.75, weakness: 0.28 },
  },
};

const copd: Patterns = {
  retainer: {
    says: 'Lives with a high PaCO2; too much oxygen raises it further.',
    riseMin: 30,
    weights: { plugging: 0.2, spasm: 0.24, deadSpace: 0.28, lowVq: 0.03, stiffness: 0.6, urge: 0.2, secretions: 0.4 },
    chronic: { pco2: 54, saturation: 0.92, unmatching: 0.07 },
  },
  'non-retainer': {
    says: 'Usual PaCO2; wheezy and wet, answers bronchodilators in part.',
    riseMin: 30,
    weights: { plugging: 0.22, spasm: 0.36, deadSpace: 0.05, lowVq: 0.03, stiffness: 0.4, urge: 0.4, secretions: 0.3 },
    chronic: { pco2: 42, saturation: 0.94, unmatching: 0.05 },
  },
};

const opioid: Patterns = {
  'short-acting': {
    says: 'Injected: breathing slows within minutes; half gone in three quarters of an hour.',
    riseMin: 1.5,
    fadeMin: 18,
    weights: { opioid: 0.98 },
  },
  'morphine-like': {
    says: 'Slower and longer than a dose of naloxone.',
    riseMin: 4,
    // Half-life 2.5 h (2-4 h in adults: label text, from memory).
    fadeMin: 216,
    weights: { opioid: 0.95 },
  },
  'long-acting': {
    says: 'Tablets or syrup that last most of a day: naloxone has to be repeated.',
    riseMin: 12,
    fadeMin: 900,
    weights: { opioid: 0.92 },
  },
};

const pneumothorax: Patterns = {
  'right-tension': {
    says: 'Air builds up on the right until blood can not return to the heart.',
    riseMin: 12,
    side: 'right',
    air: 1,
    weights: { urge: 0.7, agitation: 0.3 },
  },
  'left-tension': {
    says: 'Air builds up on the left until blood can not return to the heart.',
    riseMin: 12,
    side: 'left',
    air: 1,
    weights: { urge: 0.7, agitation: 0.3 },
  },
  'right-simple': {
    says: 'Part of the right lung down, no tension, unless breaths are pushed in.',
    riseMin: 5,
    side: 'right',
    air: 0.45,
    weights: { urge: 0.4 },
  },
  'left-simple': {
    says: 'Part of the left lung down, no tension, unless breaths are pushed in.',
    riseMin: 5,
    side: 'left',
    air: 0.45,
    weights: { urge: 0.4 },
  },
};

const oedema: Patterns = {
  cardiogenic: {
    says: 'Heart failure: sits bolt upright, crackles, froth; pressure at the mask helps.',
    riseMin: 20,
    water: 1,
    weights: { weakness: 0.18, urge: 0.15, agitation: 0.3 },
  },
  flash: {
    says: 'Within minutes, with a high pressure.',
    riseMin: 6,
    water: 1,
    weights: { weakness: 0.08, urge: 0.25, agitation: 0.5 },
  },
};

export interface OtherDisease {
  readonly says: string;
  readonly usualPattern: string;
  readonly patterns: Patterns;
}

export const OTHER_DISEASES: Readonly<Record<OtherDiseaseId, OtherDisease>> = {
  asthma: { says: 'Acute asthma.', usualPattern: 'acute-severe', patterns: asthma },
  croup: { says: 'Swelling below the voice box in a small child.', usualPattern: 'viral', patterns: croup },
  bronchiolitis: {
    says: 'Viral infection of an infant’s small airways.',
    usualPattern: 'viral',
    patterns: bronchiolitis,
  },
  'foreign-body': { says: 'Something breathed in.', usualPattern: 'laryngeal-complete', patterns: foreignBody },
  pneumonia: { says: 'Infected lung.', usualPattern: 'right-lobar', patterns: pneumonia },
  copd: {
    says: 'Exacerbation of chronic obstructive lung disease.',
    usualPattern: 'retainer',
    patterns: copd,
  },
  'opioid-toxicity': { says: 'Too much of an opioid.', usualPattern: 'morphine-like', patterns: opioid },
  pneumothorax: { says: 'Air between lung and chest wall.', usualPattern: 'right-tension', patterns: pneumothorax },
  'pulmonary-oedema': { says: 'Water in the lungs.', usualPattern: 'cardiogenic', patterns: oedema },
};
