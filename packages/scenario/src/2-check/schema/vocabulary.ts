/** Closed word lists shared by the schemas, and the quantities of time. */
import { quantity } from './parts.ts';

export { LETTERS, POSTURES } from '@breathline/patient';

/** What a monitor can be told by. Order matters: the index is the code in a run's state. */
export const DEVICES = ['oximeter', 'ecg', 'bp-cuff', 'capnography', 'thermometer', 'glucose-meter'] as const;

export const duration = (description: string, examples: readonly string[]) =>
  quantity(['duration'], description, examples, [0, 86_400_000]);
export const moment = (description: string, examples: readonly string[]) =>
  quantity(['clock', 'duration'], description, examples, [0, 86_400_000]);
