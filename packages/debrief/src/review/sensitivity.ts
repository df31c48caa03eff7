/** How much of the single number is the weights' doing. */
import type { TargetResult } from '../types.ts';
import type { Sensitivity } from './types.ts';

const fractionOf = (lines: readonly { readonly weight: number; readonly credit: number }[]): number => {
  const weights = lines.reduce((so, { weight }) => so + weight, 0);
  return lines.reduce((so, { weight, credit }) => so + weight * credit, 0) / weights;
};

/**
 * The lowest and highest the number goes when any one line's weight is halved or doubled, the rest as written. Null when
 * no line counts.
 */
export function weightSensitivity(results: readonly Pick<TargetResult, 'target' | 'credit'>[]): Sensitivity | null {
  const counted = results
    .filter((one) => one.credit !== null && one.target.weight > 0)
    .map((one) => ({ says: one.target.says, weight: one.target.weight, credit: one.credit ?? 0 }));
  if (counted.length === 0) return null;
  const fraction = fractionOf(counted);
  let low = fraction;
  let high = fraction;
  let most = 0;
  let mostBy: string | null = null;
  counted.forEach((line, at) => {
    for (const factor of [0.5, 2]) {
      const moved = fractionOf(counted.map((one, i) => (i === at ? { ...one, weight: one.weight * factor } : one)));
      low = Math.min(low, moved);
      high = Math.max(high, moved);
      if (Math.abs(moved - fraction) > most + 1e-12) {
        most = Math.abs(moved - fraction);
        mostBy = line.says;
      }
    }
  });
  const percent = (value: number): string => `${Math.round(value * 100)} %`;
  const text =
    mostBy === null
      ? `${percent(fraction)} whatever the weights.`
      : `${percent(fraction)}; ${percent(low)} to ${percent(high)} if any one weight is halved or doubled. “${mostBy}” moves it most.`;
  return { fraction, low, high, mostBy, text };
}
