/** Which packs a run may sensibly be scored against. */
import type { RunDefinition } from '@breathline/engine';
import type { GuidelinePack } from '@breathline/scenario';

export interface PacksFor {
  /** Of the illness of the run's own pack: that pack first, then those the scenario names, then the rest. */
  readonly same: readonly GuidelinePack[];
  /** Of another illness: a score by one of these says nothing about the run. */
  readonly others: readonly GuidelinePack[];
}

/** The packs pinned with a run, those of the same condition first. A run whose own pack is gone takes its scenario's first. */
export function packsFor(run: { readonly definition: RunDefinition }): PacksFor {
  const { library, packId, scenario } = run.definition;
  const ids = [packId, ...scenario.guidelines];
  const own = ids.map((id) => library.packs.find((pack) => pack.id === id)).find((pack) => pack !== undefined);
  if (own === undefined) return { same: [], others: library.packs };
  const place = ({ id }: GuidelinePack): number => (ids.includes(id) ? ids.indexOf(id) : ids.length);
  const byTitle = (a: GuidelinePack, b: GuidelinePack): number => (a.title < b.title ? -1 : a.title > b.title ? 1 : 0);
  const fits = (pack: GuidelinePack): boolean => pack.condition === own.condition;
  return {
    same: library.packs.filter(fits).sort((a, b) => place(a) - place(b) || byTitle(a, b)),
    others: library.packs.filter((pack) => !fits(pack)).sort(byTitle),
  };
}
