/** The one line over the picture: what happened, said plainly and without judging. */
import type { ResultWord, Scorecard } from '@breathline/debrief';
import { asksForAdrenaline, durationText, keyStep } from '@breathline/debrief';

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
export function headline(card: Scorecard): string {
  const { couldHaveSeenMs: could, firstAdrenalineMs: first } = card.clocks;
  if (!asksForAdrenaline(card)) {
    const key = keyStep(card);
    if (key === null) return 'The run on one line of time';
    const told = `${key.target.says}: ${key.takenMs === null || key.takenMs < 0 ? HOW[key.result] : `after ${span(key.takenMs)}`}`;
    const { abovePercent, aboveMs } = card.danger.saturation;
    // What too much oxygen did is the news of such a run.
    return abovePercent !== null && aboveMs >= WORTH_SAYING_MS
      ? `Above ${abovePercent} % on oxygen for ${span(aboveMs)}`
      : told;
  }
  const wrong = first === null ? '' : wrongDose(card, first);
  if (could !== null && first !== null) {
    return first >= could
      ? `First adrenaline ${span(first - could)} after it could have been seen${wrong}`
      : `First adrenaline ${span(could - first)} before the signs were clear${wrong}`;
  }
  if (first !== null) return `First adrenaline given; the signs never met the recognition criteria${wrong}`;
  const asked = card.results.some((one) => one.result === 'missed' && one.target.id.includes('adrenaline'));
  if (could !== null) return asked ? 'No adrenaline was given' : 'No adrenaline in the log';
  return 'The run on one line of time';
}

/** A wrong dose is said in the same breath as its time. */
function wrongDose(card: Scorecard, firstMs: number): string {
  const dose = card.results.find((one) => one.actualMs === firstMs && one.target.id.includes('adrenaline'))?.dose;
  if (!dose || (dose.verdict !== 'critical-error' && dose.verdict !== 'minor-error')) return '';
  return `, in a wrong dose${dose.slips[0] ? `: ${dose.slips[0]}` : ''}`;
}
