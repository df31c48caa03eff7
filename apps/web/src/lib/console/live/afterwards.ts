/** The choices of the Afterwards part. Pure. */
import type { GuidelinePack, ObservationRule } from '@breathline/scenario';

export const FROM_WORDS: Readonly<Record<ObservationRule['from'], string>> = {
  resolution: 'Resolution',
  'last-dose': 'The last dose',
  onset: 'Onset',
};

/** Spread so that no row of taps tells what the pack wants: common practice, no source. */
const USUAL_HOURS = [1, 2, 4, 6, 12, 24] as const;

/** Hours to choose from, fewest first: the usual ones and every one the pack names. */
export function hoursOffered(pack: GuidelinePack | undefined): readonly number[] {
  const named = (pack?.observation ?? []).map(({ hours }) => hours);
  return [...new Set([...USUAL_HOURS, ...named])].filter((hours) => hours > 0).sort((a, b) => a - b);
}
