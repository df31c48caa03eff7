/** Rhythm names, and what each one means for the beats. */
import { RHYTHM_NAMES, type BeatKind, type RhythmName } from './types.ts';

const ALIASES: Readonly<Record<string, RhythmName>> = {
  'sinus-rhythm': 'sinus',
  'sinus-tachycardia': 'sinus',
  tachycardia: 'sinus',
  'sinus-bradycardia': 'bradycardia',
  'supraventricular-tachycardia': 'svt',
  'ventricular-tachycardia': 'vt',
  'pulseless-vt': 'vt',
  'pulseless-ventricular-tachycardia': 'vt',
  'ventricular-fibrillation': 'vf',
  'pulseless-electrical-activity': 'pea',
  ectopic: 'ectopics',
  'ventricular-ectopics': 'ectopics',
};

/**
 * The drawable rhythm for a word, or null for "no lead". A word not known is drawn as sinus, since the rate is then
 * still told truly; `isKnownRhythm` tells the two apart.
 */
export function rhythmNamed(word: string | null): RhythmName | null {
  if (word === null) return null;
  const key = word
    .trim()
    .toLowerCase()
    .replaceAll(/[\s_]+/g, '-');
  if ((RHYTHM_NAMES as readonly string[]).includes(key)) return key as RhythmName;
  return ALIASES[key] ?? 'sinus';
}

/** True when the word is one of ours or an alias. */
export function isKnownRhythm(word: string): boolean {
  const key = word
    .trim()
    .toLowerCase()
    .replaceAll(/[\s_]+/g, '-');
  return (RHYTHM_NAMES as readonly string[]).includes(key) || key in ALIASES;
}

/** Rhythms with separate beats; the others have none whatever the rate says. */
export function hasBeats(rhythm: RhythmName): boolean {
  return rhythm !== 'vf' && rhythm !== 'asystole';
}

/** How a beat of this rhythm is conducted. */
export function kindOf(rhythm: RhythmName): BeatKind {
  switch (rhythm) {
    case 'svt':
      return 'narrow';
    case 'vt':
      return 'wide';
    case 'pea':
      return 'pulseless';
    default:
      return 'sinus';
  }
}

/**
 * Spread of R-R about its mean (standard deviation over mean). The published default is 1 beat/min at 60/min
 * (McSharry et al. 2003), about 0.017; children breathing quietly vary more, a fast or failing heart less:
 * common practice, no source.
 */
export function variationOf(rhythm: RhythmName, ratePerMin: number): number {
  if (rhythm === 'svt') return 0.002;
  if (rhythm === 'vt') return 0.008;
  if (rhythm === 'pea') return 0.012;
  const fast = Math.min(1, Math.max(0, (ratePerMin - 90) / 70));
  return 0.028 - 0.021 * fast;
}
