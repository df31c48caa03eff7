/** Closed word lists shared by the schemas, and the quantities of time. */
import { quantity } from './parts.ts';

export const LETTERS = ['airway', 'breathing', 'circulation', 'disability', 'exposure'] as const;
export const POSTURES = ['sitting', 'supine', 'legs-raised', 'standing', 'recovery-position'] as const;
export const DEVICES = ['oximeter', 'ecg', 'bp-cuff', 'capnography', 'thermometer', 'glucose-meter'] as const;

export const duration = (description: string, examples: readonly string[]) =>
  quantity(['duration'], description, examples, [0, 86_400_000]);
export const moment = (description: string, examples: readonly string[]) =>
  quantity(['clock', 'duration'], description, examples, [0, 86_400_000]);
