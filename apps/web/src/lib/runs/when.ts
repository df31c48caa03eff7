/** When a run was held, in words; what has no date, or one that can not be, says so. */
import type { RunCard } from '$lib/api';
import { whenText } from '../time.ts';

/** Is it dated after the day it is now? Days are those of the world's clock, as the programme counts them. */
export const isToCome = ({ createdAt }: Pick<RunCard, 'createdAt'>, now: string): boolean =>
  createdAt.slice(0, 10) > now.slice(0, 10);

/** "25 Nov 2026, 14:05", or why not. */
export function runWhen(run: Pick<RunCard, 'createdAt' | 'rehearsal'>, now = new Date().toISOString()): string {
  if (run.rehearsal) return 'no team, no date';
  return isToCome(run, now) ? `${whenText(run.createdAt)}, still to come` : whenText(run.createdAt);
}

/** What the programme makes of a run that has just been brought in, where that is not what one would think. */
export function broughtInWords(
  run: Pick<RunCard, 'createdAt' | 'rehearsal'>,
  now = new Date().toISOString(),
): string | null {
  if (run.rehearsal)
    return 'This file is a rehearsal: the scenario played it by itself, with no team and no date. It can be debriefed and asked “what if”; it never counts in the programme or as a ward’s last drill.';
  if (isToCome(run, now))
    return `This run is dated ${whenText(run.createdAt)}, which is still to come: a clock was wrong where it was played, or is wrong here. It can be debriefed; the programme leaves it out until that day.`;
  return null;
}
