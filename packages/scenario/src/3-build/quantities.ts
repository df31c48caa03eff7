/** Quantities of an already checked file, in base units. */
import { convertAmount, parseQuantity, tidy, type Quantity } from '../words/quantity.ts';

/** Parses a quantity that the checker has accepted. */
export function need(text: string): Quantity {
  const parsed = parseQuantity(text);
  if (!parsed.ok) throw new Error(`unchecked quantity ${parsed.problem}`);
  return parsed.quantity;
}

/** Milliseconds of a duration or clock time. */
export const ms = (text: string): number => Math.round(need(text).value);

/** Per cent to fraction. */
export const fraction = (text: string): number => tidy(need(text).value / 100);

const BASE: Readonly<Record<string, string>> = {
  mass: 'micrograms',
  'mass-per-kg': 'micrograms',
  'mass-rate': 'micrograms',
  'mass-per-kg-rate': 'micrograms',
  concentration: 'micrograms',
  volume: 'mL',
  'volume-per-kg': 'mL',
  'volume-rate': 'mL',
  'volume-per-kg-rate': 'mL',
  units: 'units',
  'units-per-kg': 'units',
  'units-concentration': 'units',
};

const RATES = new Set(['mass-rate', 'volume-rate', 'mass-per-kg-rate', 'volume-per-kg-rate']);

export const isRate = (quantity: Quantity): boolean => RATES.has(quantity.kind);
export const isPerKg = (quantity: Quantity): boolean => quantity.kind.includes('per-kg');

/**
 * The number in the intervention's own unit (and per its own time, for an infusion), or null when it measures another
 * thing. A volume of a drug given by mass is converted when one strength is known.
 */
export function amountIn(
  quantity: Quantity,
  target: { readonly unit?: string; readonly ratePer?: 'min' | 'h'; readonly strengthPerMl?: number },
): number | null {
  const base = BASE[quantity.kind];
  if (base === undefined || target.unit === undefined) return null;
  if (isRate(quantity) !== (target.ratePer !== undefined)) return null;
  const perTime = target.ratePer === 'min' ? quantity.value / 60 : quantity.value;
  const converted = convertAmount(perTime, base, target.unit);
  if (converted !== null) return tidy(converted);
  if (base === 'mL' && target.strengthPerMl !== undefined) return tidy(perTime * target.strengthPerMl);
  return null;
}
