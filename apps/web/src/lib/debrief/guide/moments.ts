/**
 * Three moments worth ten minutes. What could have hurt the patient comes first, then the step that mattered where it
 * went wrong, then what could be seen, then what went furthest from its target. The order is ours: common practice, no
 * source. Pure.
 */
import {
  doseFault,
  durationText,
  firstAdrenalineFault,
  isAdrenaline,
  isDoneToPatient,
  keyStep,
  keyStepText,
  type HarmEvent,
  type Review,
  type Scorecard,
  type TargetResult,
} from '@breathline/debrief';
import type { RunExport } from '@breathline/engine';

export interface Moment {
  readonly atMs: number;
  readonly title: string;
  readonly ask: string;
}

const plain = (says: string): string => says.charAt(0).toLowerCase() + says.slice(1);

/** Nearer together than this they are one moment, and their numbers would cover each other. */
const APART_MS = 45_000;
/** In a short run things happen closer together: a thirtieth of it is enough. */
const SHARE_APART = 30;
/** The key step stands even close to what came of it: blows given seconds before the heart stopped, say. */
const KEY_APART_MS = 10_000;
/** A key step left out this soon after a harmful act is talked about with it; in a short run, sooner. */
const SAME_TALK_MS = 120_000;
/** Harmful acts in the first places; a third would leave no room for what came of them. */
const MOST_HARMFUL = 2;

const COULD = { title: 'It could be seen', ask: 'What did you notice first, and what did you think it was?' };
const IN_THE_WAY = 'What stood in the way?';
const SEEMED_RIGHT = 'What made it seem right then?';
const WAS_IT_DONE = 'Was it done? If not, what stood in the way?';

const OUTCOMES: ReadonlySet<HarmEvent['kind']> = new Set(['arrest', 'unsafe-rhythm', 'very-high-pressure']);
const OUTCOME_ASK = 'What did you see coming before it?';

/** The three, in the order they happened. `review` holds what could have hurt the patient. */
export function threeMoments(
  card: Scorecard,
  review: Pick<Review, 'harm'>,
  run: Pick<RunExport, 'definition'>,
): readonly Moment[] {
  const { couldHaveSeenMs: couldMs, endMs } = card.clocks;
  const apart = Math.min(APART_MS, endMs / SHARE_APART);
  const sameTalk = Math.min(SAME_TALK_MS, endMs / SHARE_APART);
  const found: Moment[] = [];
  const add = (atMs: number | null, title: string, ask: string, leastMs = apart): boolean => {
    if (atMs === null || atMs > endMs || found.length >= 3) return false;
    if (found.some((one) => Math.abs(one.atMs - atMs) < leastMs)) return false;
    found.push({ atMs, title, ask });
    return true;
  };
  const harm = (events: readonly HarmEvent[], most: number, ask: string): void => {
    let added = 0;
    for (const one of events) if (added < most && add(one.atMs, harmTitle(card, one), ask)) added++;
  };

  const key = keyStep(card, run.definition.library.interventions);
  const step = key && keyOf(card, key);
  const harmful = review.harm.filter(({ kind }) => !OUTCOMES.has(kind));
  // A wrong dose of the key step itself is told as the key step.
  const acts = harmful.filter((one) => !(step?.wrong && one.kind === 'wrong-dose' && one.atMs === step.atMs));
  const critical = acts.filter((one) => isCritical(card, one));
  const outcome = ['arrest', 'unsafe-rhythm', 'very-high-pressure'].flatMap((kind) =>
    review.harm.filter((one) => one.kind === kind).slice(0, 1),
  );

  harm(critical, MOST_HARMFUL, SEEMED_RIGHT);
  for (const one of card.results.filter((each) => each.result === 'order-broken' && each.target.critical)) {
    if (found.length < MOST_HARMFUL) add(one.actualMs, `Out of order: ${plain(one.target.says)}`, SEEMED_RIGHT);
  }
  const first = outcome[0];
  if (first) {
    // What came of it within seconds is told with it.
    const by = found.findIndex(({ atMs }) => first.atMs >= atMs && first.atMs - atMs < apart);
    const before = found[by];
    if (before) {
      found[by] = {
        ...before,
        title: `${before.title}; ${beside(first.atMs - before.atMs)}: ${plain(outcomeText(first))}`,
      };
    } else harm([first], 1, OUTCOME_ASK);
  }
  const told =
    step !== null &&
    !step.done &&
    (critical.some(({ atMs }) => step.atMs - atMs >= 0 && step.atMs - atMs < sameTalk) ||
      outcome.some(({ kind, atMs }) => kind === 'arrest' && atMs < step.atMs));
  if (step?.wrong && !told) add(step.atMs, step.title, step.ask, Math.min(apart, KEY_APART_MS));
  // Given first, and what should have come before it is not in the log at all.
  for (const one of card.results) {
    if (one.target.critical && one.target.mustFollow !== undefined && one.result === 'not-recorded') {
      if (add(one.actualMs, `Given first: ${plain(one.target.says)}`, SEEMED_RIGHT)) break;
    }
  }
  harm(
    acts.filter((one) => !isCritical(card, one)),
    1,
    SEEMED_RIGHT,
  );
  const stoppedMs = review.harm.find(({ kind }) => kind === 'arrest')?.atMs ?? Infinity;
  // What fell due after the heart had stopped was no longer the question.
  const gaps = gapsOf(card, run).filter(
    ({ target, known, atMs }) => target !== key?.target.id && (known || (atMs ?? 0) < stoppedMs),
  );
  if (step?.wrong) add(couldMs, COULD.title, COULD.ask);
  else gaps.filter((one) => one.critical && (one.known || one.done)).some((one) => add(one.atMs, one.title, one.ask));
  if (step && !step.wrong && couldMs !== null && Math.abs(step.atMs - couldMs) < apart) {
    add(couldMs, `It could be seen; ${plain(step.label)} ${beside(step.atMs - couldMs)}`, COULD.ask);
  } else if (step && !step.wrong) add(step.atMs, step.title, step.ask);
  add(couldMs, COULD.title, COULD.ask);
  for (const one of gaps) add(one.atMs, one.title, one.ask);
  add(endMs, 'How it ended', 'How was the patient when you handed over?');
  for (const { target, result, actualMs } of card.results) {
    if (target.critical && result === 'met') add(actualMs, `In time: ${plain(target.says)}`, 'What helped you do it?');
  }
  return found.sort((a, b) => a.atMs - b.atMs);
}

const beside = (ms: number): string =>
  ms === 0 ? 'at once' : `${durationText(Math.abs(ms))} ${ms > 0 ? 'later' : 'before'}`;

const outcomeText = ({ text }: HarmEvent): string => text.replace(/\.$/, '');

/** What was done, short enough to read from afar; the line that it broke stands on the scorecard. */
function harmTitle(card: Scorecard, one: HarmEvent): string {
  if (one.kind === 'against-guideline') {
    const act = one.text.split(/\.(?= The guideline: )/)[0] ?? one.text;
    return `Against the guideline: ${plain(act.replace(/, while it was ruled out$/, ''))}`;
  }
  const wrong = card.results.find(({ actualMs, dose }) => actualMs === one.atMs && dose?.verdict === 'critical-error');
  const fault = one.kind === 'wrong-dose' && wrong ? doseFault(wrong.dose) : null;
  return fault && wrong ? `${wrong.target.says}, ${fault.brief}: ${fault.says}` : outcomeText(one);
}

function isCritical(card: Scorecard, one: HarmEvent): boolean {
  if (one.kind === 'stood-in-shock') return true;
  return card.results.some(
    ({ actualMs, target, result, dose }) =>
      actualMs === one.atMs &&
      target.critical &&
      (result === 'contraindicated-given' || dose?.verdict === 'critical-error'),
  );
}

interface KeyMoment {
  readonly atMs: number;
  readonly label: string;
  readonly title: string;
  readonly ask: string;
  /** It is in the log. */
  readonly done: boolean;
  /** Late, left out, in a wrong dose or by a wrong route. */
  readonly wrong: boolean;
}

/** The step that mattered: when it was done, or when it was due and is not in the log. */
function keyOf(card: Scorecard, key: TargetResult): KeyMoment | null {
  const adrenaline = isAdrenaline(key);
  const label = adrenaline ? 'First adrenaline' : keyStepText(card, key);
  const actualMs = adrenaline ? (card.clocks.firstAdrenalineMs ?? key.actualMs) : key.actualMs;
  if (actualMs === null) {
    if (key.dueMs === null || key.result === 'censored') return null;
    const title = `${key.result === 'missed' ? 'Not done' : 'Not in the log'}: ${plain(label)}`;
    const ask = key.result === 'missed' ? IN_THE_WAY : WAS_IT_DONE;
    return { atMs: key.dueMs, label, title, ask, done: false, wrong: true };
  }
  const fault = adrenaline ? firstAdrenalineFault(card) : doseFault(key.dose);
  if (fault) {
    const title = `${label}, ${fault.brief}: ${fault.says}`;
    return { atMs: actualMs, label, title, ask: 'How did you arrive at it?', done: true, wrong: true };
  }
  const late = key.result === 'late' && key.latenessMs !== null ? key.latenessMs : null;
  return {
    atMs: actualMs,
    label,
    title: late === null ? label : `${label}, ${durationText(late)} late`,
    ask: late === null ? 'What made you act then?' : IN_THE_WAY,
    done: true,
    wrong: late !== null,
  };
}

interface Gap {
  readonly target: string;
  readonly atMs: number | null;
  readonly title: string;
  readonly ask: string;
  readonly critical: boolean;
  /** Known to have been late, left out or wrong; otherwise only not in the log. */
  readonly known: boolean;
  /** Done to the patient, rather than said. */
  readonly done: boolean;
}

/** Critical first, then what is known before what is not in the log; then the longest, the weightiest, the last. */
function byWorth(a: TargetResult, b: TargetResult): number {
  const unknown = (one: TargetResult): number => Number(one.result === 'not-recorded');
  const [late, later] = [a.latenessMs ?? Infinity, b.latenessMs ?? Infinity];
  return (
    Number(b.target.critical) - Number(a.target.critical) ||
    unknown(a) - unknown(b) ||
    (late === later ? 0 : later - late) ||
    b.target.weight - a.target.weight ||
    (b.dueMs ?? 0) - (a.dueMs ?? 0)
  );
}

/** What fell short of its target. */
function gapsOf(card: Scorecard, run: Pick<RunExport, 'definition'>): readonly Gap[] {
  return card.results
    .filter(
      ({ result, target }) =>
        result === 'late' ||
        result === 'missed' ||
        result === 'given-wrong-dose' ||
        (result === 'not-recorded' && target.critical && target.mustFollow === undefined),
    )
    .sort(byWorth)
    .map((one): Gap => {
      const { result, target, actualMs, dueMs } = one;
      const unknown = result === 'not-recorded';
      return {
        target: target.id,
        atMs: result === 'missed' || unknown ? dueMs : (actualMs ?? dueMs),
        title: `${unknown ? 'Not in the log' : 'A gap'}: ${plain(target.says)}`,
        ask: unknown ? WAS_IT_DONE : IN_THE_WAY,
        critical: target.critical,
        known: !unknown,
        done: isDoneToPatient(one, run.definition.library.interventions),
      };
    });
}
