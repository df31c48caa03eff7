/** Colour tokens of the picture's parts. */
import type { PanelId, TimelineTarget } from '@breathline/debrief';
import { STATUS } from '$lib/ui';

export const PANEL_TOKEN: Readonly<Record<PanelId, string>> = {
  spo2: '--vital-oxygen',
  pressure: '--vital-pressure',
  pulse: '--vital-heart',
  breathing: '--vital-breathing',
  etco2: '--vital-co2',
};

/** The colour of a target's result, as a CSS value. */
export function resultColour(result: TimelineTarget['result']): string {
  return `var(--status-${STATUS[result].token})`;
}
