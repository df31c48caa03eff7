/** The events that count in one take of an exported run. */
import { effectiveEvents, type RunEvent, type RunExport } from '@breathline/engine';

export function effectiveLog(run: RunExport, take: number): readonly RunEvent[] {
  return effectiveEvents(run.events).filter((event) => event.take <= take && event.kind !== 'event-withdrawn');
}
