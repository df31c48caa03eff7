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
} as const satisfies Record<string, DriveSpec>;

export type DriveId = keyof typeof DRIVES;
export const DRIVE_IDS = Object.keys(DRIVES) as DriveId[];
