/**
 * Shock index: heart rate over systolic pressure. Adults: usually 0.5 to 0.7, high from 0.9 (Allgöwer M, Burri C. Dtsch
 * Med Wochenschr 1967;92:1947-50, from memory; limits as commonly taught). Children: Acker SN et al. J Pediatr Surg
 * 2015;50:331-4 (above 1.22 at 4 to 6 years, 1.0 at 7 to 12, 0.9 at 13 to 16; made for blunt injury); 1 to 3 years above
 * 1.2, as used by Huang KC et al. Front Pediatr 2021;9:727466. In anaphylaxis the heart may slow as pressure falls
 * (Brown SG et al. Emerg Med J 2004;21:149-54): a calm index never rules shock out and must never hold treatment back.
 */
import { AGE, hundredth, item, Observations, SYSTOLIC, whole } from './common.ts';
import type { ScoreOutcome } from './types.ts';

export interface ShockIndexObservations {
  readonly ageYears: number;
  readonly heartRatePerMin: number;
  readonly systolicMmHg: number;
}

interface Limit {
  readonly belowYears: number;
  readonly above: number;
  readonly name: string;
  readonly source: string;
}

const ACKER = 'Acker SN et al. J Pediatr Surg 2015;50:331-4 (blunt injury).';
/** A ratio above the limit, to two decimals, is high. */
export const SHOCK_INDEX_LIMITS: readonly Limit[] = [
  { belowYears: 4, above: 1.2, name: '1 to 3 years', source: 'Huang KC et al. Front Pediatr 2021;9:727466.' },
  { belowYears: 7, above: 1.22, name: '4 to 6 years', source: ACKER },
  { belowYears: 13, above: 1, name: '7 to 12 years', source: ACKER },
  { belowYears: 17, above: 0.9, name: '13 to 16 years', source: ACKER },
];
const ADULT_USUAL_TO = 0.7;
const ADULT_HIGH_FROM = 0.9;

/** The ratio to two decimals, compared with the limit for age to two decimals. */
export function shockIndex(given: ShockIndexObservations): ScoreOutcome {
  const title = 'Shock index';
  const see = new Observations('shock-index', title, given);
  const age = see.number(AGE);
  if (see.refusal === null && age < 1) {
    see.refuse(
      'age',
      `the patient is ${age} years old`,
      'No cut-off is published below 1 year: judge rate and refill.',
    );
  }
  const heart = whole(see.number({ key: 'heartRatePerMin', label: 'heart rate', low: 0, high: 350, unit: '/min' }));
  const systolic = whole(see.number(SYSTOLIC));
  if (see.refusal === null && (systolic < 20 || heart < 1)) {
    see.refuse('not-applicable', 'there is no measurable pressure or pulse', 'Treat as cardiac arrest or deep shock.');
  }
  if (see.refusal !== null) return see.refusal;
  const ratio = hundredth(heart / systolic);
  const limit = SHOCK_INDEX_LIMITS.find((each) => age < each.belowYears);
  const [band, bandWords] =
    limit !== undefined
      ? ratio > limit.above
        ? ['high', `High: above ${limit.above} (${limit.name})`]
        : ['not-high', `Not above ${limit.above} (${limit.name})`]
      : ratio >= ADULT_HIGH_FROM
        ? ['high', 'High: 0.9 or more']
        : ratio > ADULT_USUAL_TO
          ? ['raised', 'Raised: between 0.7 and 0.9']
          : ratio < 0.5
            ? ['low', 'Below the usual 0.5 to 0.7']
            : ['usual', 'Usual: 0.5 to 0.7'];
  return {
    ok: true,
    score: 'shock-index',
    title,
    total: ratio,
    outOf: null,
    items: [item('ratio', 'Heart rate over systolic', `${heart} / ${systolic}`, ratio)],
    band,
    bandWords,
    variant: limit?.name ?? 'adult',
    notes: ['A calm index does not rule out shock: in anaphylaxis the heart may slow. Never wait for it to treat.'],
    source: limit?.source ?? 'Allgöwer M, Burri C. Dtsch Med Wochenschr 1967;92:1947-50 (from memory).',
  };
}
