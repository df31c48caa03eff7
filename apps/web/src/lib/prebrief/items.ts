import type { LogLine } from '$lib/api';

/** Said or done before every drill, whatever the scenario: a real ward is next door. */
export const ALWAYS_SAY: readonly string[] = [
  'Everyone knows who plays which role',
  'What is real and what is not has been said',
  '“Stop: real emergency” has been explained, and anyone may call it',
  'Simulated drugs are marked and counted in; real ones are out of reach',
  'Calls will begin with “this is a simulation”',
  'The ward next door knows a drill is on',
];

/** Which prebrief items stand ticked, by the latest log line of each that was not withdrawn. */
export function tickedItems(log: readonly LogLine[]): Map<string, boolean> {
  const ticked = new Map<string, boolean>();
  for (const { event, withdrawnBy } of log) {
    if (event.kind === 'prebrief-item' && withdrawnBy === null) ticked.set(event.item, event.done);
  }
  return ticked;
}
