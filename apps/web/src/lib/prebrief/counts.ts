/** Simulated drugs counted in and back: a number in a note of the log, so that the time and the export have it. Pure. */
import type { RunEvent } from '@breathline/engine';

const WORDS = { in: 'Simulated drugs counted in: ', back: 'Simulated drugs counted back: ' } as const;
export type CountWay = keyof typeof WORDS;

interface Line {
  readonly event: RunEvent;
  readonly withdrawnBy: number | null;
}

export function countNote(way: CountWay, count: number): string {
  return `${WORDS[way]}${count}`;
}

/** The last count that stands in the log; null when nobody counted. */
export function countOf(log: readonly Line[], way: CountWay): number | null {
  for (const { event, withdrawnBy } of log.toReversed()) {
    if (event.kind !== 'note' || withdrawnBy !== null || !event.text.startsWith(WORDS[way])) continue;
    const count = Number(event.text.slice(WORDS[way].length));
    if (Number.isInteger(count) && count >= 0) return count;
  }
  return null;
}

/** What the two counts say together; null while one is not known. */
export function missingDrugs(log: readonly Line[]): number | null {
  const [counted, back] = [countOf(log, 'in'), countOf(log, 'back')];
  return counted === null || back === null ? null : counted - back;
}
