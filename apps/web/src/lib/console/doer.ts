/** Who did it, by seat: of which taps that is asked, and where it is written. Pure. */
import type { EventBody, RunDefinition, RunView } from '@breathline/engine';

/** The seat a tap names, null where it could name one and does not, undefined where who did it is not asked. */
export function doerOf(command: EventBody): string | null | undefined {
  switch (command.kind) {
    case 'intervention':
    case 'other-action':
      return command.givenBy ?? null;
    case 'errand-sent':
      return command.sentBy ?? null;
    default:
      return undefined;
  }
}

/** The same with another seat, or with none; null where who did it is not asked. */
export function withDoer(command: EventBody, teamRole: string | null): EventBody | null {
  switch (command.kind) {
    case 'intervention':
    case 'other-action': {
      const { givenBy: _before, ...rest } = command;
      return teamRole === null ? rest : { ...rest, givenBy: teamRole };
    }
    case 'errand-sent': {
      const { sentBy: _before, ...rest } = command;
      return teamRole === null ? rest : { ...rest, sentBy: teamRole };
    }
    default:
      return null;
  }
}

/** Seats taken first, then the roles the scenario gives out. */
export function doersOf(definition: RunDefinition, view: RunView | null): readonly string[] {
  return [
    ...new Set([
      ...(view?.live?.seats ?? []).map((each) => each.teamRole),
      ...(definition.scenario.prebrief?.roles ?? []).map((each) => each.role),
    ]),
  ];
}
