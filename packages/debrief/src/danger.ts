/** How long the patient was in danger, from the frozen track. */
import type { TrackRow } from '@breathline/engine';
import type { OxygenRange } from '@breathline/scenario';
import type { Scorecard } from './types.ts';
import { plainNumber } from './words.ts';

/** More inspired oxygen than this is added oxygen, whatever the rounding of the model. */
export const ADDED_OXYGEN_FRACTION = 0.22;

/**
 * Milliseconds below 90 % saturation, below the age's systolic limit, and without output, all of the true values.
 * Each row stands until the next; the last stands until `endMs` or one second, whichever is sooner. `range` is what the
 * pack aims for on oxygen.
 */
export function dangerTimes(
  track: readonly TrackRow[],
  endMs: number,
  pressureLimitMmHg: number,
  range?: OxygenRange,
): Scorecard['danger'] {
  const belowPercent = Math.min(90, range?.lowPercent ?? 90);
  const abovePercent = range?.aboveIsDanger === true ? range.highPercent : null;
  let belowMs = 0;
  let aboveMs = 0;
  let below90PercentMs = 0;
  let belowPressureLimitMs = 0;
  let arrestMs = 0;
  track.forEach((row, index) => {
    const next = track[index + 1]?.atMs ?? row.atMs + 1000;
    const span = Math.max(0, Math.min(next, endMs) - Math.max(0, row.atMs));
    if (row.true.spo2Percent < 90) below90PercentMs += span;
    if (row.true.spo2Percent < belowPercent) belowMs += span;
    const onOxygen = row.true.fio2Fraction > ADDED_OXYGEN_FRACTION;
    if (abovePercent !== null && onOxygen && row.true.spo2Percent > abovePercent) aboveMs += span;
    if (row.true.systolicMmHg < pressureLimitMmHg) belowPressureLimitMs += span;
    if (row.true.arrested >= 0.5) arrestMs += span;
  });
  const saturation = { belowPercent, belowMs, abovePercent, aboveMs };
  return { below90PercentMs, belowPressureLimitMs, pressureLimitMmHg, arrestMs, saturation };
}

/** Time in danger, line by line, in the words every screen and paper uses; ms each. */
export function dangerLines(danger: Scorecard['danger']): readonly { readonly says: string; readonly ms: number }[] {
  const { belowPercent, belowMs, abovePercent, aboveMs } = danger.saturation;
  return [
    belowPercent === 90
      ? { says: 'Saturation below 90 %', ms: danger.below90PercentMs }
      : { says: `Saturation below ${belowPercent} %, where this patient’s range begins`, ms: belowMs },
    ...(abovePercent === null
      ? []
      : [{ says: `Saturation above ${abovePercent} % on oxygen: too much for this patient`, ms: aboveMs }]),
    {
      says: `Systolic below ${plainNumber(Math.round(danger.pressureLimitMmHg))} mmHg (low for age)`,
      ms: danger.belowPressureLimitMs,
    },
    { says: 'No output (arrest)', ms: danger.arrestMs },
  ];
}
