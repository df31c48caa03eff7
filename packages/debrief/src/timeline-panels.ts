/** The vitals of the timeline: their lines, usual ranges, limits and axes. */
import type { TrackRow } from '@breathline/engine';
import type { VitalId } from '@breathline/patient';
import type { OxygenRange } from '@breathline/scenario';
import { ageLimits, type AgeLimits } from './age-limits.ts';
import { shownVital } from './condition.ts';
import { upperLimit } from './timeline-danger.ts';
import type { PanelId, TimelineLine, TimelinePanel, TimelinePoint } from './timeline-types.ts';
import type { Scorecard } from './types.ts';
import { plainNumber } from './words.ts';

interface PanelPlan {
  readonly id: PanelId;
  readonly label: string;
  readonly unit: string;
  readonly vitals: readonly { readonly vital: VitalId; readonly part: TimelineLine['part'] }[];
  /** The axis always covers this much, so that small wobbles look small. */
  readonly atLeast: readonly [number, number];
  readonly onlyIfShown?: boolean;
}

const PANELS: readonly PanelPlan[] = [
  { id: 'spo2', label: 'SpO₂', unit: '%', vitals: [{ vital: 'spo2Percent', part: 'only' }], atLeast: [88, 100] },
  {
    id: 'pressure',
    label: 'Blood pressure',
    unit: 'mmHg',
    vitals: [
      { vital: 'systolicMmHg', part: 'systolic' },
      { vital: 'diastolicMmHg', part: 'diastolic' },
    ],
    atLeast: [40, 110],
  },
  {
    id: 'pulse',
    label: 'Heart rate',
    unit: '/min',
    vitals: [{ vital: 'heartRatePerMin', part: 'only' }],
    atLeast: [60, 140],
  },
  {
    id: 'breathing',
    label: 'Breathing rate',
    unit: '/min',
    vitals: [{ vital: 'respiratoryRatePerMin', part: 'only' }],
    atLeast: [10, 40],
  },
  {
    id: 'etco2',
    label: 'End-tidal CO₂',
    unit: 'mmHg',
    vitals: [{ vital: 'etco2MmHg', part: 'only' }],
    atLeast: [20, 60],
    onlyIfShown: true,
  },
];

/** The vitals of the picture, in the order they stand. `aim` is what the pack aims for on oxygen. */
export function panels(
  track: readonly TrackRow[],
  ageYears: number,
  card: Scorecard,
  aim: OxygenRange | undefined,
): TimelinePanel[] {
  const limits = ageLimits(ageYears);
  const { belowPercent, abovePercent } = card.danger.saturation;
  return PANELS.flatMap((plan) => {
    const lines = plan.vitals.flatMap(({ vital, part }): TimelineLine[] => [
      { kind: 'true', part, style: 'joined', points: track.map((row) => point(row.atMs, row.true[vital])) },
      plan.id === 'pressure'
        ? { kind: 'shown', part, style: 'dots', points: cuffReadings(track, vital) }
        : {
            kind: 'shown',
            part,
            style: 'joined',
            points: track.map((row) => point(row.atMs, shownVital(row.shown, vital))),
          },
    ]);
    const wasShown = lines.some((line) => line.kind === 'shown' && line.points.some((one) => one.value !== null));
    if (plan.onlyIfShown && !wasShown) return [];
    const range =
      plan.id === 'spo2' && aim !== undefined
        ? {
            low: aim.lowPercent,
            high: aim.highPercent,
            says: `aimed for on oxygen: ${aim.lowPercent} to ${aim.highPercent} %`,
          }
        : rangeOf(plan.id, limits);
    const limit =
      plan.id === 'spo2'
        ? {
            value: belowPercent,
            says: `below ${belowPercent} % counts as danger${belowPercent === 90 ? '' : ' here'}`,
          }
        : plan.id === 'pressure'
          ? {
              value: limits.systolicLowMmHg,
              says: `systolic below ${plainNumber(limits.systolicLowMmHg)} is low for age`,
            }
          : null;
    return [
      {
        id: plan.id,
        label: plan.label,
        unit: plan.unit,
        range,
        limit,
        ...upperLimit(plan.id, { ageYears, limits }, abovePercent, track),
        domain: domain(plan.atLeast, lines, limit?.value),
        lines,
      },
    ];
  });
}

function point(atMs: number, value: number | null | undefined): TimelinePoint {
  return { atMs, value: typeof value === 'number' && Number.isFinite(value) ? value : null };
}

/** A cuff's readings, one each time a new one was taken. */
function cuffReadings(track: readonly TrackRow[], vital: VitalId): TimelinePoint[] {
  const out: TimelinePoint[] = [];
  let last: number | null = null;
  for (const row of track) {
    const takenAtMs = row.shown.bloodPressure?.takenAtMs;
    const value = shownVital(row.shown, vital);
    if (takenAtMs === undefined || takenAtMs === last || value === null) continue;
    last = takenAtMs;
    out.push({ atMs: takenAtMs, value });
  }
  return out;
}

function rangeOf(id: PanelId, limits: AgeLimits): TimelinePanel['range'] {
  const vital = {
    spo2: null,
    etco2: null,
    pulse: 'heartRatePerMin',
    breathing: 'respiratoryRatePerMin',
    pressure: 'systolicMmHg',
  }[id];
  const range = vital ? limits.byVital[vital as VitalId] : undefined;
  if (!range) return null;
  const what = id === 'pressure' ? 'systolic, usual for age' : 'usual for age';
  return {
    low: range.low,
    high: range.high,
    says: `${what}: ${plainNumber(Math.round(range.low))} to ${plainNumber(Math.round(range.high))}`,
  };
}

function domain(
  atLeast: readonly [number, number],
  lines: readonly TimelineLine[],
  limit: number | undefined,
): readonly [number, number] {
  let [low, high] = atLeast;
  if (limit !== undefined) {
    low = Math.min(low, limit);
    high = Math.max(high, limit);
  }
  for (const line of lines) {
    for (const { value } of line.points) {
      if (value === null) continue;
      if (value < low) low = value;
      if (value > high) high = value;
    }
  }
  return [Math.floor(low), Math.ceil(high)];
}
