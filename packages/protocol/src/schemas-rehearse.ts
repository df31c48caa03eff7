/** Schema of what rehearsing a scenario is asked with. */
import { Type } from '@sinclair/typebox';
import { Id, closed } from './schemas-shared.ts';

/** As long as a scenario may be; its reader says so in words a little before. */
const MOST_CHARACTERS = 600_000;

export const RehearseBodySchema = closed({
  scenarioId: Type.Optional(Id),
  file: Type.Optional(Type.String({ minLength: 1, maxLength: 200 })),
  text: Type.Optional(Type.String({ minLength: 1, maxLength: MOST_CHARACTERS })),
  packId: Type.Optional(Id),
});
