/** All laws: run on the package, and on copies with one sign turned round (both in signs.test.ts). */
import type { Law } from './checks.ts';
import { BODY_LAWS } from './laws-body.ts';
import { GAS_LAWS } from './laws-gas.ts';
import { GIVEN_LAWS } from './laws-given.ts';
import { HAND_LAWS } from './laws-hands.ts';
import { ILLNESS_LAWS } from './laws-illness.ts';
import { PAIR_LAWS } from './laws-pairs.ts';
import { PART_LAWS } from './laws-parts.ts';
import { STEP_LAWS } from './laws-steps.ts';

export const LAWS: readonly Law[] = [
  ...GAS_LAWS,
  ...STEP_LAWS,
  ...PAIR_LAWS,
  ...GIVEN_LAWS,
  ...PART_LAWS,
  ...BODY_LAWS,
  ...ILLNESS_LAWS,
  ...HAND_LAWS,
];
