import {
  adrenalineLines,
  asksForAdrenaline,
  clockText,
  dangerLines,
  durationText,
  scoreRun,
  type Scorecard,
  type TargetResult,
} from '@breathline/debrief';
import { CAUTION, checkExport } from '@breathline/engine';
import { oneFile, parseArgs } from '../args.ts';
import { readText, type World } from '../io.ts';

/** `debrief RUN.json` */
export function debrief(args: readonly string[], world: World): number {
  const { files, values, switches } = parseArgs('debrief', args, { values: ['--pack'], switches: ['--json'] });
  const run = checkExport(readText(oneFile('debrief', files, 'RUN.json')));
  const packId = values.get('--pack');
  const card = scoreRun(run, packId === undefined ? {} : { packId });
  if (switches.has('--json')) world.out(JSON.stringify(card, null, 2));
  else print(card, run.definition.scenario.title, world);
  return 0;
}

const WORDS: Readonly<Record<TargetResult['result'], string>> = {
  met: 'met',
  early: 'too early',
  late: 'late',
  missed: 'missed',
  'not-due': 'not due',
  'not-recorded': 'not recorded',
  censored: 'run ended first',
  'given-unverified': 'dose unverified',
  'given-wrong-dose': 'given, wrong dose',
  'contraindicated-given': 'should not have been given',
  'order-kept': 'order kept',
  'order-broken': 'order broken',
};

function print(card: Scorecard, title: string, world: World): void {
  world.out(`${title}\nScored against ${card.packTitle}. Take ${card.take}.\n${CAUTION}\n`);
  const { clocks, danger } = card;
  const at = (ms: number | null): string => (ms === null ? 'never' : clockText(ms));
  world.out(`Could have been seen  ${at(clocks.couldHaveSeenMs)}  ${clocks.couldHaveSeenBecause ?? ''}`.trimEnd());
  world.out(`Was seen              ${at(clocks.didSeeMs)}  ${clocks.didSeeBecause ?? ''}`.trimEnd());
  if (asksForAdrenaline(card)) {
    for (const { says, atMs, note } of adrenalineLines(card))
      world.out(`${says.padEnd(20)}  ${at(atMs)}  ${note ?? ''}`.trimEnd());
  }
  world.out(`End                   ${at(clocks.endMs)}\n`);
  for (const result of card.results) printTarget(result, world);
  for (const failure of card.criticalFailures) world.out(`CRITICAL  ${failure.text}`);
  for (const point of card.forDiscussion ?? []) world.out(`To discuss (source not yet checked)  ${point.text}`);
  world.out(
    `\nIn danger: ${dangerLines(danger)
      .map(({ says, ms }) => `${says}: ${durationText(ms)}`)
      .join('; ')}.`,
  );
  world.out(
    `Score: ${card.score.fraction === null ? 'none' : `${Math.round(card.score.fraction * 100)} %`} (${card.score.arithmetic})`,
  );
  for (const { question } of card.toReconcile) world.out(`Not recorded; ask the team: ${question}`);
}

function printTarget(result: TargetResult, world: World): void {
  const { target, source } = result;
  const word = WORDS[result.result].padEnd(15);
  const taken = result.actualMs === null ? '' : ` at ${clockText(result.actualMs)}`;
  const due = result.dueMs === null ? '' : `, due by ${clockText(result.dueMs)}`;
  world.out(`${word} ${target.says}${taken}${due}`);
  if (result.dose !== null && result.dose.verdict !== 'not-applicable')
    world.out(`${' '.repeat(16)}dose: ${result.dose.text}`);
  if (result.adjusted)
    world.out(`${' '.repeat(16)}faculty judged: ${WORDS[result.adjusted.result]} (${result.adjusted.reason})`);
  const teaching = target.timeStatus === 'teaching' ? '; the time is a teaching target' : '';
  const place = [source.organisation, source.document, source.edition, source.section].filter(Boolean).join(', ');
  world.out(`${' '.repeat(16)}${place}${teaching}${result.unverifiedSource ? ' (unverified: fails no one)' : ''}`);
}
