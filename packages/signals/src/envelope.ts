/**
 * From samples to pixel columns: for each column the value it was entered with, its least and greatest, and the value
 * it was left with. Drawing those four keeps every peak, however narrow against a pixel.
 */

/** Columns in a flat array, four numbers each: entry, least, greatest, exit. */
export type Columns = Float32Array;

/** Samples are never further apart than this, so that an R wave cannot fall between two, ms. */
export const FINEST_STEP_MS = 2;

/**
 * Envelope of a signal over equal columns.
 *
 * @param sample value of the signal at a time, ms
 * @param fromMs time at the left edge of the first column
 * @param columnMs time one column covers
 * @param count number of columns
 * @param stepMs greatest distance between samples, ms
 */
export function envelope(
  sample: (atMs: number) => number,
  fromMs: number,
  columnMs: number,
  count: number,
  stepMs: number = FINEST_STEP_MS,
): Columns {
  const columns = new Float32Array(count * 4);
  const perColumn = Math.max(1, Math.ceil(columnMs / stepMs));
  let entry = count > 0 ? sample(fromMs) : 0;
  for (let c = 0; c < count; c += 1) {
    let least = entry;
    let greatest = entry;
    let exit = entry;
    for (let k = 1; k <= perColumn; k += 1) {
      exit = sample(fromMs + (c + k / perColumn) * columnMs);
      if (exit < least) least = exit;
      if (exit > greatest) greatest = exit;
    }
    columns[c * 4] = entry;
    columns[c * 4 + 1] = least;
    columns[c * 4 + 2] = greatest;
    columns[c * 4 + 3] = exit;
    entry = exit;
  }
  return columns;
}
