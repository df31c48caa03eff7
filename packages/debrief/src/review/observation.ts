/** How long a pack wants the patient watched: by the log, by what was told afterwards, and what is still open. */
import type { GuidelinePack, ObservationRule } from '@breathline/scenario';
import { firstHeldMs, type ConditionContext } from '../condition.ts';
import type { CircumstanceAnswer } from '../prepare-log.ts';
import { listText } from '../words.ts';
import type { Circumstance } from './types.ts';

/** Answers by the pack's words; an empty map is what the log alone can tell. */
export type Told = ReadonlyMap<string, CircumstanceAnswer>;

const NOTHING_TOLD: Told = new Map();

const byHours = (a: ObservationRule, b: ObservationRule): number => a.hours - b.hours;

const longerThan = (pack: GuidelinePack, hours: number): readonly ObservationRule[] =>
  (pack.observation ?? []).filter((rule) => rule.hours > hours).sort(byHours);

/**
 * The rule of the pack with the most hours among those that apply; null when the pack has none. Where something that a
 * short stay needs is not so, the next longer one takes its place.
 */
export function observationRule(
  pack: GuidelinePack,
  truth: ConditionContext,
  told: Told = NOTHING_TOLD,
): ObservationRule | null {
  const applies = ({ when, orIf }: ObservationRule): boolean =>
    (when === undefined ? orIf === undefined : firstHeldMs(when, truth) !== null) ||
    (orIf ?? []).some((one) => told.get(one) === 'yes');
  let rule = (pack.observation ?? []).filter(applies).sort(byHours).at(-1) ?? null;
  while (rule?.needs?.some((one) => told.get(one) === 'no')) {
    const next: ObservationRule | undefined = longerThan(pack, rule.hours)[0];
    if (next === undefined) break;
    rule = next;
  }
  return rule;
}

/**
 * What could ask for longer and nobody has said, in words, and the most hours it could ask for: never assumed either way.
 * Where something a short stay needs is lacking, the pack's next longer one applies.
 */
export function notKnown(
  pack: GuidelinePack,
  rule: ObservationRule,
  told: Told = NOTHING_TOLD,
): { readonly hours: number; readonly text: string } {
  const open = (all: readonly string[] | undefined): readonly string[] =>
    (all ?? []).filter((one) => told.get(one) !== 'yes' && told.get(one) !== 'no');
  const longer = longerThan(pack, rule.hours);
  const parts: string[] = [];
  let most = rule.hours;
  const needs = open(rule.needs);
  if (needs.length > 0 && longer[0] !== undefined) {
    parts.push(`at least ${longer[0].hours} hours unless ${listText(needs, 'and')}`);
    most = longer[0].hours;
  }
  for (const { orIf, hours } of longer) {
    const may = open(orIf);
    if (may.length === 0) continue;
    parts.push(`at least ${hours} hours with ${listText(may, 'or')}`);
    most = Math.max(most, hours);
  }
  return { hours: most, text: parts.length === 0 ? '' : ` Not known in a drill: ${parts.join('; ')}.` };
}

/**
 * What to ask the team about, in the pack's order: what could make the hours longer than the log makes them. Does not
 * change as answers come, so that no question vanishes under a thumb. Empty where the time chosen is enough anyhow.
 */
export function circumstancesToAsk(
  pack: GuidelinePack,
  truth: ConditionContext,
  told: Told,
  chosenHours: number | null,
): readonly Circumstance[] {
  const byLog = observationRule(pack, truth);
  // Where the pack has no time for what was done, none can be longer.
  const enough = byLog === null || (chosenHours !== null && chosenHours >= notKnown(pack, byLog).hours);
  const least = byLog?.hours ?? -1;
  const asked = (pack.observation ?? []).flatMap((rule) => [
    ...(rule.hours >= least && longerThan(pack, rule.hours).length > 0 ? (rule.needs ?? []) : []),
    ...(rule.hours > least ? (rule.orIf ?? []) : []),
  ]);
  return [...new Set(asked)]
    .map((says) => ({ says, answer: told.get(says) ?? null }))
    .filter(({ answer }) => !enough || answer !== null);
}

/** What was told and changed the hours or left them, in words; empty when nothing was. */
export function toldText(asked: readonly Circumstance[], byLog: ObservationRule | null, hours: number): string {
  const said = (answer: CircumstanceAnswer, word: string): readonly string[] => {
    const all = asked.filter((one) => one.answer === answer).map(({ says }) => says);
    return all.length === 0 ? [] : [`${word}: ${listText(all, 'and')}`];
  };
  const parts = [...said('yes', 'yes'), ...said('no', 'no')];
  if (parts.length === 0) return '';
  const alone = byLog === null ? 'no period' : `at least ${byLog.hours} hours`;
  const before = byLog?.hours === hours ? '' : ` By the log alone the pack would ask for ${alone}.`;
  return ` Asked afterwards, ${parts.join('; ')}.${before}`;
}
