/**
 * Westley croup score. Westley CR, Cotton EK, Brooks JG. Am J Dis Child 1978;132:484-7,
 * doi:10.1001/archpedi.1978.02120300044008; items as in Ital J Pediatr 2017;43, doi:10.1186/s13052-017-0348-x, table 12.
 * The bands are later and differ between publications, so each set has a name and goes with the result.
 */
import { item, Observations, totalOf } from './common.ts';
import type { ScoreOutcome } from './types.ts';

export interface WestleyObservations {
  readonly stridor: 'none' | 'agitated' | 'at-rest';
  readonly retractions: 'none' | 'mild' | 'moderate' | 'severe';
  readonly airEntry: 'normal' | 'decreased' | 'markedly-decreased';
  readonly cyanosis: 'none' | 'agitated' | 'at-rest';
  readonly consciousness: 'normal' | 'altered';
}

type BandRow = readonly [from: number, band: string, words: string];

/** Three published sets of bands, named by where "severe" begins. */
export const WESTLEY_BAND_SETS = {
  'severe-from-8': {
    source: 'Tertiary review (mild to 2, moderate 3 to 7, severe 8 to 11, impending failure from 12).',
    rows: [
      [0, 'mild', 'Mild (0 to 2)'],
      [3, 'moderate', 'Moderate (3 to 7)'],
      [8, 'severe', 'Severe (8 to 11)'],
      [12, 'impending-failure', 'Impending respiratory failure (12 or more)'],
    ],
  },
  'severe-from-6': {
    source:
      'Ital J Pediatr 2017;43, doi:10.1186/s13052-017-0348-x (mild to 2, moderate 3 to 5, severe 6 to 11, then over 11).',
    rows: [
      [0, 'mild', 'Mild (0 to 2)'],
      [3, 'moderate', 'Moderate (3 to 5)'],
      [6, 'severe', 'Severe (6 to 11)'],
      [12, 'impending-failure', 'Impending respiratory failure (12 or more)'],
    ],
  },
  'severe-from-5': {
    source: 'Point-of-care reference, BMJ group (mild to 1, moderate 2 to 4, severe from 5).',
    rows: [
      [0, 'mild', 'Mild (0 or 1)'],
      [2, 'moderate', 'Moderate (2 to 4)'],
      [5, 'severe', 'Severe (5 or more)'],
    ],
  },
} as const satisfies Readonly<Record<string, { readonly source: string; readonly rows: readonly BandRow[] }>>;

export type WestleyBandSet = keyof typeof WESTLEY_BAND_SETS;

const STRIDOR = { none: 0, agitated: 1, 'at-rest': 2 } as const;
const RETRACTIONS = { none: 0, mild: 1, moderate: 2, severe: 3 } as const;
const AIR_ENTRY = { normal: 0, decreased: 1, 'markedly-decreased': 2 } as const;
const CYANOSIS = { none: 0, agitated: 4, 'at-rest': 5 } as const;
const CONSCIOUSNESS = { normal: 0, altered: 5 } as const;

const keys = <K extends string>(table: Readonly<Record<K, number>>): readonly K[] => Object.keys(table) as K[];
const said = (word: string): string => word.replaceAll('-', ' ');

/** The five items, 0 to 17, with the band of the named set. */
export function westley(given: WestleyObservations, bandSet: WestleyBandSet = 'severe-from-6'): ScoreOutcome {
  const title = 'Westley croup score';
  const see = new Observations('westley', title, given);
  const stridor = see.word('stridor', 'stridor', keys(STRIDOR));
  const retractions = see.word('retractions', 'retractions', keys(RETRACTIONS));
  const airEntry = see.word('airEntry', 'air entry', keys(AIR_ENTRY));
  const cyanosis = see.word('cyanosis', 'cyanosis', keys(CYANOSIS));
  const consciousness = see.word('consciousness', 'consciousness', keys(CONSCIOUSNESS));
  const set = Object.hasOwn(WESTLEY_BAND_SETS, bandSet) ? WESTLEY_BAND_SETS[bandSet] : undefined;
  if (set === undefined) {
    const known = Object.keys(WESTLEY_BAND_SETS).join(', ');
    see.refuse('bad-value', `there is no set of bands called “${String(bandSet)}”`, `Use one of ${known}.`);
  }
  if (see.refusal !== null) return see.refusal;
  const items = [
    item('stridor', 'Stridor', said(stridor), STRIDOR[stridor]),
    item('retractions', 'Retractions', said(retractions), RETRACTIONS[retractions]),
    item('air-entry', 'Air entry', said(airEntry), AIR_ENTRY[airEntry]),
    item('cyanosis', 'Cyanosis', said(cyanosis), CYANOSIS[cyanosis]),
    item('consciousness', 'Consciousness', said(consciousness), CONSCIOUSNESS[consciousness]),
  ];
  const total = totalOf(items);
  let row: BandRow = set!.rows[0];
  for (const each of set!.rows as readonly BandRow[]) if (total >= each[0]) row = each;
  return {
    ok: true,
    score: 'westley',
    title,
    total,
    outOf: 17,
    items,
    band: row[1],
    bandWords: row[2],
    variant: bandSet,
    notes: [`Bands differ between publications; these are: ${set!.source}`],
    source: 'Westley CR, Cotton EK, Brooks JG. Am J Dis Child 1978;132:484-7.',
  };
}
