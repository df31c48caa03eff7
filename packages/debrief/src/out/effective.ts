/** The events that count in one take of an exported run, each act with what was added to it afterwards. */
import { amendedEvents, effectiveEvents, type RunEvent, type RunExport } from '@breathline/engine';

export function effectiveLog(run: RunExport, take: number): readonly RunEvent[] {
  return amendedEvents(effectiveEvents(run.events, take)).filter((event) => event.kind !== 'event-withdrawn');
}
