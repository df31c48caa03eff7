/** The track of a run as comma-separated values after RFC 4180: CRLF, quotes doubled. */
import { VITAL_IDS, type TrackRow } from '@breathline/engine';

/** Text cells that a spreadsheet would run as a formula get a leading apostrophe. */
function cell(value: string | number | null): string {
  if (value === null) return '';
  if (typeof value === 'number') return String(Math.round(value * 1e6) / 1e6);
  const safe = /^[=+\-@\t\r]/.test(value) ? `'${value}` : value;
  return /[",\r\n]/.test(safe) ? `"${safe.replaceAll('"', '""')}"` : safe;
}

const SHOWN = [
  ['shown spo2Percent', (row: TrackRow) => row.shown.spo2Percent],
  ['shown pulsePerMin', (row: TrackRow) => row.shown.pulsePerMin],
  ['shown heartRatePerMin', (row: TrackRow) => row.shown.heartRatePerMin],
  ['shown respiratoryRatePerMin', (row: TrackRow) => row.shown.respiratoryRatePerMin],
  ['shown etco2MmHg', (row: TrackRow) => row.shown.etco2MmHg],
  ['shown temperatureCelsius', (row: TrackRow) => row.shown.temperatureCelsius],
  ['shown glucoseMmolPerL', (row: TrackRow) => row.shown.glucoseMmolPerL],
  ['shown systolicMmHg', (row: TrackRow) => row.shown.bloodPressure?.systolicMmHg ?? null],
  ['shown diastolicMmHg', (row: TrackRow) => row.shown.bloodPressure?.diastolicMmHg ?? null],
  ['shown meanMmHg', (row: TrackRow) => row.shown.bloodPressure?.meanMmHg ?? null],
] as const;

/** One row a second and rehearsal. The last column says on every row that this is a simulation. */
export function trackCsv(tracks: readonly { readonly name: string; readonly track: readonly TrackRow[] }[]): string {
  const threads = [...new Set(tracks.flatMap(({ track }) => Object.keys(track[0]?.states ?? {})))];
  const header = [
    'rehearsal',
    'seconds',
    ...threads.map((thread) => `state ${thread}`),
    ...VITAL_IDS,
    ...SHOWN.map(([name]) => name),
    'caution',
  ];
  const lines = [header.map(cell).join(',')];
  for (const { name, track } of tracks) {
    for (const row of track) {
      const cells = [
        name,
        row.atMs / 1000,
        ...threads.map((thread) => row.states[thread] ?? ''),
        ...VITAL_IDS.map((vital) => row.true[vital]),
        ...SHOWN.map(([, value]) => value(row)),
        'SIMULATION – NOT FOR CLINICAL USE',
      ];
      lines.push(cells.map(cell).join(','));
    }
  }
  return `${lines.join('\r\n')}\r\n`;
}
