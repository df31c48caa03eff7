/** Where a vital is too high for this patient: the limit, why it is one, and for which parts of the run it counted. */
import { CENTILES, type VitalId } from '@breathline/patient';
import type { TrackRow } from '@breathline/engine';
import type { AgeLimits } from './age-limits.ts';
import { ADDED_OXYGEN_FRACTION } from './danger.ts';
import { VERY_HIGH_FACTOR } from './review/harm.ts';
import type { PanelId, TimelinePanel } from './timeline-types.ts';
import { plainNumber } from './words.ts';

/** Scores three in NEWS2 from here (Royal College of Physicians 2017), per minute: above these an adult's rate is shaded. */
const ADULT = { pulse: 130, breathing: 24 } as const;
const ADULT_YEARS = 18;

interface Upper {
  readonly vital: VitalId;
  readonly value: number;
  readonly says: string;
  /** Counts in this second only; always where absent. */
  readonly counts?: (row: TrackRow) => boolean;
}

/**
 * The upper limit of a panel, or nothing where there is none. Rates of children: the 99th centile for age (Fleming S et
 * al. Lancet 2011;377:1011-18); of adults: three points in NEWS2. Pressure: the teaching line of the harm list.
 * Saturation: only where the pack says that more harms, and only on added oxygen.
 */
export function upperLimit(
  id: PanelId,
  patient: { readonly ageYears: number; readonly limits: AgeLimits },
  abovePercent: number | null,
  track: readonly TrackRow[],
): Pick<TimelinePanel, 'upperLimit'> {
  const upper = upperOf(id, patient.ageYears, patient.limits, abovePercent);
  if (upper === null) return {};
  const { vital, value, says, counts } = upper;
  const spans: { fromMs: number; toMs: number }[] = [];
  let open = false;
  track.forEach((row, index) => {
    const now = row.true[vital] > value && (counts === undefined || counts(row));
    const toMs = track[index + 1]?.atMs ?? row.atMs + 1000;
    if (now && open) spans[spans.length - 1] = { ...spans[spans.length - 1]!, toMs };
    else if (now) spans.push({ fromMs: row.atMs, toMs });
    open = now;
  });
  return { upperLimit: { value, says, spans } };
}

function upperOf(id: PanelId, ageYears: number, limits: AgeLimits, abovePercent: number | null): Upper | null {
  if (id === 'spo2') {
    return abovePercent === null
      ? null
      : {
          vital: 'spo2Percent',
          value: abovePercent,
          says: `above ${abovePercent} % on oxygen counts as danger here`,
          counts: (row) => row.true.fio2Fraction > ADDED_OXYGEN_FRACTION,
        };
  }
  if (id === 'pressure') {
    const usual = limits.byVital.systolicMmHg?.high;
    if (usual === undefined) return null;
    const value = Math.round(usual * VERY_HIGH_FACTOR);
    return { vital: 'systolicMmHg', value, says: `systolic above ${plainNumber(value)} is very high` };
  }
  if (id === 'pulse' || id === 'breathing') {
    const band = CENTILES.find((one) => ageYears < one.toYears);
    const adult = ageYears >= ADULT_YEARS || band === undefined;
    const value = adult ? ADULT[id] : band[id === 'pulse' ? 'heart' : 'breathing'][4];
    const why = adult ? 'three points in NEWS2' : 'the 99th centile for age';
    return {
      vital: id === 'pulse' ? 'heartRatePerMin' : 'respiratoryRatePerMin',
      value,
      says: `above ${plainNumber(value)} is very fast: ${why}`,
    };
  }
  return null;
}
