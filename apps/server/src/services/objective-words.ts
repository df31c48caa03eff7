/** What scenarios are called and how they say their objectives, from the latest run of each that has them. */
import type { PageOptions, StoredSummary } from '@breathline/debrief';
import type { ProgrammeStore } from '../store/programme-store.ts';

/** Words for a page; a scenario or an objective that no stored run has words for gets none. */
export const wordsFor = async (
  store: ProgrammeStore,
  all: readonly StoredSummary[],
): Promise<Pick<PageOptions, 'titleOf' | 'objectiveSays'>> => {
  // The latest run of each scenario, and of each objective that a later version of its scenario may have dropped.
  const latest = new Map<string, { readonly at: string; readonly runId: string }>();
  const note = (key: string, at: string, runId: string): void => {
    const found = latest.get(key);
    if (!found || at > found.at) latest.set(key, { at, runId });
  };
  for (const { summary } of all) {
    const { scenarioId, at, runId } = summary;
    note(scenarioId, at, runId);
    for (const objective of Object.keys(summary.objectives)) note(`${scenarioId}/${objective}`, at, runId);
  }
  const words = await store.words([...new Set([...latest.values()].map(({ runId }) => runId))]);
  const of = (key: string) => words.get(latest.get(key)?.runId ?? '');
  const titles = new Map<string, string>();
  const taken = new Set<string>();
  for (const id of [...latest.keys()].filter((key) => !key.includes('/')).sort()) {
    const title = of(id)?.title || id;
    // Two scenarios of one title are told apart by their ids.
    titles.set(id, taken.has(title) ? `${title} (${id})` : title);
    taken.add(title);
  }
  return {
    titleOf: (scenarioId) => titles.get(scenarioId) ?? scenarioId,
    objectiveSays: (scenarioId, objective) => of(`${scenarioId}/${objective}`)?.objectives.get(objective),
  };
};
