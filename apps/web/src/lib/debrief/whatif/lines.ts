/** The course that might have been, as lines for the picture. Pure. */
import type { TrackRow } from '@breathline/engine';
import type { PanelId, TimelineLine, TimelineModel, TimelinePoint } from '@breathline/debrief';
import type { VitalId } from '@breathline/patient';

export interface OtherLine {
  readonly part: TimelineLine['part'];
  readonly points: readonly TimelinePoint[];
}
export type OtherLines = Readonly<Record<PanelId, readonly OtherLine[]>>;

const DRAWN: Readonly<Record<PanelId, readonly (readonly [TimelineLine['part'], VitalId])[]>> = {
  spo2: [['only', 'spo2Percent']],
  pressure: [
    ['systolic', 'systolicMmHg'],
    ['diastolic', 'diastolicMmHg'],
  ],
  pulse: [['only', 'heartRatePerMin']],
  breathing: [['only', 'respiratoryRatePerMin']],
  etco2: [['only', 'etco2MmHg']],
};

/** True vitals of a track, panel by panel. */
export function linesOf(track: readonly TrackRow[]): OtherLines {
  const panel = (id: PanelId): OtherLine[] =>
    DRAWN[id].map(([part, vital]) => ({
      part,
      points: track.map((row) => ({ atMs: row.atMs, value: row.true[vital] })),
    }));
  return {
    spo2: panel('spo2'),
    pressure: panel('pressure'),
    pulse: panel('pulse'),
    breathing: panel('breathing'),
    etco2: panel('etco2'),
  };
}

/** The picture of a what-if: true lines as the same engine plays the run, and axes wide enough for both courses. */
export function withBoth(model: TimelineModel, base: OtherLines, other: OtherLines): TimelineModel {
  const panels = model.panels.map((panel) => {
    let [low, high] = panel.domain;
    for (const { points } of [...base[panel.id], ...other[panel.id]]) {
      for (const { value } of points) {
        if (value === null) continue;
        if (value < low) low = Math.floor(value / 5) * 5;
        if (value > high) high = Math.ceil(value / 5) * 5;
      }
    }
    const lines = panel.lines.map((line) => {
      const points = base[panel.id].find(({ part }) => part === line.part)?.points;
      return line.kind === 'true' && points ? { ...line, points } : line;
    });
    return { ...panel, domain: [low, high] as const, lines };
  });
  return { ...model, panels };
}
