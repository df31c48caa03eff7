/** What a condition asks, in words that a person can check against a guideline. */
import type { VitalId } from '@breathline/patient';
import { VITALS, vitalName, type Comparison, type Condition, type Limit } from '@breathline/scenario';
import { durationText, listText, plainNumber } from '../words.ts';

/** Names people know; other vitals go by the author's name without its hyphens. */
const NAMES: Readonly<Record<string, string>> = {
  spo2: 'SpO2',
  paco2: 'PaCO2',
  pao2: 'PaO2',
  etco2: 'end-tidal CO2',
  ph: 'pH',
  systolic: 'systolic pressure',
  diastolic: 'diastolic pressure',
};
/** Gases are written in kPa as authors write them. 1 kPa = 7.50062 mmHg (SI definition of the pascal). */
const IN_KPA: ReadonlySet<string> = new Set(['paco2', 'pao2', 'etco2']);
const MMHG_PER_KPA = 7.50062;

const COMPARED: Readonly<Record<Comparison, string>> = {
  'at-least': 'at least',
  above: 'above',
  'at-most': 'at most',
  below: 'below',
};
const RELATIVE: Readonly<Record<string, string>> = {
  'low-limit-for-age': 'the low limit for age',
  'high-limit-for-age': 'the high limit for age',
  'median-for-age': 'the median for age',
};

function limitText(vital: VitalId, name: string, limit: Limit): string {
  if (!('value' in limit)) {
    const factor = limit.factor === undefined || limit.factor === 1 ? '' : `${plainNumber(limit.factor)} times `;
    return `${factor}${RELATIVE[limit.relative] ?? limit.relative}`;
  }
  const word = VITALS.get(name);
  const value = limit.value / (word?.scale ?? 1);
  switch (word?.kind) {
    case 'percent':
      return `${plainNumber(value)} %`;
    case 'rate':
      return `${plainNumber(value)} a minute`;
    case 'pressure':
      return IN_KPA.has(name)
        ? `${plainNumber(Math.round((value / MMHG_PER_KPA) * 100) / 100)} kPa`
        : `${plainNumber(value)} mmHg`;
    case 'temperature':
      return `${plainNumber(value)} °C`;
    case 'molar':
      return `${plainNumber(value)} mmol/L`;
    case 'duration':
      return durationText(value);
    default:
      return plainNumber(value);
  }
}

const held = (forMs: number): string => (forMs > 0 ? ` for ${durationText(forMs)}` : '');

/** The condition in words. `nameOf` gives an intervention's name. */
export function conditionText(condition: Condition, nameOf: (intervention: string) => string, inner = false): string {
  const wrap = (text: string, many: boolean): string => (inner && many ? `(${text})` : text);
  switch (condition.kind) {
    case 'all':
    case 'any':
      return wrap(
        listText(
          condition.of.map((one) => conditionText(one, nameOf, true)),
          condition.kind === 'all' ? 'and' : 'or',
        ),
        condition.of.length > 1,
      );
    case 'not':
      return `not ${conditionText(condition.of, nameOf, true)}`;
    case 'vital': {
      const name = vitalName(condition.vital);
      const word = NAMES[name] ?? name.replaceAll('-', ' ');
      return `${word} ${COMPARED[condition.op]} ${limitText(condition.vital, name, condition.limit)}${held(condition.forMs)}`;
    }
    case 'sign':
      return `${condition.sign.replaceAll('-', ' ')} ${COMPARED[condition.op]} ${condition.grade}${held(condition.forMs)}`;
    case 'given': {
      const what = listText(condition.interventions.map(nameOf), 'or');
      const times = condition.times > 1 ? ` ${condition.times} times` : '';
      const share =
        condition.minDoseShare > 0
          ? `, each at least ${plainNumber(condition.minDoseShare * 100)} % of the pack’s dose`
          : '';
      const within = condition.withinMs === undefined ? '' : ` in the last ${spanText(condition.withinMs)}`;
      return `${what} given${times}${within}${share}`;
    }
    case 'assessed':
      return `${listText(condition.interventions.map(nameOf), 'or')} done`;
    case 'in-state-for':
      return `${durationText(condition.ms)} in this state`;
    case 'run-clock':
      return `run clock past ${durationText(condition.ms)}`;
    case 'state':
      return `in the state ${condition.state.replaceAll('-', ' ')}`;
    case 'faculty':
      return `faculty press “${condition.label}”`;
  }
}

const HOUR_MS = 3_600_000;
/** Hours where they come out whole: a rule of 2 hours is not "120 min". */
export const spanText = (ms: number): string =>
  ms >= HOUR_MS && ms % HOUR_MS === 0 ? `${ms / HOUR_MS} ${ms === HOUR_MS ? 'hour' : 'hours'}` : durationText(ms);
