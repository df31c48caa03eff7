/** The events that count in one take of an exported run. */
import { effectiveEvents, type RunEvent, type RunExport } from '@breathline/engine';

export function effectiveLog(run: RunExport, take: number): readonly RunEvent[] {
  return effectiveEvents(run.events, take).filter((event) => event.kind !== 'event-withdrawn');
}
