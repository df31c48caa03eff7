/**
 * The scores that fit a patient now, worked out from the model's vitals and signs. How a graded sign becomes a score's
 * word is a choice made here, after the findings' own words at each grade; a chart filled in by a person prevails.
 */
import type { PatientProfile, SignId, TrueVitals } from '../types.ts';
import { consciousnessWords, levelFromDrowsiness, type ConsciousnessWords } from './consciousness.ts';
import { news2 } from './news2.ts';
import { pews, type Distress, type PewsOxygen } from './pews.ts';
import { pram } from './pram.ts';
import { shockIndex } from './shock-index.ts';
import type { ScoreOutcome } from './types.ts';
import { westley, type WestleyBandSet } from './westley.ts';

/** What the vitals do not say. */
export interface ScoreContext {
  /** Breathing support now on, where it scores by itself. */
  readonly support?: 'high-flow' | 'cpap' | 'bilevel' | null;
  /** Default: 2 for COPD that retains carbon dioxide, else 1. */
  readonly spo2Scale?: 1 | 2;
  readonly westleyBands?: WestleyBandSet;
}

export interface PatientScores {
  readonly consciousness: ConsciousnessWords;
  /** Early warning first. Refusals are kept: they say why a score that would fit cannot be given. */
  readonly scores: readonly ScoreOutcome[];
}

type Signs = Readonly<Partial<Record<SignId, number>>>;

/** Oxygen is on when more than air is breathed in. */
const ON_OXYGEN_FROM = 0.22;

function distressOf(signs: Signs): Distress {
  const work = signs['work-of-breathing'] ?? 0;
  // Exhaustion is severe distress even as effort fades; a noise heard across the room is at least moderate.
  if (work >= 3 || (signs.fatigue ?? 0) >= 3 || (signs['silent-chest'] ?? 0) >= 2) return 'severe';
  if (work >= 2 || (signs.stridor ?? 0) >= 2 || (signs.wheeze ?? 0) >= 3) return 'moderate';
  return work >= 1 ? 'mild' : 'none';
}

const at = <T>(list: readonly T[], grade: number): T => list[Math.min(list.length - 1, Math.max(0, grade))]!;

/** Every score that fits this patient now: by age, and by what the chest does. Empty in cardiac arrest. */
export function scoresOf(
  profile: PatientProfile,
  vitals: Readonly<TrueVitals>,
  signs: Signs,
  context: ScoreContext = {},
): PatientScores {
  const { ageYears } = profile;
  const level = vitals.arrested >= 0.5 ? 'unresponsive' : levelFromDrowsiness(signs.drowsiness ?? 0);
  const consciousness = consciousnessWords(level, ageYears);
  if (vitals.arrested >= 0.5) return { consciousness, scores: [] };
  const onOxygen = vitals.fio2Fraction >= ON_OXYGEN_FROM;
  const support = context.support ?? null;
  const scores: ScoreOutcome[] = [];

  if (ageYears >= 16) {
    // Scale 2 is for those known to retain carbon dioxide.
    const copd =
      profile.illness?.some((one) => one.disease.startsWith('copd') && one.pattern !== 'non-retainer') ?? false;
    scores.push(
      news2({
        ageYears,
        respiratoryRatePerMin: vitals.respiratoryRatePerMin,
        spo2Percent: vitals.spo2Percent,
        spo2Scale: context.spo2Scale ?? (copd ? 2 : 1),
        onOxygen,
        systolicMmHg: vitals.systolicMmHg,
        pulsePerMin: vitals.pulseRatePerMin,
        consciousness: level,
        temperatureCelsius: vitals.temperatureCelsius,
      }),
    );
  } else {
    const oxygen: PewsOxygen =
      support !== null
        ? { by: support }
        : onOxygen
          ? { by: 'fraction', fio2Percent: vitals.fio2Fraction * 100 }
          : { by: 'air' };
    scores.push(
      pews({
        ageYears,
        respiratoryRatePerMin: vitals.respiratoryRatePerMin,
        distress: distressOf(signs),
        spo2Percent: vitals.spo2Percent,
        oxygen,
        heartRatePerMin: vitals.heartRatePerMin,
        systolicMmHg: vitals.systolicMmHg,
        capillaryRefillS: vitals.capillaryRefillS,
        consciousness: level,
        temperatureCelsius: vitals.temperatureCelsius,
      }),
    );
  }
  const { heartRatePerMin, systolicMmHg, spo2Percent } = vitals;
  // Below a year there is no cut-off to speak of.
  if (ageYears >= 1) scores.push(shockIndex({ ageYears, heartRatePerMin, systolicMmHg }));

  const work = signs['work-of-breathing'] ?? 0;
  const wheeze = signs.wheeze ?? 0;
  const silent = (signs['silent-chest'] ?? 0) >= 2;
  const stridor = signs.stridor ?? 0;
  const has = (disease: string): boolean => profile.illness?.some((one) => one.disease.startsWith(disease)) ?? false;
  if (ageYears < 16 && has('croup')) {
    scores.push(
      westley(
        {
          stridor: stridor >= 2 ? 'at-rest' : stridor >= 1 ? 'agitated' : 'none',
          retractions: at(['none', 'mild', 'moderate', 'severe'] as const, work),
          airEntry: silent || stridor >= 4 ? 'markedly-decreased' : stridor >= 3 ? 'decreased' : 'normal',
          cyanosis: (signs.cyanosis ?? 0) >= 2 ? 'at-rest' : 'none',
          consciousness: (signs.drowsiness ?? 0) >= 2 ? 'altered' : 'normal',
        },
        context.westleyBands,
      ),
    );
  }
  if (ageYears >= 2 && ageYears < 18 && has('asthma')) {
    scores.push(
      pram({
        ageYears,
        spo2Percent,
        onOxygen,
        suprasternalRetraction: work >= 3,
        scaleneContraction: work >= 2,
        airEntry: silent
          ? 'minimal-or-absent'
          : at(['normal', 'reduced-at-base', 'reduced-at-apex-and-base'] as const, wheeze),
        wheeze: silent || wheeze >= 3 ? 'audible-or-silent-chest' : wheeze >= 1 ? 'expiratory' : 'none',
      }),
    );
  }
  return { consciousness, scores };
}
