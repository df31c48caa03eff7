/** How long the saturation was in danger for this patient: a range of 88 to 92 % makes 89 % no danger. Pure. */
import type { Review, Scorecard, TimelineModel } from '@breathline/debrief';
import type { RunExport } from '@breathline/engine';

/** The saturation below which the pack's own range ends, never above 90 %. */
export const dangerBelowPercent = (review: Review): number => Math.min(90, review.oxygen?.lowPercent ?? 90);

/** A line of "time in danger": its name and how long, ms. Spells count to the row that ends them, as the card's do. */
export function saturationDanger(
  run: RunExport,
  card: Scorecard,
  review: Review,
): { readonly name: string; readonly ms: number } {
  const limit = dangerBelowPercent(review);
  const name = `Saturation below ${limit} %`;
  if (limit === 90) return { name, ms: card.danger.below90PercentMs };
  const rows = run.track.filter((row) => (row.take ?? 1) === card.take && row.atMs <= card.clocks.endMs);
  let [ms, beforeMs] = [0, rows[0]?.atMs ?? 0];
  for (const { atMs, true: now } of rows) {
    if (now.spo2Percent < limit) ms += atMs - beforeMs;
    beforeMs = atMs;
  }
  return { name: `${name} (this patient\u2019s range begins there)`, ms };
}

/** The picture with the danger line where this patient's danger begins. */
export function withDangerLine(model: TimelineModel, belowPercent: number): TimelineModel {
  if (belowPercent === 90) return model;
  const limit = { value: belowPercent, says: `below ${belowPercent} % counts as danger here` };
  return { ...model, panels: model.panels.map((panel) => (panel.id === 'spo2' ? { ...panel, limit } : panel)) };
}
