/**
 * A drill of a minute: draw this up for this patient. Age, weight and medicine are drawn by a seed; the answer is the
 * chosen pack's rule worked out for them, never a stored one. Training only.
 */
import { suggestDose } from '@breathline/scenario';
import type { DoseSuggestion, Intervention, Library } from '@breathline/scenario';

export const DRILL_MS = 60_000;

export interface MicroDrill {
  readonly seed: number;
  readonly ageYears: number;
  readonly weightKg: number;
  readonly intervention: Intervention;
  readonly dose: DoseSuggestion & { readonly volumeMl: number };
  /** Of the pack: share of the dose that is right, and the shares that are critical errors. */
  readonly tolerance: { readonly full: number; readonly criticalHigh: number; readonly criticalLow: number };
}

export interface DrillCheck {
  readonly verdict: 'right' | 'near' | 'low' | 'high' | 'tenfold-high' | 'tenfold-low';
  readonly words: string;
}

/** A small seeded generator (mulberry32): the same seed asks the same question on every device. */
function uniform(seed: number): () => number {
  let state = seed >>> 0;
  return () => {
    state = (state + 0x6d2b79f5) >>> 0;
    let t = state;
    t = Math.imul(t ^ (t >>> 15), t | 1);
    t ^= t + Math.imul(t ^ (t >>> 7), t | 61);
    return ((t ^ (t >>> 14)) >>> 0) / 4294967296;
  };
}

/**
 * A likely weight, kg: below 1 year half the months plus 4, 1 to 5 years twice the age plus 8, 6 to 12 three times the age
 * plus 7 (Advanced Paediatric Life Support since 2011, quoted by Marikar, BMJ Innov 2015, 000059); older ones run on to 70.
 * Only to make the question believable.
 */
export function likelyWeightKg(ageYears: number): number {
  if (ageYears < 1) return ageYears * 6 + 4;
  if (ageYears < 6) return 2 * ageYears + 8;
  if (ageYears <= 12) return 3 * ageYears + 7;
  return Math.min(70, 43 + (ageYears - 12) * 5);
}

/** Three in four are children: that is where doses go wrong. */
function patientOf(next: () => number): { ageYears: number; weightKg: number } {
  const child = next() < 0.75;
  const drawn = child ? 0.25 + next() * 15 : 16 + next() * 64;
  const ageYears = drawn < 1 ? Math.round(drawn * 12) / 12 : Math.floor(drawn);
  const weight = likelyWeightKg(ageYears) * (0.82 + next() * 0.4);
  return { ageYears, weightKg: weight < 10 ? Math.round(weight * 2) / 2 : Math.round(weight) };
}

/** What a pack has that is drawn up by volume from a known strength. */
export function drawnUp(library: Library, packId: string): readonly Intervention[] {
  const pack = library.packs.find(({ id }) => id === packId);
  const named = new Set((pack?.doses ?? []).map(({ intervention }) => intervention));
  return library.interventions.filter(
    (one) =>
      named.has(one.id) &&
      one.unit !== undefined &&
      one.unit !== 'mL' &&
      one.ratePer === undefined &&
      one.deviceDoses === undefined &&
      (one.concentrations?.length ?? 0) > 0,
  );
}

/** The drill of a seed, or null when the pack has nothing to draw up for anybody drawn. */
export function microDrill(library: Library, packId: string, seed: number): MicroDrill | null {
  const next = uniform(seed);
  const choice = drawnUp(library, packId);
  const pack = library.packs.find(({ id }) => id === packId);
  if (!pack || choice.length === 0) return null;
  // Not every rule has a dose for every age: draw again, a bounded number of times.
  for (let tries = 0; tries < 60; tries++) {
    const patient = patientOf(next);
    const intervention = choice[Math.floor(next() * choice.length)]!;
    const dose = suggestDose({ library, packId, intervention: intervention.id, ...patient });
    if (dose === null || dose.volumeMl === null || dose.concentration === null || dose.packId === null) continue;
    if (!(dose.volumeMl > 0)) continue;
    return {
      seed,
      ...patient,
      intervention,
      dose: { ...dose, volumeMl: dose.volumeMl },
      tolerance: pack.doseTolerance,
    };
  }
  return null;
}

/** Judges a volume by the pack's own tolerance. */
export function checkVolume({ dose, tolerance }: MicroDrill, volumeMl: number): DrillCheck {
  const low = dose.volumeMl;
  const high = dose.volumeHighMl ?? low;
  // Half the smallest mark of a 1 mL syringe is nobody's error.
  const slack = 0.005;
  if (volumeMl >= low - slack && volumeMl <= high + slack) return { verdict: 'right', words: 'Right.' };
  const ratio = volumeMl < low ? volumeMl / low : volumeMl / high;
  if (ratio >= 8) return { verdict: 'tenfold-high', words: 'About ten times too much: a place of the decimal point.' };
  if (ratio <= 1 / 8) return { verdict: 'tenfold-low', words: 'About a tenth or less: a place of the decimal point.' };
  if (Math.abs(ratio - 1) <= tolerance.full) return { verdict: 'near', words: 'Near enough by this pack’s tolerance.' };
  const times = ratio > 1 ? `${ratio.toFixed(1)} times` : `${Math.round(ratio * 100)} % of`;
  return ratio > 1
    ? { verdict: 'high', words: `Too much: ${times} the dose.` }
    : { verdict: 'low', words: `Too little: ${times} the dose.` };
}

/** "4 months", "3 years". */
export function ageText(ageYears: number): string {
  if (ageYears >= 1) return `${ageYears} ${ageYears === 1 ? 'year' : 'years'}`;
  const months = Math.round(ageYears * 12);
  return `${months} ${months === 1 ? 'month' : 'months'}`;
}
