/** The one line over the picture: what happened, said plainly and without judging. */
import type { ResultWord, Scorecard, TimelineKeyStep } from '@breathline/debrief';
import {
  asksForAdrenaline,
  clockText,
  durationText,
  firstAdrenalineFault,
  isAdrenaline,
  keyStep,
} from '@breathline/debrief';

/** A length of time that does not break across lines. */
const span = (ms: number): string => durationText(ms).replaceAll(' ', '\u00a0');

/** Less than this above the range is steering, not a headline, ms. */
const WORTH_SAYING_MS = 60_000;

/** A step without a time of its own: never said as if it had been done. */
const HOW: Readonly<Record<ResultWord, string>> = {
  met: 'done',
  early: 'early',
  late: 'late',
  missed: 'not done',
  'not-due': 'never due',
  'not-recorded': 'not in the log',
  censored: 'the run ended first',
  'given-unverified': 'given, dose not seen',
  'given-wrong-dose': 'in a wrong dose',
  'contraindicated-given': 'given, though it should not be',
  'order-kept': 'in order',
  'order-broken': 'out of order',
};

/** For instance "Adrenaline 1 min 40 s after it could have been seen". Never says more than the log knows. */
export function headline(card: Scorecard, key: TimelineKeyStep | null): string {
  const { couldHaveSeenMs: could, firstAdrenalineMs: first } = card.clocks;
  const step = card.results.find(({ target }) => target.id === key?.target);
  if (key !== null && step !== undefined && !isAdrenaline(step)) {
    const { abovePercent, aboveMs } = card.danger.saturation;
    const rich = card.results.some(({ result }) => result === 'contraindicated-given');
    // What too much oxygen did is the news of such a run; a little above the range on the right mask is steering.
    if (rich && abovePercent !== null && aboveMs >= WORTH_SAYING_MS) {
      return `Above ${abovePercent} % on oxygen for ${span(aboveMs)}`;
    }
    return keyHeadline(card, key);
  }
  if (!asksForAdrenaline(card)) {
    const only = keyStep(card);
    if (only === null) return 'The run on one line of time';
    return `${only.target.says}: ${only.takenMs === null || only.takenMs < 0 ? HOW[only.result] : `after ${span(only.takenMs)}`}`;
  }
  const fault = firstAdrenalineFault(card);
  // A wrong dose is said in the same breath as its time.
  const wrong = fault === null ? '' : `, ${fault.brief}: ${fault.says}`;
  if (could !== null && first !== null) {
    return first >= could
      ? `First adrenaline ${span(first - could)} after it could have been seen${wrong}`
      : `First adrenaline ${span(could - first)} before the signs were clear${wrong}`;
  }
  if (first !== null) return `First adrenaline given; the signs never met the recognition criteria${wrong}`;
  const asked = card.results.some((one) => one.result === 'missed' && one.target.id.includes('adrenaline'));
  // A run cut short says nothing of a dose that had time left.
  const open = card.results.some((one) => one.result === 'censored' && isAdrenaline(one));
  if (could !== null && open && !asked)
    return `The run ended at ${clockText(card.clocks.endMs)}, before adrenaline was due`;
  if (could !== null) return asked ? 'No adrenaline was given' : 'No adrenaline in the log';
  return 'The run on one line of time';
}

function keyHeadline(card: Scorecard, key: TimelineKeyStep): string {
  if (key.toMs === null) return `${key.label}: ${key.outcome ?? 'not in the log'}`;
  const wrong = key.fault === null ? '' : `, ${key.fault}: ${key.faultSays}`;
  const from = key.since === 'could-have-seen' ? 'it could have been seen' : 'it was called for';
  if (key.toMs > key.fromMs) return `${key.label} ${span(key.toMs - key.fromMs)} after ${from}${wrong}`;
  return `${key.label} ${key.toMs === card.clocks.couldHaveSeenMs ? 'as soon as' : 'before'} ${from}${wrong}`;
}
