import type { RunPhase } from '$lib/api';
import type { IconName } from '$lib/ui';

/** A run's phase in a word, an icon and a badge tone. */
export const PHASE_LOOK: Readonly<
  Record<
    RunPhase,
    { readonly word: string; readonly icon: IconName; readonly tone: 'plain' | 'accent' | 'good' | 'warn' }
  >
> = {
  ready: { word: 'Ready', icon: 'clock', tone: 'accent' },
  running: { word: 'Running', icon: 'play', tone: 'good' },
  paused: { word: 'Paused', icon: 'pause', tone: 'warn' },
  ended: { word: 'Ended', icon: 'check', tone: 'plain' },
};
