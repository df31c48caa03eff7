/** Was oxygen turned down again? From what the oximeter showed while oxygen was on. */
import type { RunExport } from '@breathline/engine';
import type { PreparedLog } from '../prepare-log.ts';
import { durationText } from '../words.ts';
import type { OxygenTitration } from './types.ts';

/** Above this on added oxygen nothing tells how much too much there is, and turning down is safe to try. */
const MOST_PERCENT = 98;

/**
 * The range is 94 to 98 %, or 88 to 92 % for a patient at risk of hypercapnic failure (BTS guideline for oxygen use,
 * Thorax 2017;72(Suppl 1):i1-i90). `atRisk` says which. Null when no oxygen was given. The first five minutes of oxygen
 * are left out: high flow first is right in an emergency (same source).
 */
export function oxygenTitration(run: RunExport, log: PreparedLog, atRisk: boolean): OxygenTitration | null {
  const range = atRisk ? { low: 88, high: 92 } : { low: 94, high: MOST_PERCENT };
  const rows = run.track.filter(({ atMs }) => atMs <= log.endMs);
  const started = rows.find((row) => row.true.fio2Fraction > 0.22)?.atMs;
  if (started === undefined) return null;
  let belowMs = 0;
  let withinMs = 0;
  let aboveMs = 0;
  let unseenMs = 0;
  rows.forEach((row, i) => {
    if (row.atMs < started + 300_000 || row.true.fio2Fraction <= 0.22) return;
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
      ? 'Oxygen was on for less than five minutes with a reading; nothing to say of how it was steered.'
      : `After the first five minutes of oxygen: ${durationText(withinMs)} within ${range.low} to ${range.high} %, ${durationText(aboveMs)} above, ${durationText(belowMs)} below${unseenMs > 0 ? `, ${durationText(unseenMs)} without a reading` : ''}.`;
  return { lowPercent: range.low, highPercent: range.high, belowMs, withinMs, aboveMs, unseenMs, text };
}
