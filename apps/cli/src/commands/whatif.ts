import { clockText, durationText, interventionName, scoreRun, type TargetResult } from '@breathline/debrief';
import {
  CAUTION,
  checkExport,
  effectiveEvents,
  isWithdrawable,
  whatIf,
  type Difference,
  type RunEvent,
  type RunExport,
  type WhatIf,
  type WhatIfEdit,
} from '@breathline/engine';
import { convertAmount, formatAmount } from '@breathline/scenario';
import { oneFile, parseArgs } from '../args.ts';
import { readText, UsageError, type World } from '../io.ts';

/** `whatif RUN.json` */
export function whatif(args: readonly string[], world: World): number {
  const { files, lists, switches } = parseArgs('whatif', args, {
    lists: ['--move', '--drop', '--dose'],
    switches: ['--json', '--quick'],
  });
  const run = checkExport(readText(oneFile('whatif', files, 'RUN.json')));
  const edits = lists.map(({ flag, value }) => readEdit(flag, value, run));
  const json = switches.has('--json');
  if (edits.length === 0 && !json) {
    listActs(run, world);
    return 0;
  }
  const answer = whatIf(run, edits, switches.has('--quick') ? { uncertain: [] } : {});
  const targets = targetChanges(run, answer);
  if (json) world.out(JSON.stringify({ caution: CAUTION, ...answer, targets, acts: acts(run) }, null, 2));
  else print(run, answer, targets, world);
  return 0;
}

type TargetScore = Pick<TargetResult, 'result' | 'actualMs' | 'dueMs' | 'latenessMs'>;

/** One target of the run's pack in both courses. Times are run-clock ms; lateness below 0 is early. */
interface TargetChange {
  readonly id: string;
  readonly says: string;
  readonly base: TargetScore;
  readonly alternative: TargetScore;
  /** Alternative minus base; null where either has none. */
  readonly latenessChangeMs: number | null;
  readonly changed: boolean;
}

/** Scores both courses as if each had been the run. */
function targetChanges(run: RunExport, answer: WhatIf): TargetChange[] {
  const score = (events: RunExport['events'], { track, derived }: WhatIf['base']) =>
    scoreRun({ ...run, events, track, derived }).results;
  const after = score(answer.events, answer.alternative);
  const plain = ({ result, actualMs, dueMs, latenessMs }: TargetResult): TargetScore => ({
    result,
    actualMs,
    dueMs,
    latenessMs,
  });
  return score(run.events, answer.base).map((before, at) => {
    const [base, alternative] = [plain(before), plain(after[at]!)];
    const both = base.latenessMs !== null && alternative.latenessMs !== null;
    return {
      id: before.target.id,
      says: before.target.says,
      base,
      alternative,
      latenessChangeMs: both ? alternative.latenessMs! - base.latenessMs! : null,
      changed: JSON.stringify(base) !== JSON.stringify(alternative),
    };
  });
}

function scoreText({ result, actualMs, latenessMs }: TargetScore): string {
  const word = result.replaceAll('-', ' ');
  const when = actualMs === null ? '' : ` at ${clockText(actualMs)}`;
  const late = latenessMs !== null && latenessMs > 0 ? `, ${durationText(latenessMs)} late` : '';
  return `${word}${when}${late}`;
}

function readEdit(flag: string, value: string, run: RunExport): WhatIfEdit {
  const [, number, rest] = /^(\d+)(?:=(.*))?$/s.exec(value) ?? [];
  if (number === undefined) {
    throw new UsageError(
      'edit-unreadable',
      `${flag} ${value}: expected the number of an act first`,
      `For example ${EXAMPLE[flag]}`,
    );
  }
  const seq = Number(number);
  if (flag === '--drop') {
    if (rest !== undefined) throw new UsageError('edit-unreadable', `--drop takes only the number: --drop ${seq}`);
    return { kind: 'drop', seq };
  }
  if (flag === '--move') return { kind: 'move', seq, byMs: readShift(value, rest) };
  return { kind: 'dose', seq, amount: readDose(value, rest, seq, run) };
}

const EXAMPLE: Readonly<Record<string, string>> = {
  '--move': '--move 7=+120s',
  '--drop': '--drop 7',
  '--dose': '--dose 7="300 micrograms"',
};

const UNIT_MS: Readonly<Record<string, number>> = { ms: 1, s: 1000, min: 60_000 };

function readShift(value: string, text: string | undefined): number {
  const [, sign, number, unit] = /^([+-])\s*(\d+(?:\.\d+)?)\s*(ms|s|min)$/.exec(text?.trim() ?? '') ?? [];
  if (sign === undefined) {
    throw new UsageError(
      'edit-unreadable',
      `--move ${value}: expected how much later (+) or earlier (-), with a unit`,
      'For example --move 7=+120s or --move 7=-0.5min',
    );
  }
  return (sign === '-' ? -1 : 1) * Number(number) * UNIT_MS[unit!]!;
}

function readDose(value: string, text: string | undefined, seq: number, run: RunExport): number {
  const [, number, unit] = /^(\d+(?:\.\d+)?)\s*([a-zµμ]\S*)$/i.exec(text?.trim() ?? '') ?? [];
  if (number === undefined) {
    throw new UsageError(
      'edit-unreadable',
      `--dose ${value}: expected an amount with its unit`,
      `For example ${EXAMPLE['--dose']}`,
    );
  }
  const event = run.events.find((each) => each.seq === seq);
  if (event?.kind !== 'intervention') return Number(number); // whatIf says what is wrong with the act
  const item = run.definition.library.interventions.find((each) => each.id === event.intervention);
  const wanted = event.unit ?? item?.unit;
  if (wanted === undefined)
    throw new UsageError('edit-no-unit', `act ${seq} (${event.intervention}) has no dose to change`);
  const amount = convertAmount(Number(number), unit === 'microgram' ? 'micrograms' : unit!, wanted);
  if (amount === null) {
    throw new UsageError(
      'edit-wrong-unit',
      `--dose ${value}: ${unit} does not convert to ${wanted}`,
      `Write it in ${wanted}.`,
    );
  }
  return amount;
}

/** An act in one line. */
function actText(event: RunEvent, run: RunExport): string {
  const { library } = run.definition;
  switch (event.kind) {
    case 'intervention': {
      const amount = event.amount === null ? '' : `, ${formatAmount(event.amount, event.unit ?? '')}`;
      const step = event.step === 'given' ? '' : ` (${event.step})`;
      return `${interventionName(library, event.intervention)}${amount}${step}`;
    }
    case 'intervention-stopped':
      return `stop ${interventionName(library, event.intervention)}`;
    case 'assessment':
      return `look: ${interventionName(library, event.intervention)}`;
    case 'device-attached':
      return `attach ${event.device}`;
    case 'device-removed':
      return `remove ${event.device}`;
    case 'state-forced':
      return `force ${event.state}`;
    case 'cue-spoken':
      return `cue ${event.cue}`;
    default:
      return event.kind.replaceAll('-', ' ');
  }
}

/** What people did and did not take back: what can be asked about. */
function changeable(run: RunExport): RunEvent[] {
  return effectiveEvents(run.events, run.scoredTake).filter(
    (event) => isWithdrawable(event) && event.kind !== 'event-withdrawn' && event.kind !== 'act-amended',
  );
}

function acts(run: RunExport): object[] {
  return changeable(run).map((event) => ({
    seq: event.seq,
    atMs: event.appliedAtMs,
    kind: event.kind,
    says: actText(event, run),
  }));
}

function listActs(run: RunExport, world: World): void {
  world.out(`${run.definition.scenario.title}\n${CAUTION}\n\n  act   time  what`);
  for (const event of changeable(run)) {
    world.out(`${String(event.seq).padStart(5)}  ${clockText(event.appliedAtMs).padStart(5)}  ${actText(event, run)}`);
  }
  world.out(
    '\nAsk, for example: whatif RUN.json --move SEQ=+120s   or   --drop SEQ   or   --dose SEQ="300 micrograms"',
  );
}

function valueText(value: number | null, unit: Difference['unit']): string {
  if (value === null) return 'never';
  if (unit === 'ms') return value === 0 ? '0 s' : durationText(value);
  if (unit === 'run-clock ms') return clockText(value);
  return unit === 'fraction' ? value.toFixed(2) : `${value.toFixed(0)} ${unit}`;
}

function changeText(change: number, unit: Difference['unit']): string {
  const size = valueText(Math.abs(change), unit === 'run-clock ms' ? 'ms' : unit);
  // What rounds to nothing has no sign.
  const sign = !/[1-9]/.test(size) ? '' : change > 0 ? '+' : '-';
  return `${sign}${size}`;
}

function print(run: RunExport, answer: WhatIf, targets: readonly TargetChange[], world: World): void {
  world.out(`${run.definition.scenario.title}\n${CAUTION}`);
  world.out(`Both courses played on engine ${answer.engineVersion}; the run was made with ${answer.recordedWith}.\n`);
  for (const edit of answer.edits) {
    const event = run.events.find((each) => each.seq === edit.seq)!;
    const what = actText(event, run);
    if (edit.kind === 'drop') world.out(`Without act ${edit.seq}: ${what}`);
    else if (edit.kind === 'move') {
      const to = answer.events.find((each) => each.seq === edit.seq)!.appliedAtMs;
      world.out(`Act ${edit.seq}, ${what}: at ${clockText(to)} instead of ${clockText(event.appliedAtMs)}`);
    } else {
      const unit = event.kind === 'intervention' ? (event.unit ?? '') : '';
      world.out(`Act ${edit.seq}, ${what}: ${formatAmount(edit.amount, unit)} instead`);
    }
  }
  world.out('');
  const { base, alternative } = answer;
  for (const each of answer.differences) {
    const { unit } = each;
    if (each.id === 'recoveryAtMs' && !base.outcomes.everInDanger && !alternative.outcomes.everInDanger) {
      world.out('Never in danger (saturation below 90 %, low pressure for age or arrest) in either course');
      continue;
    }
    const change = each.change === null ? '' : `  (${changeText(each.change, unit)}`;
    const range =
      each.changeRange === null || change === ''
        ? ''
        : `; ${changeText(each.changeRange[0], unit)} to ${changeText(each.changeRange[1], unit)}`;
    const course = (which: 'base' | 'alternative'): string =>
      each.without?.[which] === undefined
        ? valueText(each[which], unit)
        : each.without[which] === 'never-in-danger'
          ? 'never in danger'
          : 'not by the end';
    const still =
      each.alternative === null && each.happens.alternative > 0 ? ' (with some constants it still does)' : '';
    world.out(
      `${each.says.padEnd(54)} ${course('base').padStart(13)} -> ${course('alternative')}${still}${change}${range}${change === '' ? '' : ')'}`,
    );
  }
  // In words only: a due time that moved behind a line met all the same says nothing here.
  const changed = targets.filter((target) => scoreText(target.base) !== scoreText(target.alternative));
  if (changed.length > 0) world.out('\nTargets that come out otherwise:');
  for (const { says, base: before, alternative: after } of changed) {
    world.out(`${says}: ${scoreText(before)} -> ${scoreText(after)}`);
  }
  if (answer.uncertainConstants > 0) {
    world.out(
      `\nRanges: each of ${answer.uncertainConstants} uncertain constants of the model moved to either end, one at a time.`,
    );
  }
  if (answer.identical) world.out('\nThe two courses are the same to the last bit.');
  if (answer.oddActs.length > 0) world.out('\nKept, and in the figures above, though it no longer makes sense:');
  for (const odd of answer.oddActs) world.out(`Act ${odd.seq} at ${clockText(odd.atMs)} is kept but ${odd.why}.`);
}
