/**
 * Turns the stream of faculty frames into what the console shows: the newest view, the whole log in order, and a short
 * history of true and shown vitals for the small trends. Pure: every function returns a new value.
 */
import { eventsOfTake, keptOfTake, lastTake, type Derived, type RunView, type ShownVitals } from '@breathline/engine';
import type { FacultyFrame, LogLine } from '@breathline/protocol';

/** One point of a trend; null where nothing was shown. */
export interface TrendPoint {
  readonly atMs: number;
  readonly true: Readonly<Record<string, number>>;
  readonly shown: Readonly<Record<string, number | null>>;
}

export interface ConsoleData {
  readonly frame: FacultyFrame | null;
  /** Every line of the log, by sequence. */
  readonly log: readonly LogLine[];
  readonly derived: readonly Derived[];
  readonly trend: readonly TrendPoint[];
}

/** How far back the small trends look, run-clock ms. */
export const TREND_WINDOW_MS = 5 * 60_000;
const TREND_EVERY_MS = 1000;

export const EMPTY: ConsoleData = { frame: null, log: [], derived: [], trend: [] };

/** The vitals the console follows, with the matching shown value. */
export const TREND_VITALS = [
  'heartRatePerMin',
  'spo2Percent',
  'systolicMmHg',
  'respiratoryRatePerMin',
  'etco2MmHg',
  'temperatureCelsius',
] as const;

/** What the learners' monitor shows for a vital; null when nothing is shown. */
export function shownValue(shown: ShownVitals, vital: string): number | null {
  switch (vital) {
    case 'heartRatePerMin':
      return shown.heartRatePerMin ?? shown.pulsePerMin;
    case 'spo2Percent':
      return shown.spo2Percent;
    case 'systolicMmHg':
      return shown.bloodPressure?.systolicMmHg ?? null;
    case 'respiratoryRatePerMin':
      return shown.respiratoryRatePerMin;
    case 'etco2MmHg':
      return shown.etco2MmHg;
    case 'temperatureCelsius':
      return shown.temperatureCelsius;
    case 'glucoseMmolPerL':
      return shown.glucoseMmolPerL;
    default:
      return null;
  }
}

/** One trend point from a view. */
export function trendPoint(view: Pick<RunView, 'clockMs' | 'trueVitals' | 'shown'>): TrendPoint {
  const truth: Record<string, number> = {};
  const shown: Record<string, number | null> = {};
  for (const vital of TREND_VITALS) {
    truth[vital] = view.trueVitals[vital];
    shown[vital] = shownValue(view.shown, vital);
  }
  return { atMs: view.clockMs, true: truth, shown };
}

function mergeLog(log: readonly LogLine[], changed: readonly LogLine[]): readonly LogLine[] {
  if (changed.length === 0) return log;
  const bySeq = new Map(log.map((line) => [line.event.seq, line]));
  for (const line of changed) bySeq.set(line.event.seq, line);
  return [...bySeq.values()].sort((a, b) => a.event.seq - b.event.seq);
}

/** A derived line's own identity, so that one sent twice is kept once. */
export function derivedKey(line: Derived): string {
  return `${line.take ?? 1} ${factKey(line)}`;
}

function factKey(line: Derived): string {
  switch (line.kind) {
    case 'state-entered':
      return `state ${line.atMs} ${line.thread} ${line.state}`;
    case 'cue-due':
    case 'cue-lapsed':
      return `${line.kind} ${line.atMs} ${line.cue}`;
    case 'reading':
      return `reading ${line.atMs} ${line.device}`;
    case 'result':
      return `result ${line.seq} ${line.atMs}`;
    case 'arrest':
      return `arrest ${line.atMs} ${line.on}`;
    case 'fault':
      return `fault ${line.atMs} ${line.message}`;
    case 'errand-came':
      return `errand ${line.seq} ${line.atMs}`;
    case 'arrest-asked':
    case 'take-began':
      return `${line.kind} ${line.atMs}`;
  }
}

/** The log and what was derived, as the take that goes on now has lived it. */
export function hereAndNow(data: ConsoleData): Pick<ConsoleData, 'log' | 'derived'> {
  const events = data.log.map((line) => line.event);
  const take = lastTake(events);
  if (take === 1) return data;
  const mine = new Set(eventsOfTake(events, take).map((event) => event.seq));
  return {
    log: data.log.filter((line) => mine.has(line.event.seq)),
    derived: keptOfTake(data.derived, events, take),
  };
}

function mergeDerived(derived: readonly Derived[], added: readonly Derived[]): readonly Derived[] {
  if (added.length === 0) return derived;
  const seen = new Set(derived.map(derivedKey));
  const fresh = added.filter((line) => !seen.has(derivedKey(line)));
  return fresh.length === 0 ? derived : [...derived, ...fresh].sort((a, b) => a.atMs - b.atMs);
}

function extendTrend(trend: readonly TrendPoint[], view: RunView): readonly TrendPoint[] {
  // A real-emergency stop blanks the frame: its noughts are not the patient's.
  if (view.realEmergency) return trend;
  const last = trend.at(-1);
  if (last && view.clockMs < last.atMs) return [trendPoint(view)];
  if (last && view.clockMs - last.atMs < TREND_EVERY_MS) return trend;
  const from = view.clockMs - TREND_WINDOW_MS;
  return [...trend.filter((point) => point.atMs >= from), trendPoint(view)];
}

/** The console's data after one more frame. An older frame (out of order) changes nothing but the log. */
export function receive(data: ConsoleData, frame: FacultyFrame): ConsoleData {
  const stale =
    data.frame !== null && frame.roleSeq < data.frame.roleSeq && frame.seq <= data.frame.seq && !frame.restarted;
  return {
    frame: stale ? data.frame : frame,
    log: mergeLog(data.log, frame.log),
    derived: mergeDerived(data.derived, frame.derived),
    trend: stale ? data.trend : extendTrend(data.trend, frame.view),
  };
}

/** Points older than the first one held, put in front of the trend (from a local replay after a reload). */
export function backfill(data: ConsoleData, older: readonly TrendPoint[]): ConsoleData {
  const first = data.trend[0]?.atMs ?? Infinity;
  return { ...data, trend: [...older.filter((point) => point.atMs < first), ...data.trend] };
}
