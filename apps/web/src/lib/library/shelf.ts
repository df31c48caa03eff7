/** What the library page shows and in which order: found by words and filters, the last used first, else by age. Pure. */
import type { GuidelinePack, ScenarioCard } from '$lib/api';

export const AGE_BANDS = [
  { id: 'infant', label: 'Under 1 year', from: 0, below: 1 },
  { id: 'child', label: '1 to 11 years', from: 1, below: 12 },
  { id: 'young', label: '12 to 17 years', from: 12, below: 18 },
  { id: 'adult', label: 'Adults', from: 18, below: Infinity },
] as const;

/** Settings in an author's words fall into few kinds; the first word that is found decides. */
export const SETTINGS = [
  { id: 'outside', label: 'Outside hospital', words: /village|hall|school|home|street|museum|practice|clinic room/i },
  { id: 'resus', label: 'Resuscitation room', words: /resus/i },
  { id: 'emergency', label: 'Emergency department', words: /emergency|urgent|majors/i },
  { id: 'ward', label: 'Ward or assessment unit', words: /ward|unit|assessment|observation|bay|cubicle/i },
] as const;

export const LEVELS: Readonly<Record<string, string>> = {
  novice: 'Novice',
  intermediate: 'Intermediate',
  advanced: 'Advanced',
};

export interface Filters {
  readonly words: string;
  /** Empty = any. */
  readonly age: string;
  readonly condition: string;
  readonly setting: string;
  readonly level: string;
}

export const NO_FILTERS: Filters = { words: '', age: '', condition: '', setting: '', level: '' };

/** A card with what can be filtered by. */
export interface ShelfEntry {
  readonly card: ScenarioCard;
  readonly conditions: readonly string[];
  readonly setting: string;
  readonly age: string;
}

/**
 * Words people look for that no author need have written, by what an entry does say: short forms, other spellings, lay
 * words. Common practice, no source.
 */
const ALSO: readonly (readonly [RegExp, string])[] = [
  [/chronic obstructive/i, 'copd emphysema bronchitis lung'],
  [/pulmonary oedema/i, 'edema heart failure lvf cpo'],
  [/anaphyla/i, 'allergy allergic reaction epinephrine adrenaline nut sting'],
  [/asthma/i, 'wheeze wheezy'],
  [/bronchiolitis/i, 'rsv baby wheeze'],
  [/croup/i, 'stridor'],
  [/foreign-body/i, 'choking choke'],
  [/opioid/i, 'overdose opiate naloxone'],
  [/tension pneumothorax/i, 'collapsed lung chest injury trauma'],
  [/sepsis/i, 'septic infection'],
];

/** What an age is called; a child is one below 18 years, as in the bands above. */
const ageWords = (years: number): string =>
  years < 1
    ? 'baby infant child paediatric pediatric'
    : years < 18
      ? `child paediatric pediatric${years < 4 ? ' toddler' : ''}`
      : 'adult';

const upperFirst = (text: string): string => text.charAt(0).toUpperCase() + text.slice(1);

/** Conditions are those of the scenario's guideline packs; none while the packs are not known. */
export function entryOf(card: ScenarioCard, packs: readonly Pick<GuidelinePack, 'id' | 'condition'>[]): ShelfEntry {
  const conditions = card.guidelines.flatMap(({ id }) => packs.find((pack) => pack.id === id)?.condition ?? []);
  return {
    card,
    conditions: [...new Set(conditions.map(upperFirst))],
    setting: SETTINGS.find(({ words }) => words.test(card.setting))?.id ?? 'other',
    age: AGE_BANDS.find(({ from, below }) => card.ageYears >= from && card.ageYears < below)?.id ?? '',
  };
}

/** Those that hold every word and every filter: last used first, then youngest first, then by title. */
export function shelf(entries: readonly ShelfEntry[], filters: Filters, lastUsed: readonly string[]): ShelfEntry[] {
  const words = filters.words.toLowerCase().split(/\s+/).filter(Boolean);
  const rank = ({ card }: ShelfEntry): number => {
    const at = lastUsed.indexOf(card.id);
    return at < 0 ? lastUsed.length : at;
  };
  return entries
    .filter(({ card, conditions, setting, age }) => {
      if (filters.age !== '' && filters.age !== age) return false;
      if (filters.setting !== '' && filters.setting !== setting) return false;
      if (filters.level !== '' && filters.level !== card.level) return false;
      if (filters.condition !== '' && !conditions.includes(filters.condition)) return false;
      const text = [
        ...[card.title, card.summary, card.setting, card.level, card.patientText],
        ...conditions,
        ...card.objectives,
        ...card.guidelines.map(({ title }) => title),
      ].join(' ');
      const known = [text, ageWords(card.ageYears), ...ALSO.flatMap(([says, more]) => (says.test(text) ? [more] : []))]
        .join(' ')
        .toLowerCase();
      return words.every((word) => known.includes(word));
    })
    .sort((a, b) => rank(a) - rank(b) || a.card.ageYears - b.card.ageYears || a.card.title.localeCompare(b.card.title));
}

/** "6 weeks", "8 months", "8 years". */
export function ageText(ageYears: number): string {
  const plural = (count: number, one: string): string => `${count} ${one}${count === 1 ? '' : 's'}`;
  if (ageYears < 0.25) return plural(Math.max(1, Math.round(ageYears * 52.18)), 'week');
  if (ageYears < 2) return plural(Math.round(ageYears * 12), 'month');
  return plural(Math.floor(ageYears), 'year');
}
