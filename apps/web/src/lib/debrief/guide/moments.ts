/** Three moments worth ten minutes: what could be seen, what was done about it, and what went furthest from the target. Pure. */
import { keyStep, type Scorecard } from '@breathline/debrief';

export interface Moment {
  readonly atMs: number;
  readonly title: string;
  readonly ask: string;
}

const plain = (says: string): string => says.charAt(0).toLowerCase() + says.slice(1);

/** Nearer together than this they are one moment, and their numbers would cover each other. */
const APART_MS = 45_000;

export function threeMoments(card: Scorecard): readonly Moment[] {
  const { couldHaveSeenMs, firstAdrenalineMs, endMs } = card.clocks;
  const found: Moment[] = [];
  const add = (atMs: number | null, title: string, ask: string): void => {
    if (atMs === null || found.some((one) => Math.abs(one.atMs - atMs) < APART_MS)) return;
    found.push({ atMs, title, ask });
  };
  add(couldHaveSeenMs, 'It could be seen', 'What did you notice first, and what did you think it was?');
  const key = firstAdrenalineMs ?? keyStep(card)?.actualMs ?? null;
  add(key, firstAdrenalineMs === null ? 'The step that mattered' : 'First adrenaline', 'What made you act then?');
  const gaps = card.results
    .filter((one) => one.result === 'late' || one.result === 'missed' || one.result === 'given-wrong-dose')
    .sort(
      (a, b) =>
        Number(b.target.critical) - Number(a.target.critical) ||
        (b.latenessMs ?? Infinity) - (a.latenessMs ?? Infinity),
    );
  for (const one of gaps) {
    if (found.length >= 3) break;
    const at = one.result === 'missed' ? one.dueMs : (one.actualMs ?? one.dueMs);
    add(at, `A gap: ${plain(one.target.says)}`, 'What stood in the way?');
  }
  if (found.length < 3) add(endMs, 'How it ended', 'How was the patient when you handed over?');
  return found.slice(0, 3).sort((a, b) => a.atMs - b.atMs);
}
