/** Comma-separated values after RFC 4180: CRLF line ends, cells quoted where they must be, quotes doubled. */
import {
  TYPED_WORDS,
  amendedEvents,
  exportOfTake,
  VITAL_IDS,
  withdrawnEvents,
  type RunEvent,
  type RunExport,
  type TrackRow,
} from '@breathline/engine';
import type { Scorecard } from '../types.ts';
import { interventionName } from '../words.ts';

export type Cell = string | number | boolean | null | undefined;

/** Stands on every row of every file, so that no row can pass for a real patient's. */
export const CSV_CAUTION = 'SIMULATION – NOT FOR CLINICAL USE';

/** Text that a spreadsheet would run as a formula gets a leading apostrophe. */
function cellText(value: Cell): string {
  if (value === null || value === undefined) return '';
  if (typeof value === 'number') return Number.isFinite(value) ? String(Math.round(value * 1e6) / 1e6) : '';
  if (typeof value === 'boolean') return value ? 'yes' : 'no';
  const safe = /^[=+\-@\t\r]/.test(value) ? `'${value}` : value;
  return /[",\r\n]/.test(safe) ? `"${safe.replaceAll('"', '""')}"` : safe;
}

/** A whole file from a header and its rows. */
export function csv(header: readonly string[], rows: readonly (readonly Cell[])[]): string {
  return [header, ...rows].map((row) => `${row.map(cellText).join(',')}\r\n`).join('');
}

const SHOWN: readonly (readonly [string, (row: TrackRow) => number | null])[] = [
  ['shown spo2Percent', (row) => row.shown.spo2Percent],
  ['shown pulsePerMin', (row) => row.shown.pulsePerMin],
  ['shown heartRatePerMin', (row) => row.shown.heartRatePerMin],
  ['shown respiratoryRatePerMin', (row) => row.shown.respiratoryRatePerMin],
  ['shown etco2MmHg', (row) => row.shown.etco2MmHg],
  ['shown temperatureCelsius', (row) => row.shown.temperatureCelsius],
  ['shown glucoseMmolPerL', (row) => row.shown.glucoseMmolPerL],
  ['shown systolicMmHg', (row) => row.shown.bloodPressure?.systolicMmHg ?? null],
  ['shown diastolicMmHg', (row) => row.shown.bloodPressure?.diastolicMmHg ?? null],
  ['shown meanMmHg', (row) => row.shown.bloodPressure?.meanMmHg ?? null],
];

/** One row a second and track: states, true and shown vitals. `name` tells tracks apart (a rehearsal, a run, a take). */
export function trackCsv(tracks: readonly { readonly name: string; readonly track: readonly TrackRow[] }[]): string {
  const threads = [...new Set(tracks.flatMap(({ track }) => Object.keys(track[0]?.states ?? {})))];
  return csv(
    [
      'run',
      'seconds',
      ...threads.map((thread) => `state ${thread}`),
      ...VITAL_IDS,
      ...SHOWN.map(([name]) => name),
      'caution',
    ],
    tracks.flatMap(({ name, track }) =>
      track.map((row) => [
        name,
        row.atMs / 1000,
        ...threads.map((thread) => row.states[thread] ?? ''),
        ...VITAL_IDS.map((vital) => row.true[vital]),
        ...SHOWN.map(([, value]) => value(row)),
        CSV_CAUTION,
      ]),
    ),
  );
}

/**
 * The whole log, one row an event; what is particular to a kind stands in `details` as JSON. What was added to an act
 * afterwards stands in the act's own row. Free text only on request.
 */
export function eventsCsv(run: RunExport, options: { readonly withFreeText?: boolean } = {}): string {
  const known = new Set([
    'seq',
    'take',
    'appliedAtMs',
    'occurredAtMs',
    'wallTime',
    'by',
    'clientId',
    'clientNumber',
    'kind',
  ]);
  return csv(
    [
      'run',
      'seq',
      'take',
      'occurred s',
      'applied s',
      'wall time',
      'role',
      'seat',
      'kind',
      'what',
      'details',
      'caution',
    ],
    rowsOf(run.events).map((event) => {
      const own = Object.entries(event).filter(
        ([field]) => !known.has(field) && (options.withFreeText === true || !FREE_TEXT.has(field)),
      );
      const what = 'intervention' in event ? interventionName(run.definition.library, event.intervention) : '';
      return [
        run.runId,
        event.seq,
        event.take,
        event.occurredAtMs / 1000,
        event.appliedAtMs / 1000,
        event.wallTime,
        event.by.role,
        event.by.seat ?? '',
        event.kind,
        what,
        own.length === 0 ? '' : JSON.stringify(Object.fromEntries(own)),
        CSV_CAUTION,
      ];
    }),
  );
}

/** Acts as amended; an amendment that was taken back says nothing and has no row either. */
function rowsOf(events: readonly RunEvent[]): readonly RunEvent[] {
  const gone = withdrawnEvents(events);
  return amendedEvents(events.filter(({ kind, seq }) => kind !== 'act-amended' || !gone.has(seq)));
}

/** Fields in which a person's name may have been typed, whatever the kind of line. */
const FREE_TEXT: ReadonlySet<string> = new Set(Object.values(TYPED_WORDS).flat());

/** The scorecard, one row a target, with its evidence and its source. */
export function scorecardCsv(card: Scorecard): string {
  return csv(
    [
      'run',
      'take',
      'pack',
      'target',
      'says',
      'result',
      'faculty judged',
      'clock',
      'clock start s',
      'due s',
      'done s',
      'taken s',
      'late by s',
      'credit',
      'arithmetic',
      'dose',
      'evidence',
      'critical',
      'cued',
      'source',
      'time is',
      'source checked',
      'caution',
    ],
    card.results.map((one) => [
      card.runId,
      card.take,
      card.packId,
      one.target.id,
      one.target.says,
      one.result,
      // Without the reason: it is typed words, and stands in the log with words.
      one.adjusted?.result ?? '',
      one.target.clock,
      seconds(one.clockStartMs),
      seconds(one.dueMs),
      seconds(one.actualMs),
      seconds(one.takenMs),
      seconds(one.latenessMs),
      one.credit,
      one.arithmetic,
      one.dose?.text ?? '',
      one.evidence.map(({ text }) => text).join('; '),
      one.target.critical,
      one.cued,
      [one.source.organisation, one.source.document, one.source.edition, one.source.section].filter(Boolean).join(', '),
      one.target.timeStatus,
      one.unverifiedSource ? 'unverified' : `checked by ${one.source.checkedBy ?? ''}`,
      CSV_CAUTION,
    ]),
  );
}

/** The vitals of the take that is scored, second by second; what was left by winding back is another take's. */
export const runTrackCsv = (run: RunExport): string => trackCsv([{ name: run.runId, track: exportOfTake(run).track }]);

const seconds = (ms: number | null): number | null => (ms === null ? null : ms / 1000);
