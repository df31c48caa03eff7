/**
 * A condition asked of a recorded run, second by second.
 *
 * Three answers: yes, no, and unknown (a vital nobody could or did see). Unknown never makes a condition hold, not even
 * under `not` (Kleene's strong three-valued logic, from memory).
 */
import { GRADES, type SignId, type VitalId } from '@breathline/patient';
import type { ShownVitals, TrackRow } from '@breathline/engine';
import type { Condition, Intervention } from '@breathline/scenario';
import { limitValue, type AgeLimits } from './age-limits.ts';
import type { PreparedLog } from './prepare-log.ts';
import { clockText, listText, plainNumber } from './words.ts';

/** What one pair of eyes knows at row `index`. `null` = not known. */
export interface View {
  readonly vital: (index: number, vital: VitalId) => number | null;
  /** Grade index 0..4. */
  readonly sign: (index: number, sign: SignId) => number | null;
}

export interface ConditionContext {
  readonly track: readonly TrackRow[];
  readonly view: View;
  readonly log: Pick<PreparedLog, 'acts' | 'flags'>;
  readonly limits: AgeLimits;
  /** What share of the pack's dose an act was; null when unknown. */
  readonly doseShareOf: (actIndex: number) => number | null;
  /** The thread `in-state-for` refers to when the condition stands outside a thread. */
  readonly mainThread: string | null;
}

type Answer = boolean | null;

/**
 * True values that a person at the bedside could get with eyes, hands or ordinary equipment. Blood gases, airway
 * calibre and the like are true but not observable, so no recognition clock may start on them.
 */
export const OBSERVABLE_VITALS: ReadonlySet<VitalId> = new Set<VitalId>([
  'heartRatePerMin',
  'pulseRatePerMin',
  'respiratoryRatePerMin',
  'spo2Percent',
  'systolicMmHg',
  'diastolicMmHg',
  'meanMmHg',
  'etco2MmHg',
  'temperatureCelsius',
  'glucoseMmolPerL',
  'capillaryRefillS',
  'consciousnessFraction',
  'arrested',
]);

/** What could have been seen: every graded sign, and true values limited to the observable ones. */
export function couldSeeView(track: readonly TrackRow[]): View {
  return {
    vital: (index, vital) => (OBSERVABLE_VITALS.has(vital) ? finite(track[index]?.true[vital]) : null),
    sign: (index, sign) => finite(track[index]?.signs[sign]),
  };
}

/** Everything true, for asking whether a problem persisted. */
export function trueView(track: readonly TrackRow[]): View {
  return {
    vital: (index, vital) => finite(track[index]?.true[vital]),
    sign: (index, sign) => finite(track[index]?.signs[sign]),
  };
}

/** The value a monitor showed for a vital, or null when nothing was attached or the reading was lost. */
export function shownVital(shown: ShownVitals, vital: VitalId): number | null {
  switch (vital) {
    case 'spo2Percent':
      return finite(shown.spo2Percent);
    case 'heartRatePerMin':
      return finite(shown.heartRatePerMin ?? shown.pulsePerMin);
    case 'pulseRatePerMin':
      return finite(shown.pulsePerMin);
    case 'respiratoryRatePerMin':
      return finite(shown.respiratoryRatePerMin);
    case 'etco2MmHg':
      return finite(shown.etco2MmHg);
    case 'temperatureCelsius':
      return finite(shown.temperatureCelsius);
    case 'glucoseMmolPerL':
      return finite(shown.glucoseMmolPerL);
    case 'systolicMmHg':
      return finite(shown.bloodPressure?.systolicMmHg);
    case 'diastolicMmHg':
      return finite(shown.bloodPressure?.diastolicMmHg);
    case 'meanMmHg':
      return finite(shown.bloodPressure?.meanMmHg);
    default:
      return null;
  }
}

/** Which signs an examination of each letter brings out. */
const SIGNS_BY_LETTER: Readonly<Record<string, readonly SignId[]>> = {
  airway: ['stridor', 'swelling', 'cannot-talk'],
  breathing: ['work-of-breathing', 'wheeze', 'fatigue', 'silent-chest', 'cyanosis', 'apnoea'],
  circulation: ['poor-perfusion', 'arrest'],
  disability: ['drowsiness', 'agitation'],
  exposure: ['rash', 'gut'],
};

/** Signs heard or felt under a finding of another name. A finding named like a sign brings out that sign. */
const SIGNS_BY_FINDING: Readonly<Record<string, readonly SignId[]>> = {
  talking: ['cannot-talk'],
  'air-entry': ['wheeze', 'silent-chest'],
  breathing: ['apnoea'],
  colour: ['cyanosis'],
  'capillary-refill': ['poor-perfusion'],
  'skin-temperature': ['poor-perfusion'],
  pulse: ['arrest'],
  consciousness: ['drowsiness', 'agitation'],
  response: ['drowsiness', 'arrest'],
};

/** What was seen: shown vitals, and what logged assessments revealed (kept until looked at again). */
export function didSeeView(
  track: readonly TrackRow[],
  log: Pick<PreparedLog, 'acts'>,
  interventions: readonly Intervention[],
): View {
  const known = new Map(interventions.map((one) => [one.id, one]));
  const signs = new Map<SignId, (number | null)[]>();
  const vitals = new Map<VitalId, (number | null)[]>();
  const put = <K>(table: Map<K, (number | null)[]>, key: K, from: number, value: number | null): void => {
    if (value === null) return;
    const row = table.get(key) ?? new Array<number | null>(track.length).fill(null);
    row.fill(value, from);
    table.set(key, row);
  };
  for (const act of log.acts) {
    const reveals = act.reconciled ? undefined : known.get(act.intervention)?.reveals;
    const seenAt = firstRowAtOrAfter(track, act.atMs);
    const lookedAt = lastRowAtOrBefore(track, act.atMs);
    if (!reveals || seenAt === null || lookedAt === null) continue;
    const looked = track[lookedAt];
    if (!looked) continue;
    const wanted = new Set<SignId>((reveals.letters ?? []).flatMap((letter) => SIGNS_BY_LETTER[letter] ?? []));
    for (const finding of reveals.findings ?? []) {
      if (finding in looked.signs) wanted.add(finding as SignId);
      for (const sign of SIGNS_BY_FINDING[finding] ?? []) wanted.add(sign);
    }
    for (const sign of wanted) put(signs, sign, seenAt, finite(looked.signs[sign]));
    for (const vital of reveals.vitals ?? []) put(vitals, vital, seenAt, finite(looked.true[vital]));
  }
  return {
    vital: (index, vital) => {
      const row = track[index];
      return (row ? shownVital(row.shown, vital) : null) ?? vitals.get(vital)?.[index] ?? null;
    },
    sign: (index, sign) => signs.get(sign)?.[index] ?? null,
  };
}

/** Does the condition hold at this time? Reads the last row at or before it; false before the first row. */
export function evaluateCondition(condition: Condition, context: ConditionContext, atMs: number): boolean {
  const index = lastRowAtOrBefore(context.track, atMs);
  return index === null ? false : conditionSeries(condition, context)[index] === true;
}

/** The time of the first row at or after `fromMs` (and at or before `toMs`) where the condition holds, or null. */
export function firstHeldMs(
  condition: Condition,
  context: ConditionContext,
  fromMs = 0,
  toMs = Number.POSITIVE_INFINITY,
): number | null {
  const series = conditionSeries(condition, context);
  for (let index = 0; index < context.track.length; index++) {
    const atMs = context.track[index]?.atMs ?? 0;
    if (atMs >= fromMs && atMs <= toMs && series[index] === true) return atMs;
  }
  return null;
}

/** Packs ask the same question for several targets: each is answered once a context. */
const answered = new WeakMap<ConditionContext, Map<Condition, readonly Answer[]>>();

/** The answer at every row of the track. */
export function conditionSeries(condition: Condition, context: ConditionContext): readonly Answer[] {
  const known = answered.get(context) ?? new Map<Condition, readonly Answer[]>();
  answered.set(context, known);
  const series = known.get(condition) ?? workOut(condition, context);
  known.set(condition, series);
  return series;
}

function workOut(condition: Condition, context: ConditionContext): readonly Answer[] {
  const { track } = context;
  switch (condition.kind) {
    case 'all':
      return combine(condition.of, context, (answers) =>
        answers.includes(false) ? false : answers.includes(null) ? null : true,
      );
    case 'any':
      return combine(condition.of, context, (answers) =>
        answers.includes(true) ? true : answers.includes(null) ? null : false,
      );
    case 'not':
      return conditionSeries(condition.of, context).map((answer) => (answer === null ? null : !answer));
    case 'vital': {
      const limit = limitValue(condition.limit, condition.vital, context.limits);
      const raw = track.map((_, index) => compare(context.view.vital(index, condition.vital), condition.op, limit));
      return held(raw, track, condition.forMs);
    }
    case 'sign': {
      const grade = GRADES.indexOf(condition.grade);
      const raw = track.map((_, index) => compare(context.view.sign(index, condition.sign), condition.op, grade));
      return held(raw, track, condition.forMs);
    }
    case 'given': {
      const counted = context.log.acts.filter(
        (act, index) =>
          condition.interventions.includes(act.intervention) &&
          (condition.minDoseShare <= 0 || (context.doseShareOf(index) ?? 0) >= condition.minDoseShare),
      );
      const since = condition.withinMs ?? Number.POSITIVE_INFINITY;
      return track.map(
        (row) => counted.filter((act) => act.atMs <= row.atMs && act.atMs > row.atMs - since).length >= condition.times,
      );
    }
    case 'assessed':
      return track.map((row) =>
        context.log.acts.some((act) => act.atMs <= row.atMs && condition.interventions.includes(act.intervention)),
      );
    case 'in-state-for': {
      const thread = context.mainThread;
      if (thread === null) return track.map(() => null);
      let since = 0;
      let state: string | undefined;
      return track.map((row) => {
        if (row.states[thread] !== state) {
          state = row.states[thread];
          since = row.atMs;
        }
        return row.atMs - since >= condition.ms;
      });
    }
    case 'run-clock':
      return track.map((row) => row.atMs >= condition.ms);
    case 'state':
      return track.map((row) => row.states[condition.thread] === condition.state);
    case 'faculty':
      return track.map((row) =>
        context.log.flags.some((flag) => flag.label === condition.label && flag.atMs <= row.atMs),
      );
  }
}

/** What the vitals and signs a condition asks about read at a time, in words, for evidence. */
export function conditionValues(condition: Condition, context: ConditionContext, atMs: number): string {
  const index = lastRowAtOrBefore(context.track, atMs);
  if (index === null) return '';
  const said = new Set<string>();
  const visit = (one: Condition): void => {
    if (one.kind === 'all' || one.kind === 'any') one.of.forEach(visit);
    else if (one.kind === 'not') visit(one.of);
    else if ((one.kind === 'vital' || one.kind === 'sign') && conditionSeries(one, context)[index] === true) {
      if (one.kind === 'vital') {
        const value = context.view.vital(index, one.vital);
        if (value !== null) said.add(vitalText(one.vital, value));
      } else {
        const grade = context.view.sign(index, one.sign);
        if (grade !== null) said.add(`${one.sign.replaceAll('-', ' ')} ${GRADES[grade] ?? ''}`.trim());
      }
    }
  };
  visit(condition);
  return said.size === 0 ? '' : `${listText([...said], 'and')} at ${clockText(atMs)}`;
}

const VITAL_WORDS: Readonly<Partial<Record<VitalId, readonly [string, string]>>> = {
  spo2Percent: ['SpO₂', '%'],
  heartRatePerMin: ['heart rate', '/min'],
  pulseRatePerMin: ['pulse', '/min'],
  respiratoryRatePerMin: ['breathing rate', '/min'],
  systolicMmHg: ['systolic pressure', 'mmHg'],
  diastolicMmHg: ['diastolic pressure', 'mmHg'],
  meanMmHg: ['mean pressure', 'mmHg'],
  etco2MmHg: ['end-tidal CO₂', 'mmHg'],
  temperatureCelsius: ['temperature', '°C'],
  glucoseMmolPerL: ['glucose', 'mmol/L'],
  capillaryRefillS: ['capillary refill', 's'],
};

function vitalText(vital: VitalId, value: number): string {
  const words = VITAL_WORDS[vital];
  if (!words) return `${vital} ${plainNumber(Math.round(value * 100) / 100)}`;
  const rounded =
    vital === 'temperatureCelsius' || vital === 'glucoseMmolPerL' ? Math.round(value * 10) / 10 : Math.round(value);
  return `${words[0]} ${plainNumber(rounded)} ${words[1]}`;
}

function finite(value: number | null | undefined): number | null {
  return typeof value === 'number' && Number.isFinite(value) ? value : null;
}

function compare(value: number | null, op: Extract<Condition, { kind: 'vital' }>['op'], limit: number | null): Answer {
  if (value === null || limit === null) return null;
  if (op === 'at-least') return value >= limit;
  if (op === 'above') return value > limit;
  return op === 'at-most' ? value <= limit : value < limit;
}

/** True only once the raw answer has stayed true for `forMs`; a gap or an unknown starts the wait again. */
function held(raw: readonly Answer[], track: readonly TrackRow[], forMs: number): readonly Answer[] {
  if (forMs <= 0) return raw;
  let since: number | null = null;
  return raw.map((answer, index) => {
    const atMs = track[index]?.atMs ?? 0;
    if (answer !== true) {
      since = null;
      return answer;
    }
    since ??= atMs;
    return atMs - since >= forMs;
  });
}

function combine(
  parts: readonly Condition[],
  context: ConditionContext,
  join: (answers: readonly Answer[]) => Answer,
): readonly Answer[] {
  const series = parts.map((part) => conditionSeries(part, context));
  return context.track.map((_, index) => join(series.map((one) => one[index] ?? null)));
}

/** Index of the last row at or before a time, or null. Rows are in time order. */
export function lastRowAtOrBefore(track: readonly TrackRow[], atMs: number): number | null {
  let low = 0;
  let high = track.length;
  while (low < high) {
    const middle = (low + high) >> 1;
    if ((track[middle]?.atMs ?? 0) <= atMs) low = middle + 1;
    else high = middle;
  }
  return low === 0 ? null : low - 1;
}

function firstRowAtOrAfter(track: readonly TrackRow[], atMs: number): number | null {
  const before = lastRowAtOrBefore(track, atMs);
  if (before !== null && track[before]?.atMs === atMs) return before;
  const next = before === null ? 0 : before + 1;
  return next < track.length ? next : null;
}
