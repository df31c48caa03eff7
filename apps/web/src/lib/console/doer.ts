/** Who did it, by seat: whom a tap may be put down to. Which taps that is asked of, the engine says (`doerOf`). Pure. */
import type { RunDefinition, RunView } from '@breathline/engine';

/** Seats taken first, then the roles the scenario gives out. */
export function doersOf(definition: RunDefinition, view: RunView | null): readonly string[] {
  return [
    ...new Set([
      ...(view?.live?.seats ?? []).map((each) => each.teamRole),
      ...(definition.scenario.prebrief?.roles ?? []).map((each) => each.role),
    ]),
  ];
}
