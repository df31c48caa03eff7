/**
 * Signs that may be turned without anything changing, each with the reason. Written as `file: expression`; where the same
 * expression stands more than once in a file, all of them are meant unless a number says which.
 */
export interface EqualSign {
  readonly file: string;
  readonly text: string;
  readonly nth?: number;
  readonly why: string;
}

const SEARCH = 'only the pace of a search that keeps its bracket: the root is the same to 1e-9';
const NONE = 'adds or takes nought: the column is the first of its row';
const SUM = 'asks only whether all are nought: parts of a sum would have to cancel to the last bit';

/** Whether a sign is one of those. */
export function isEqual(sign: { file: string; text: string; nth: number }): boolean {
  return EQUAL_SIGNS.some(
    (one) => one.file === sign.file && one.text === sign.text && (one.nth ?? sign.nth) === sign.nth,
  );
}

export const EQUAL_SIGNS: readonly EqualSign[] = [
  { file: 'diseases/profile.ts', text: 'ROW * i + R_SEVERITY', why: NONE },
  { file: 'norms/tables.ts', text: 'CENTILES.length - 1', why: 'not reached: ages of 130 years and more are refused' },
  { file: 'core/gas.ts', text: 'p - miss / contentSlope(p, haemoglobin, shift)', why: SEARCH },
  { file: 'core/gas.ts', text: 'p - miss / slope', why: SEARCH },
  { file: 'core/gas.ts', text: 'next - p', why: SEARCH },
  { file: 'core/gas.ts', text: 'p - next', why: SEARCH },
  {
    file: 'core/gas.ts',
    text: '1.34 * hb * (23400 * (3 * bound * bound + 150) / (d * d)) * shift + 31e-4',
    why: SEARCH,
  },
  { file: 'core/gas.ts', text: '3 * bound * bound + 150', why: SEARCH },
  {
    file: 'core/parameters.ts',
    text: '1 + Math.floor(weight * 1e3)',
    why: 'the seed of a draw: any other whole number serves as well',
  },
  { file: 'drugs/step.ts', text: 's[at] + s[at + 1] + s[at + 2] + s[at + 3] + s[at + 4]', why: SUM },
  { file: 'drugs/step.ts', text: 's[at] + s[at + 1] + s[at + 2] + s[at + 3]', why: SUM },
  { file: 'drugs/step.ts', text: 's[at] + s[at + 1] + s[at + 2]', why: SUM },
  { file: 'drugs/step.ts', text: 's[at] + s[at + 1]', why: SUM },
  { file: 'drugs/actions.ts', text: 'nitrate + diuretic', why: SUM },
  { file: 'drugs/actions.ts', text: 'nitrate + diuretic + asleep', why: SUM },
  { file: 'drugs/actions.ts', text: 'nitrate + diuretic + asleep + relaxant', why: SUM },
  { file: 'drugs/actions.ts', text: 'nitrate + diuretic + asleep + relaxant + slack', why: SUM },
  { file: 'drugs/actions.ts', text: 'nitrate + diuretic + asleep + relaxant + slack + s[X.DRUG_VEINS]', why: SUM },
  {
    file: 'drugs/step.ts',
    text: 'X.LEVEL_BASE + X.LEVEL_STRIDE * SALBUTAMOL',
    why: 'adds or takes nought: the first place',
  },
  {
    file: 'core/steering.ts',
    text: 'X.DRIVES_OWN + X.DRIVE_COUNT',
    why: 'clears what nobody reads before it is written anew, when steering begins again',
  },
  {
    file: 'core/delivery.ts',
    text: 'left - given',
    nth: 1,
    why: 'clears the name of a dose that has run in: a place without an amount is free whatever it is called',
  },
  {
    file: 'diseases/lungs.ts',
    text: 'body * rows[ROW * FOREIGN_BODY + R_VESSELS] + solid * rows[ROW * PNEUMONIA + R_VESSELS]',
    why: 'adds or takes nought: in no pattern of pneumonia do vessels answer',
  },
  {
    file: 'diseases/lungs.ts',
    text: 'ROW * PNEUMONIA + R_VESSELS',
    why: 'reads a weight that is nought in every pattern of an object, where that of pneumonia is nought too',
  },
];
