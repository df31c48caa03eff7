/** What a pack's time of watching hangs on and no drill can know. */
import type { GuidelinePack } from '../types.ts';

/** Every circumstance a pack names, in its own words and order, each once. */
export function circumstancesOf(pack: GuidelinePack): readonly string[] {
  return [...new Set((pack.observation ?? []).flatMap(({ needs, orIf }) => [...(needs ?? []), ...(orIf ?? [])]))];
}
