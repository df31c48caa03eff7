import { scoreRun } from '@breathline/debrief';
import {
  buildExport,
  CAUTION,
  findRehearsal,
  rehearse as play,
  type RehearsalCheck,
  type RehearsalResult,
  type RunDefinition,
  type RunExport,
} from '@breathline/engine';
import { clockText } from '@breathline/debrief';
import { oneFile, parseArgs } from '../args.ts';
import { trackCsv } from '@breathline/debrief';
import { UsageError, writeText, type World } from '../io.ts';
import { definitionFor, loadScenario } from '../library.ts';

interface Played {
  readonly result: RehearsalResult;
  readonly exported: RunExport;
  readonly checks: readonly RehearsalCheck[];
  readonly ok: boolean;
}

/** `rehearse FILE` */
export function rehearse(args: readonly string[], world: World): number {
  const { files, values, switches } = parseArgs('rehearse', args, {
    values: ['--only', '--csv', '--run', '--pack', '--seed', '--library'],
    switches: ['--json'],
  });
  const file = oneFile('rehearse', files, 'FILE');
  const { scenario, library, text } = loadScenario(world, file, values.get('--library'));
  const definition = definitionFor(scenario, library, { pack: values.get('--pack'), seed: values.get('--seed') });
  const only = values.get('--only');
  const chosen = only === undefined ? scenario.rehearsals : [findRehearsal(definition, only)];
  const runFile = values.get('--run');
  if (runFile !== undefined && chosen.length !== 1) {
    throw new UsageError(
      'one-rehearsal',
      `--run writes one rehearsal, and this scenario has ${chosen.length}`,
      `Choose it with --only: ${chosen.map((each) => `“${each.name}”`).join(', ')}.`,
    );
  }
  const played = chosen.map((rehearsal): Played => {
    const result = play(definition, rehearsal);
    const exported = buildExport({
      // The same scenario, seed and acts give the same name: a rehearsal can be made again at any time.
      runId: `rehearsal-${result.hash}`,
      createdAt: '1970-01-01T00:00:00.000Z',
      definition,
      scenarioText: text,
      events: result.events,
      derived: result.derived,
      track: result.track,
    });
    const checks = result.checks.map((check) => (check.ok === null ? scored(check, exported) : check));
    return { result, exported, checks, ok: checks.every((check) => check.ok === true) && result.faults.length === 0 };
  });
  const csv = values.get('--csv');
  if (csv !== undefined) writeText(csv, trackCsv(played.map(({ result }) => result)));
  if (runFile !== undefined) writeText(runFile, `${JSON.stringify(played[0]!.exported)}\n`);
  const ok = played.every((each) => each.ok);
  if (switches.has('--json')) world.out(JSON.stringify(asJson(file, definition, played, ok), null, 2));
  else print(file, definition, played, world);
  return ok ? 0 : 1;
}

/** An expectation about a target, settled by scoring the rehearsal as a run. */
function scored(check: RehearsalCheck, run: RunExport): RehearsalCheck {
  const { expectation } = check;
  if (expectation.kind !== 'target') return check;
  const result = scoreRun(run).results.find((each) => each.target.id === expectation.target);
  if (result === undefined) {
    return { ...check, ok: false, found: `the pack “${run.definition.packId}” has no target “${expectation.target}”` };
  }
  const taken = result.actualMs === null ? '' : ` at ${clockText(result.actualMs)}`;
  return { ...check, ok: result.result === expectation.result, found: `${result.result}${taken}` };
}

function asJson(file: string, definition: RunDefinition, played: readonly Played[], ok: boolean): object {
  return {
    caution: CAUTION,
    file,
    scenario: definition.scenario.id,
    pack: definition.packId,
    ok,
    rehearsals: played.map(({ result, checks, ok: held }) => ({
      name: result.name,
      ok: held,
      endedAtMs: result.endedAtMs,
      checks: checks.map(({ says, found, ok: holds }) => ({ says, found, ok: holds })),
      skipped: result.skipped,
      faults: result.faults,
      states: result.derived.flatMap((fact) =>
        fact.kind === 'state-entered'
          ? [{ thread: fact.thread, state: fact.state, atMs: fact.atMs, because: fact.because }]
          : [],
      ),
      hash: result.hash,
    })),
  };
}

function print(file: string, definition: RunDefinition, played: readonly Played[], world: World): void {
  world.out(`${definition.scenario.title} (${file}), pack ${definition.packId}\n${CAUTION}\n`);
  if (played.length === 0) world.out('This scenario has no rehearsals.');
  for (const { result, checks, ok } of played) {
    world.out(`${ok ? 'holds ' : 'FAILS '} ${result.name} (${clockText(result.endedAtMs)})`);
    for (const check of checks) world.out(`   ${check.ok === true ? 'yes' : 'NO '}  ${check.says}: ${check.found}`);
    for (const { atMs, says, why } of result.skipped) world.out(`   left out at ${clockText(atMs)}: ${says} (${why})`);
    for (const fault of result.faults) world.out(`   fault: ${fault}`);
    world.out('');
  }
  const failed = played.filter((each) => !each.ok).length;
  if (played.length > 0) {
    world.out(failed === 0 ? `All ${played.length} hold.` : `${failed} of ${played.length} do not hold.`);
  }
}
