/** The list of runs: what each says of itself, and which of them some words find. Pure. */
import type { RunCard } from '$lib/api';
import { clockText } from '../time.ts';
import { runWhen } from './when.ts';

/** How a finished run ended, in words; empty while it is open. */
export function endingText({ phase, ending }: RunCard): string {
  if (phase !== 'ended') return '';
  if (ending?.realEmergency) return 'Stopped for a real emergency';
  return ending?.state ? `Ended in: ${ending.state}` : 'Ended';
}

/** All that a run can be found by. */
function wordsOf(run: RunCard, pack: string): string {
  return [
    run.scenarioTitle,
    run.ward ?? '',
    run.team ?? '',
    runWhen(run),
    run.rehearsal ? 'rehearsal' : run.createdAt.slice(0, 10),
    clockText(run.clockMs),
    endingText(run),
    run.phase,
    run.imported ? 'brought in from a file' : '',
    pack,
  ]
    .join(' ')
    .toLocaleLowerCase('en-GB');
}

/** Runs in which every one of the words stands somewhere: "ward 3 cashew nov". */
export function findRuns(
  runs: readonly RunCard[],
  words: string,
  packTitle: (packId: string) => string = (id) => id,
): readonly RunCard[] {
  const wanted = words.toLocaleLowerCase('en-GB').split(/\s+/).filter(Boolean);
  if (wanted.length === 0) return runs;
  return runs.filter((run) => {
    const all = wordsOf(run, packTitle(run.packId));
    return wanted.every((word) => all.includes(word));
  });
}
