/** What a run's own pack leaves unjudged, said instead of passed over: an older file may lack what packs carry today. */
import type { GuidelinePack } from '@breathline/scenario';

/** One sentence for each thing; none where the pack has all of them. */
export function notJudged(pack: GuidelinePack): readonly string[] {
  if (pack.oxygenRange !== undefined) return [];
  return [
    'How oxygen was steered, and whether there was too much of it, is not judged: the pack in this run names no saturation range to aim for. Its guideline has none, or the run was recorded before packs carried one.',
  ];
}
