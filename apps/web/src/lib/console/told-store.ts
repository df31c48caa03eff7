/** What this console was told has been said aloud, kept over a reload of the page; gone with the tab. */
import type { Told } from './findings.ts';

const keyOf = (runId: string): string => `breathline-told-${runId}`;

/** Null when nothing was said, or storage is barred or holds something else. */
export function keptTold(runId: string): Told | null {
  try {
    const kept = JSON.parse(sessionStorage.getItem(keyOf(runId)) ?? 'null') as Partial<Told> | null;
    if (typeof kept?.atMs !== 'number' || !Array.isArray(kept.findings)) return null;
    return { atMs: kept.atMs, findings: kept.findings };
  } catch {
    return null;
  }
}

export function keepTold(runId: string, told: Told): void {
  try {
    sessionStorage.setItem(keyOf(runId), JSON.stringify(told));
  } catch {
    // Storage barred: it lasts until the page is closed.
  }
}
