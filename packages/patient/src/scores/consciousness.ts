/**
 * AVPU in words, with the Glasgow Coma Scale seen beside each level. The two scales are not interchangeable: the medians
 * are what was found in studies, to talk about and never to chart.
 */
import type { Consciousness } from './types.ts';

export interface ConsciousnessWords {
  readonly level: Consciousness;
  /** One letter: A, C, V, P or U. */
  readonly letter: string;
  readonly words: string;
  /** Median Glasgow total found beside this level at this age; null where no study gives one. */
  readonly medianGcs: number | null;
  /** Totals usually read as this level in children; null where not published for the age. */
  readonly usualGcs: readonly [low: number, high: number] | null;
  readonly source: string;
}

const LETTERS: Readonly<Record<Consciousness, string>> = {
  alert: 'A',
  confused: 'C',
  voice: 'V',
  pain: 'P',
  unresponsive: 'U',
};
const WORDS: Readonly<Record<Consciousness, string>> = {
  alert: 'Alert',
  confused: 'Alert but newly confused',
  voice: 'Responds to voice',
  pain: 'Responds only to pain',
  unresponsive: 'Unresponsive',
};

/** Nuttall AGL, Paton KM, Kemp AM. BMJ Open 2018;8:e023216 (head injury below 15 years). */
const CHILD =
  'Nuttall AGL, Paton KM, Kemp AM. BMJ Open 2018;8:e023216 (children below 15 years, head injury); usual totals: A comparison of the GCS and AVPU scale among children, Pediatrics Open Science 2025;1(1).';
const BELOW_5: Readonly<Record<Consciousness, number | null>> = {
  alert: 15,
  confused: null,
  voice: 14,
  pain: 8,
  unresponsive: 3,
};
const FROM_5: typeof BELOW_5 = { alert: 15, confused: null, voice: 13, pain: 11, unresponsive: 3 };
/** McNarry AF, Goldhill DR. Anaesthesia 2004;59:34-7. */
const ADULT = 'McNarry AF, Goldhill DR. Anaesthesia 2004;59:34-7 (adult neurosurgical patients).';
const ADULTS: typeof BELOW_5 = { alert: 15, confused: null, voice: 13, pain: 8, unresponsive: 6 };
const USUAL: Readonly<Record<Consciousness, readonly [number, number] | null>> = {
  alert: [14, 15],
  confused: null,
  voice: [11, 13],
  pain: [7, 10],
  unresponsive: [3, 6],
};

/** A level of consciousness in words, with the Glasgow totals found beside it at this age. */
export function consciousnessWords(level: Consciousness, ageYears: number): ConsciousnessWords {
  const child = ageYears < 15;
  const medians = !child ? ADULTS : ageYears < 5 ? BELOW_5 : FROM_5;
  return {
    level,
    letter: LETTERS[level],
    words: WORDS[level],
    medianGcs: medians[level],
    usualGcs: ageYears < 18 ? USUAL[level] : null,
    source: child ? CHILD : ADULT,
  };
}

/** AVPU from the examiner's grade of drowsiness, 0 to 4: the words of the findings at each grade decide. */
export function levelFromDrowsiness(grade: number): Consciousness {
  return grade >= 4 ? 'unresponsive' : grade >= 3 ? 'pain' : grade >= 2 ? 'voice' : 'alert';
}
