import { SLOTS } from '../core/layout.ts';

/** A knob a scenario may turn. `to` of a drive input must lie in min..max. */
export interface DriveSpec {
  readonly index: number;
  readonly unit: string;
  readonly min: number;
  readonly max: number;
  readonly says: string;
}

/** Every drive by id. Indices are private to the state layout. */
export const DRIVES = {
  mediators: {
    index: 0,
    unit: 'fraction',
    min: 0,
    max: 1,
    says: 'How hard the allergic release is being driven; replaces the pattern’s own trigger.',
  },
  bronchospasm: { index: 1, unit: 'fraction', min: 0, max: 1, says: 'Small-airway narrowing from any other cause.' },
  'upper-airway-oedema': {
    index: 2,
    unit: 'fraction',
    min: 0,
    max: 1.4,
    says: 'Swelling above the cords from any other cause; 1 halves the radius.',
  },
  opioid: {
    index: 3,
    unit: 'fraction',
    min: 0,
    max: 1,
    says: 'Depression of breathing and consciousness by an opioid.',
  },
  shunt: {
    index: 4,
    unit: 'fraction of output',
    min: 0,
    max: 0.6,
    says: 'Blood passing through lung that holds no gas (consolidation, flooding).',
  },
  'dead-space': { index: 5, unit: 'fraction of a breath', min: 0, max: 0.4, says: 'Added breath that meets no blood.' },
  'airway-block': {
    index: 6,
    unit: 'fraction of the radius',
    min: 0,
    max: 1,
    says: 'A body in the upper airway; 1 lets nothing past.',
  },
  bleeding: { index: 7, unit: 'mL/kg/min', min: 0, max: 10, says: 'Blood lost from the circulation.' },
  vasoplegia: {
    index: 8,
    unit: 'fraction',
    min: 0,
    max: 1,
    says: 'Loss of arterial and venous tone from any other cause.',
  },
  'heart-weakness': { index: 9, unit: 'fraction', min: 0, max: 1, says: 'Loss of contractility.' },
  fever: {
    index: 10,
    unit: 'degrees Celsius above the patient’s own',
    min: -5,
    max: 5,
    says: 'Body temperature aimed at; reached over about 20 minutes.',
  },
  glucose: {
    index: 11,
    unit: 'mmol/L above the patient’s own',
    min: -6,
    max: 25,
    says: 'Blood glucose aimed at; reached over about 10 minutes.',
  },
  paralysis: {
    index: 12,
    unit: 'fraction',
    min: 0,
    max: 1,
    says: 'Weakness of breathing muscles (neuromuscular block, anaesthesia); 1 stops breathing.',
  },
  agitation: {
    index: 13,
    unit: 'fraction',
    min: 0,
    max: 1,
    says: 'Distress: more breath wanted, through a narrower, more turbulent airway.',
  },
  'beta-blockade': {
    index: 14,
    unit: 'fraction',
    min: 0,
    max: 1,
    says: 'Beta-blocker on board: adrenaline answers less in heart and bronchi.',
  },
  'apnoea-drive': {
    index: 15,
    unit: 'fraction',
    min: 0,
    max: 1,
    says: 'Central pauses in breathing; 1 stops breathing.',
  },
  asthma: {
    index: 20,
    unit: 'fraction',
    min: 0,
    max: 1,
    says: 'Acute asthma: how active it is, in its pattern’s own way; 1 is the pattern at its worst.',
  },
  croup: {
    index: 21,
    unit: 'fraction',
    min: 0,
    max: 1,
    says: 'Croup: how swollen; 1 is the pattern at its worst.',
  },
  bronchiolitis: {
    index: 22,
    unit: 'fraction',
    min: 0,
    max: 1,
    says: 'Bronchiolitis: how ill; 1 is the pattern at its worst, with pauses in breathing where the pattern has them.',
  },
  'foreign-body': {
    index: 23,
    unit: 'fraction',
    min: 0,
    max: 1,
    says: 'An object in the airway, where the pattern says: 1 takes the whole of the pattern’s room, 0 takes it away. Setting it above 0 puts a new one there.',
  },
  pneumonia: {
    index: 24,
    unit: 'fraction',
    min: 0,
    max: 1,
    says: 'Pneumonia: how much lung and blood; 1 is the pattern at its worst.',
  },
  copd: {
    index: 25,
    unit: 'fraction',
    min: 0,
    max: 1,
    says: 'Exacerbation of chronic lung disease; 1 is the pattern at its worst.',
  },
  pneumothorax: {
    index: 27,
    unit: 'fraction',
    min: 0,
    max: 1,
    says: 'Air leak into the chest on the pattern’s side; 1 goes on to tension where the pattern does, 0 stops the leak.',
  },
  'pulmonary-oedema': {
    index: 28,
    unit: 'fraction',
    min: 0,
    max: 1,
    says: 'Water driven into the lungs; 1 is the pattern at its worst.',
  },
} as const satisfies Record<string, DriveSpec>;

export type DriveId = keyof typeof DRIVES;
export const DRIVE_IDS = Object.keys(DRIVES) as DriveId[];

/** Where a drive lives in the state: its value now, then its target, then the milliseconds left. */
export function driveAddress(id: DriveId): number {
  const { index } = DRIVES[id];
  return index < SLOTS.DRIVE_COUNT
    ? SLOTS.DRIVE_BASE + SLOTS.DRIVE_STRIDE * index
    : SLOTS.EXTRA_DRIVE_BASE + SLOTS.DRIVE_STRIDE * (index - SLOTS.DRIVE_COUNT);
}
