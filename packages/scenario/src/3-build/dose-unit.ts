/** The unit of what was given, as people must read it: an infusion's amount never stands without its time. */
import type { Intervention } from '../types.ts';

/**
 * "micrograms" of an injection, "micrograms/h" of an infusion set by the hour; empty when there is none.
 *
 * @param unit as logged, where that may differ from the formulary's (0.3 mg for 300 micrograms)
 */
export function doseUnit(item: Pick<Intervention, 'unit' | 'ratePer'> | undefined, unit?: string | null): string {
  const plain = unit ?? item?.unit ?? '';
  return plain === '' || item?.ratePer === undefined ? plain : `${plain}/${item.ratePer}`;
}
