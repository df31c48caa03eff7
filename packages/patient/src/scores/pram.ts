/**
 * Pediatric Respiratory Assessment Measure, asthma at 2 to 17 years. Ducharme FM, Chalut D, Plotnick L, et al. J Pediatr
 * 2008;152:476-80; table as in PMC4614088 table 4. Saturation is read in air (Hindawi Nurs Res Pract 2012:596393).
 */
import { AGE, item, Observations, pointsFor, SATURATION, totalOf, whole } from './common.ts';
import type { PointTable } from './common.ts';
import type { ScoreOutcome } from './types.ts';

export interface PramObservations {
  readonly ageYears: number;
  readonly spo2Percent: number;
  readonly onOxygen: boolean;
  readonly suprasternalRetraction: boolean;
  readonly scaleneContraction: boolean;
  /** The worst field counts. */
  readonly airEntry: 'normal' | 'reduced-at-base' | 'reduced-at-apex-and-base' | 'minimal-or-absent';
  readonly wheeze: 'none' | 'expiratory' | 'inspiratory' | 'audible-or-silent-chest';
}

const SATURATIONS: PointTable = [
  [0, 2],
  [92, 1],
  [95, 0],
];
const AIR_ENTRY = ['normal', 'reduced-at-base', 'reduced-at-apex-and-base', 'minimal-or-absent'] as const;
const WHEEZE = ['none', 'expiratory', 'inspiratory', 'audible-or-silent-chest'] as const;

/** The five items, 0 to 12. */
export function pram(given: PramObservations): ScoreOutcome {
  const title = 'PRAM (asthma)';
  const see = new Observations('pram', title, given);
  const age = see.number(AGE);
  if (see.refusal === null && (age < 2 || age >= 18)) {
    see.refuse('age', `the patient is ${age} years old`, 'PRAM was validated from 2 to 17 years.');
  }
  const spo2 = whole(see.number(SATURATION));
  if (see.flag('onOxygen', 'air or oxygen')) {
    see.refuse(
      'not-applicable',
      'the saturation was read on oxygen',
      'Use a saturation read in air, if it is safe to.',
    );
  }
  const suprasternal = see.flag('suprasternalRetraction', 'suprasternal retraction');
  const scalene = see.flag('scaleneContraction', 'scalene contraction');
  const airEntry = see.word('airEntry', 'air entry', AIR_ENTRY);
  const wheeze = see.word('wheeze', 'wheeze', WHEEZE);
  if (see.refusal !== null) return see.refusal;
  const items = [
    item('spo2', 'SpO2 in air', `${spo2} %`, pointsFor(SATURATIONS, spo2)),
    item('suprasternal', 'Suprasternal retraction', suprasternal ? 'present' : 'absent', suprasternal ? 2 : 0),
    item('scalene', 'Scalene contraction', scalene ? 'present' : 'absent', scalene ? 2 : 0),
    item('air-entry', 'Air entry', airEntry.replaceAll('-', ' '), AIR_ENTRY.indexOf(airEntry)),
    item('wheeze', 'Wheeze', wheeze.replaceAll('-', ' '), WHEEZE.indexOf(wheeze)),
  ];
  const total = totalOf(items);
  const [band, bandWords] =
    total >= 8
      ? ['severe', 'Severe (8 to 12)']
      : total >= 4
        ? ['moderate', 'Moderate (4 to 7)']
        : ['mild', 'Mild (0 to 3)'];
  return {
    ok: true,
    score: 'pram',
    title,
    total,
    outOf: 12,
    items,
    band,
    bandWords,
    variant: null,
    notes: [],
    source: 'Ducharme FM, Chalut D, Plotnick L, et al. J Pediatr 2008;152:476-80.',
  };
}
