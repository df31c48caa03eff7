/** The words of the live run's decks and of their lines in the log. British English, short enough for a thumb. */
import type { LiveEventBody, LiveView, SystemProblem } from '@breathline/engine';
import type { FamilyMember, Scenario } from '@breathline/scenario';

type Course = NonNullable<LiveView['course']>;

const DIRECTION = { better: 'better', hold: 'held as it is', worse: 'worse' } as const;
const PACE = { slow: 'slowly', fast: 'fast' } as const;

/** "worse, slowly"; "held as it is". */
export function courseWords(course: Pick<Course, 'direction' | 'pace'>): string {
  return course.direction === 'hold' ? DIRECTION.hold : `${DIRECTION[course.direction]}, ${PACE[course.pace]}`;
}

export const EFFECT_WORDS = { none: 'no effect', helps: 'it helps', harms: 'it harms' } as const;

export const PROBLEM_WORDS: Readonly<Record<SystemProblem, string>> = {
  kit: 'Kit',
  drug: 'Drug',
  layout: 'Layout',
  phone: 'Phone',
  staffing: 'Staffing',
  guideline: 'Guideline',
  other: 'Other',
};

/** What each category means, for a thumb that hesitates. */
export const PROBLEM_SAYS: Readonly<Record<SystemProblem, string>> = {
  kit: 'missing, broken, wrong size',
  drug: 'not there, look-alike, label',
  layout: 'could not reach or see it',
  phone: 'number, signal, no answer',
  staffing: 'nobody to do it',
  guideline: 'not found, unclear, wrong',
  other: 'anything else',
};

export const DISTRESS_WORDS = ['Calm', 'Worried', 'Distressed', 'In the way'] as const;

export const WORRY_WORDS = { voiced: 'voiced', heeded: 'heeded', dismissed: 'dismissed' } as const;

export const SEEN_WORDS = { seen: 'seen', partly: 'partly', 'not-seen': 'not seen' } as const;

export const ABOUT_WORDS = { good: 'went well', change: 'would change', question: 'question' } as const;

export const READ_BACK_WORDS = { full: 'in full', part: 'in part', none: 'none' } as const;

export const HAPPENING_WORDS = {
  phone: 'The phone rings',
  'family-question': 'The family asks a question',
  'kit-failure': 'Kit fails',
  other: 'Something else happens',
} as const;

/** A happening's kind as the view tells it, in words. */
export function happeningWords(what: string): string {
  return HAPPENING_WORDS[what as keyof typeof HAPPENING_WORDS] ?? what;
}

export const FROM_WORDS = { learners: 'The team', family: 'The family' } as const;

/** What a handover's parts are called, in the order they are said. */
export const HANDOVER_PARTS = [
  ['situation', 'Situation'],
  ['background', 'Background'],
  ['assessment', 'Assessment'],
  ['recommendation', 'Recommendation'],
] as const;

/** "Situation, Background"; "nothing of it" when none was heard. */
export function partsHeard(parts: Extract<LiveEventBody, { kind: 'handover' }>['parts']): string {
  const heard = HANDOVER_PARTS.filter(([id]) => parts[id]).map(([, word]) => word);
  return heard.length === 0 ? 'no part of it' : heard.join(', ');
}

/** Whom a call of the scenario's list is for, by its id. Kit is named by itself. */
export function errandName(
  scenario: Scenario,
  errand: { readonly errand: 'call' | 'kit'; readonly what: string },
): string {
  if (errand.errand === 'kit') return errand.what;
  return scenario.calls?.find((contact) => contact.id === errand.what)?.title ?? errand.what;
}

/** A piece of the family's history or a worry, by id, with who says it. */
export function familyItem(scenario: Scenario, id: string): { readonly who: string; readonly says: string } | null {
  for (const member of scenario.family) {
    const found = [...(member.history ?? []), ...(member.worries ?? [])].find((each) => each.id === id);
    if (found) return { who: member.who, says: found.says };
  }
  return null;
}

/** What the family may still tell, and may still worry about. */
export function familyLeft(member: FamilyMember, live: LiveView): number {
  const told = new Set(live.family.told.map((each) => each.item));
  const voiced = new Set(live.family.worries.map((each) => each.item));
  return (
    (member.history ?? []).filter((each) => !told.has(each.id)).length +
    (member.worries ?? []).filter((each) => !voiced.has(each.id)).length
  );
}

/** Roles a team commonly shares out. Common practice, no source. */
export const TEAM_ROLES = [
  'Team leader',
  'Airway',
  'Drugs and access',
  'Monitoring and observations',
  'Scribe and clock',
  'With the family',
  'Runner',
] as const;
