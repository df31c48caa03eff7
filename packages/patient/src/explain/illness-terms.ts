/** The terms an illness other than anaphylaxis, or too much of a medicine, adds to an explanation; none while there is neither. */
import { SLOTS } from '../core/layout.ts';
import { DISEASE_ORDER } from '../diseases/patterns.ts';
import * as M from '../diseases/mechanisms.ts';
import type { ExplanationTerm } from '../types.ts';

const X = SLOTS;

export type TermGroup =
  'oxygen' | 'breathing' | 'carbon' | 'heart' | 'pressure' | 'skin' | 'brain' | 'airway' | 'other';

const NAMES: Readonly<Record<(typeof DISEASE_ORDER)[number], string>> = {
  asthma: 'Asthma',
  croup: 'Croup',
  bronchiolitis: 'Bronchiolitis',
  'foreign-body': 'Foreign body',
  pneumonia: 'Pneumonia',
  copd: 'COPD exacerbation',
  'opioid-toxicity': 'Opioid on board',
  pneumothorax: 'Air leak',
  'pulmonary-oedema': 'Pulmonary oedema',
};

interface Row {
  readonly id: string;
  readonly label: string;
  readonly slot: number;
  readonly groups: readonly TermGroup[];
  readonly scale: number;
  readonly unit: string;
}

const row = (id: string, label: string, slot: number, groups: readonly TermGroup[], scale = 100, unit = '%'): Row => ({
  id,
  label,
  slot,
  groups,
  scale,
  unit,
});

const ROWS: readonly Row[] = [
  row('object', 'Radius taken by the object', X.OBJECT, ['airway', 'breathing', 'oxygen', 'carbon']),
  row('pause', 'Breathing paused', X.PAUSE, ['breathing', 'oxygen', 'carbon'], 1, ''),
  row('air-left', 'Air around the left lung', X.AIR_LEFT, ['oxygen', 'breathing', 'pressure', 'heart']),
  row('air-right', 'Air around the right lung', X.AIR_RIGHT, ['oxygen', 'breathing', 'pressure', 'heart']),
  row('closed-left', 'Left lung without gas', X.CLOSED_LEFT, ['oxygen']),
  row('closed-right', 'Right lung without gas', X.CLOSED_RIGHT, ['oxygen']),
  row('narrow-left', 'Left lung with little air', X.NARROW_LEFT, ['oxygen', 'airway']),
  row('narrow-right', 'Right lung with little air', X.NARROW_RIGHT, ['oxygen', 'airway']),
  row('tube-shut', 'Lung cut off by the tube', X.TUBE_SHUT, ['oxygen', 'breathing'], 100),
  row('tamping', 'Filling lost to pressure in the chest', X.TAMPING, ['pressure', 'heart', 'skin', 'brain']),
  row('water', 'Water in the lungs', X.WATER, ['oxygen', 'breathing']),
  row('secretions', 'Secretions', X.SECRETIONS, ['oxygen', 'breathing']),
  row('plugging', 'Airways narrowed beyond bronchodilators', M.M_PLUGGING, ['airway', 'breathing', 'oxygen']),
  row('illness-shunt', 'Shunt from the illness', M.M_SHUNT, ['oxygen']),
  row('illness-dead-space', 'Dead space from the illness', M.M_DEAD_SPACE, ['carbon', 'breathing']),
  row('unmatched', 'Matching undone by oxygen', X.UNMATCHED, ['carbon', 'breathing']),
  row('stiffness', 'Extra stiffness', M.M_STIFFNESS, ['breathing'], 1, ''),
  row('urge', 'Urge to breathe from the illness', M.M_URGE, ['breathing', 'heart'], 1, 'times resting'),
  row('vasoplegia', 'Vessel tone lost', M.M_VASOPLEGIA, ['pressure', 'heart', 'skin', 'brain']),
  row('weakness', 'Contractility lost', M.M_WEAKNESS, ['pressure', 'heart']),
  row('worn-heart', 'Heart muscle worn by adrenaline', X.STRAIN, ['pressure', 'heart', 'skin']),
  row('fit', 'Fitting', X.FIT, ['brain', 'breathing', 'pressure']),
  row('fever', 'Fever aimed at', M.M_FEVER, ['other', 'heart'], 1, '°C'),
];

/** Terms for one group, most telling first: the illnesses themselves, then what they do to this vital. */
export function illnessTerms(s: Float64Array, group: TermGroup): ExplanationTerm[] {
  const terms: ExplanationTerm[] = [];
  DISEASE_ORDER.forEach((id, i) => {
    const a = s[X.ACT_BASE + i]!;
    if (a > 0.005) terms.push({ id: `illness-${id}`, label: NAMES[id], value: 100 * a, unit: '%' });
  });
  for (const one of ROWS) {
    const v = s[one.slot]!;
    if (v > 0.005 && one.groups.includes(group))
      terms.push({ id: one.id, label: one.label, value: v * one.scale, unit: one.unit });
  }
  return terms;
}
