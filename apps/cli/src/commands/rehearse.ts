import {
  clockText,
  endingsNeverReached,
  RehearsalRoom,
  rulesNeverTaken,
  statesNeverReached,
  trackCsv,
  type RehearsalReport,
} from '@breathline/debrief';
import { findRehearsal } from '@breathline/engine';
import { oneFile, parseArgs } from '../args.ts';
import { UsageError, writeText, type World } from '../io.ts';
import { definitionFor, loadScenario } from '../library.ts';

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
  const room = new RehearsalRoom(definition, { file, text });
  const played = chosen.map((rehearsal) => room.play(rehearsal));
  const report = room.report(played);
  const csv = values.get('--csv');
  if (csv !== undefined) writeText(csv, trackCsv(played.map(({ result }) => result)));
  if (runFile !== undefined) writeText(runFile, `${JSON.stringify(played[0]!.exported)}\n`);
  if (switches.has('--json')) world.out(JSON.stringify(asJson(report), null, 2));
  // What no rehearsal comes to can be told only of all of them.
  else print(report, only === undefined, world);
  return report.ok ? 0 : 1;
}

function asJson({ rehearsals, ...report }: RehearsalReport): object {
  return {
    ...report,
    pack: report.packId,
    // The lines are for a page; `--csv` gives every second.
    rehearsals: rehearsals.map(({ courses: _drawn, ...each }) => each),
  };
}

function print(report: RehearsalReport, whole: boolean, world: World): void {
  const { rehearsals, file } = report;
  const at = ({ line, column }: { line: number; column: number }): string => `${file}:${line}:${column}`;
  world.out(`${report.title} (${file}), pack ${report.packId}\n${report.caution}\n`);
  if (rehearsals.length === 0) world.out('This scenario has no rehearsals.');
  for (const { name, checks, ok, endedAtMs, skipped, faults } of rehearsals) {
    world.out(`${ok ? 'holds ' : 'FAILS '} ${name} (${clockText(endedAtMs)})`);
    for (const check of checks) {
      world.out(`   ${check.ok ? 'yes' : 'NO '}  ${check.says}: ${check.found}`);
      if (!check.ok) world.out(`        ${at(check.place)}${check.mend === undefined ? '' : `  → ${check.mend}`}`);
    }
    for (const { atMs, says, why } of skipped) world.out(`   left out at ${clockText(atMs)}: ${says} (${why})`);
    for (const fault of faults) world.out(`   fault: ${fault}`);
    world.out('');
  }
  if (whole && rehearsals.length > 0) {
    const ends = endingsNeverReached(report);
    for (const { place, state, ending } of ends) world.out(`ending never reached: ${state}, ${ending} (${at(place)})`);
    for (const { place, state } of statesNeverReached(report))
      world.out(`state never reached: ${state} (${at(place)})`);
    for (const { place, from, to, when } of rulesNeverTaken(report))
      world.out(`rule never followed: ${from} to ${to} when ${when} (${at(place)})`);
  }
  const failed = rehearsals.filter((each) => !each.ok).length;
  if (rehearsals.length > 0) {
    world.out(failed === 0 ? `All ${rehearsals.length} hold.` : `${failed} of ${rehearsals.length} do not hold.`);
  }
}
