/** Was oxygen turned down again? From what the oximeter showed while oxygen was on. */
import type { RunExport } from '@breathline/engine';
import type { OxygenRange } from '@breathline/scenario';
import { ADDED_OXYGEN_FRACTION } from '../danger.ts';
import type { PreparedLog } from '../prepare-log.ts';
import { durationText } from '../words.ts';
import type { OxygenTitration } from './types.ts';

/**
 * Against the range the pack aims for. Null when the pack names none or no oxygen was given. The first five minutes of
 * oxygen are left out: high flow first is right in an emergency (BTS guideline for oxygen use, Thorax 2017;72(Suppl
 * 1):i1-i90).
 */
export function oxygenTitration(
  run: RunExport,
  log: PreparedLog,
  aim: OxygenRange | undefined,
): OxygenTitration | null {
  if (aim === undefined) return null;
  const range = { low: aim.lowPercent, high: aim.highPercent };
  const rows = run.track.filter(({ atMs }) => atMs <= log.endMs);
  const started = rows.find((row) => row.true.fio2Fraction > ADDED_OXYGEN_FRACTION)?.atMs;
  if (started === undefined) return null;
  let belowMs = 0;
  let withinMs = 0;
  let aboveMs = 0;
  let unseenMs = 0;
  rows.forEach((row, i) => {
    if (row.atMs < started + 300_000 || row.true.fio2Fraction <= ADDED_OXYGEN_FRACTION) return;
    const span = Math.max(0, Math.min(rows[i + 1]?.atMs ?? row.atMs, log.endMs) - row.atMs);
    const value = row.shown.spo2Percent;
    if (value === null) unseenMs += span;
    else if (value < range.low) belowMs += span;
    else if (value > range.high) aboveMs += span;
    else withinMs += span;
  });
  const seen = belowMs + withinMs + aboveMs;
  const text =
    seen === 0
      ? unseenMs > 0
        ? `No saturation was shown in the ${durationText(unseenMs)} of oxygen after its first five minutes, so nobody could steer it by one.`
        : 'Oxygen was on for no more than five minutes; nothing to say of how it was steered.'
      : `After the first five minutes of oxygen: ${durationText(withinMs)} within ${range.low} to ${range.high} %, ${durationText(aboveMs)} above, ${durationText(belowMs)} below${unseenMs > 0 ? `, ${durationText(unseenMs)} without a reading` : ''}.`;
  return {
    lowPercent: range.low,
    highPercent: range.high,
    belowMs,
    withinMs,
    aboveMs,
    unseenMs,
    text,
    source: aim.source,
  };
}
