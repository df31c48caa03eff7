import { CAUTION, checkExport, ENGINE_VERSION, lastTake, replay as play, type RunExport } from '@breathline/engine';
import { clockText } from '@breathline/debrief';
import { oneFile, parseArgs } from '../args.ts';
import { readText, type World } from '../io.ts';

/** `replay RUN.json`: does this run come out the same here, to the last bit? Exit 1 when it does not. */
export function replay(args: readonly string[], world: World): number {
  const { files, switches } = parseArgs('replay', args, { switches: ['--json', '--hashes'] });
  const file = oneFile('replay', files, 'RUN.json');
  const run = checkExport(readText(file));
  const hashes: string[] = [];
  const last = lastTake(run.events);
  const untilMs = run.events
    .filter((event) => event.take === last)
    .reduce((most, event) => Math.max(most, event.appliedAtMs), run.track.at(-1)?.atMs ?? 0);
  const wanted = switches.has('--hashes');
  const played = play(run.definition, run.events, {
    untilMs,
    ...(wanted ? { onTick: (now) => void hashes.push(now.hash()) } : {}),
  });
  const differs = firstDifference(run, played.track);
  const sameEngine = run.engineVersion === ENGINE_VERSION;
  if (switches.has('--json')) {
    const answer = {
      caution: CAUTION,
      recordedWith: run.engineVersion,
      engineVersion: ENGINE_VERSION,
      clockMs: played.clockMs,
      hash: played.hash(),
      sameTrack: differs === null,
      differsFromMs: differs,
      ...(wanted ? { hashes } : {}),
    };
    world.out(JSON.stringify(answer));
  } else if (differs === null) {
    world.out(`${file}: replayed ${clockText(played.clockMs)}; every value is the same. State ${played.hash()}.`);
  } else {
    const why = sameEngine ? '' : ` It was made with engine ${run.engineVersion}, this is ${ENGINE_VERSION}.`;
    world.out(
      `${file}: replayed ${clockText(played.clockMs)}; differs from the recorded track from ${clockText(differs)}.${why}`,
    );
  }
  return differs === null ? 0 : 1;
}

/** Run-clock ms of the first row that is not the same, or null. */
function firstDifference(run: RunExport, track: RunExport['track']): number | null {
  for (let i = 0; i < Math.max(run.track.length, track.length); i++) {
    const [frozen, now] = [run.track[i], track[i]];
    if (JSON.stringify(frozen) !== JSON.stringify(now)) return (frozen ?? now)!.atMs;
  }
  return null;
}
