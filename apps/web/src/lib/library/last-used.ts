/** This device remembers which scenarios were started last, and with which pack. Nothing of a run is kept here. */
const KEY = 'breathline-last-used';
const KEPT = 3;

export interface LastUsed {
  readonly scenarioId: string;
  readonly packId: string;
  /** Where it was held; absent = not said. */
  readonly ward?: string;
}

/** Newest first; empty where nothing is kept or the device does not let us. */
export function lastUsed(): LastUsed[] {
  try {
    const found: unknown = JSON.parse(localStorage.getItem(KEY) ?? '[]');
    return Array.isArray(found)
      ? found.filter(
          (one): one is LastUsed =>
            typeof one === 'object' &&
            one !== null &&
            typeof (one as LastUsed).scenarioId === 'string' &&
            typeof (one as LastUsed).packId === 'string',
        )
      : [];
  } catch {
    return [];
  }
}

export function keepLastUsed(used: LastUsed): void {
  try {
    const others = lastUsed().filter(({ scenarioId }) => scenarioId !== used.scenarioId);
    localStorage.setItem(KEY, JSON.stringify([used, ...others].slice(0, KEPT)));
  } catch {
    // A device that keeps nothing simply does not remember.
  }
}
