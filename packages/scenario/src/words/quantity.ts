/**
 * Written quantities: a number and its unit, as a clinician writes them (`23 kg`, `150 micrograms`, `0:50`).
 *
 * Parsing shifts the decimal point in the text instead of multiplying, so `0.57 mg` is exactly 570 micrograms.
 */

/** What a quantity measures. `value` of a parsed quantity is always in the base unit named here. */
export type QuantityKind =
  /** milliseconds */
  | 'duration'
  /** milliseconds on the run clock */
  | 'clock'
  /** decimal years */
  | 'age'
  /** kg */
  | 'weight'
  /** cm */
  | 'length'
  /** micrograms */
  | 'mass'
  /** mL */
  | 'volume'
  /** units (of activity) */
  | 'units'
  /** L/min */
  | 'flow'
  /** percent, 0 to 100 */
  | 'percent'
  /** per minute */
  | 'rate'
  /** mmHg */
  | 'pressure'
  /** degrees Celsius */
  | 'temperature'
  /** mmol/L */
  | 'molar'
  /** g/dL */
  | 'haemoglobin'
  /** micrograms/kg, mL/kg or units/kg, see `unit` */
  | 'mass-per-kg'
  | 'volume-per-kg'
  | 'units-per-kg'
  /** micrograms/h, mL/h */
  | 'mass-rate'
  | 'volume-rate'
  /** micrograms/kg/h, mL/kg/h */
  | 'mass-per-kg-rate'
  | 'volume-per-kg-rate'
  /** micrograms/mL, units/mL */
  | 'concentration'
  | 'units-concentration';

export interface Quantity {
  readonly kind: QuantityKind;
  /** In the base unit of `kind`. */
  readonly value: number;
  /** The unit as the author wrote it, normalised. For compound durations and clock times, the base unit. */
  readonly unit: string;
  /** The number as written, in `unit`. */
  readonly written: number;
}

export type QuantityResult =
  | { readonly ok: true; readonly quantity: Quantity }
  | { readonly ok: false; readonly problem: string; readonly hint: string };

interface UnitRow {
  readonly kind: QuantityKind;
  /** Power of ten to the base unit, or a factor where it is not a power of ten. */
  readonly exponent?: number;
  readonly factor?: number;
}

const MASS: readonly (readonly [string, number])[] = [
  ['micrograms', 0],
  ['mg', 3],
  ['g', 6],
];

/** Every accepted unit spelling. One spelling each, except plain English singulars and plurals. */
const UNITS: ReadonlyMap<string, UnitRow> = new Map<string, UnitRow>([
  ['ms', { kind: 'duration' }],
  ['s', { kind: 'duration', exponent: 3 }],
  ['second', { kind: 'duration', exponent: 3 }],
  ['seconds', { kind: 'duration', exponent: 3 }],
  ['min', { kind: 'duration', factor: 60_000 }],
  ['minute', { kind: 'duration', factor: 60_000 }],
  ['minutes', { kind: 'duration', factor: 60_000 }],
  ['h', { kind: 'duration', factor: 3_600_000 }],
  ['hour', { kind: 'duration', factor: 3_600_000 }],
  ['hours', { kind: 'duration', factor: 3_600_000 }],
  ['day', { kind: 'age', factor: 1 / 365.25 }],
  ['days', { kind: 'age', factor: 1 / 365.25 }],
  ['week', { kind: 'age', factor: 7 / 365.25 }],
  ['weeks', { kind: 'age', factor: 7 / 365.25 }],
  ['month', { kind: 'age', factor: 1 / 12 }],
  ['months', { kind: 'age', factor: 1 / 12 }],
  ['year', { kind: 'age' }],
  ['years', { kind: 'age' }],
  ['kg', { kind: 'weight' }],
  ['cm', { kind: 'length' }],
  ['m', { kind: 'length', exponent: 2 }],
  ['microgram', { kind: 'mass' }],
  ['microgram/mL', { kind: 'concentration' }],
  ...MASS.map(([unit, exponent]) => [unit, { kind: 'mass', exponent }] as [string, UnitRow]),
  ...MASS.map(([unit, exponent]) => [`${unit}/kg`, { kind: 'mass-per-kg', exponent }] as [string, UnitRow]),
  ...MASS.map(([unit, exponent]) => [`${unit}/h`, { kind: 'mass-rate', exponent }] as [string, UnitRow]),
  ...MASS.map(
    ([unit, exponent]) => [`${unit}/min`, { kind: 'mass-rate', factor: 60 * 10 ** exponent }] as [string, UnitRow],
  ),
  ...MASS.map(([unit, exponent]) => [`${unit}/kg/h`, { kind: 'mass-per-kg-rate', exponent }] as [string, UnitRow]),
  ...MASS.map(
    ([unit, exponent]) =>
      [`${unit}/kg/min`, { kind: 'mass-per-kg-rate', factor: 60 * 10 ** exponent }] as [string, UnitRow],
  ),
  ...MASS.map(([unit, exponent]) => [`${unit}/mL`, { kind: 'concentration', exponent }] as [string, UnitRow]),
  ['mL', { kind: 'volume' }],
  ['L', { kind: 'volume', exponent: 3 }],
  ['mL/kg', { kind: 'volume-per-kg' }],
  ['mL/h', { kind: 'volume-rate' }],
  ['mL/kg/h', { kind: 'volume-per-kg-rate' }],
  ['unit', { kind: 'units' }],
  ['units', { kind: 'units' }],
  ['units/kg', { kind: 'units-per-kg' }],
  ['units/mL', { kind: 'units-concentration' }],
  ['L/min', { kind: 'flow' }],
  ['%', { kind: 'percent' }],
  ['/min', { kind: 'rate' }],
  ['mmHg', { kind: 'pressure' }],
  /** 1 kPa = 7.500617 mmHg (1 mmHg = 133.322387 Pa, BIPM SI Brochure 9th ed., 2019, non-SI units). */
  ['kPa', { kind: 'pressure', factor: 1000 / 133.322387 }],
  ['°C', { kind: 'temperature' }],
  ['C', { kind: 'temperature' }],
  ['mmol/L', { kind: 'molar' }],
  ['g/dL', { kind: 'haemoglobin' }],
  ['g/L', { kind: 'haemoglobin', exponent: -1 }],
]);

/** Spellings people write that we refuse, with what to write instead. */
const REFUSED: ReadonlyMap<string, string> = new Map([
  ['mcg', 'write `micrograms` in full: the short forms are misread as milligrams'],
  ['ug', 'write `micrograms` in full: the short forms are misread as milligrams'],
  ['µg', 'write `micrograms` in full: the short forms are misread as milligrams'],
  ['μg', 'write `micrograms` in full: the short forms are misread as milligrams'],
  ['gamma', 'write `micrograms` in full'],
  ['mgs', 'write `mg`'],
  ['milligrams', 'write `mg`'],
  ['gm', 'write `g`'],
  ['gms', 'write `g`'],
  ['grams', 'write `g`'],
  ['u', 'write `units` in full: a `U` is misread as a zero'],
  ['iu', 'write `units` in full: a `U` is misread as a zero'],
  ['ml', 'write `mL` with a capital L'],
  ['cc', 'write `mL`'],
  ['l', 'write `L`'],
  ['litres', 'write `L`'],
  ['lb', 'weigh in kilograms: 1 lb is 0.4536 kg; write e.g. `23 kg`'],
  ['lbs', 'weigh in kilograms: 1 lb is 0.4536 kg; write e.g. `23 kg`'],
  ['pounds', 'weigh in kilograms: 1 lb is 0.4536 kg; write e.g. `23 kg`'],
  ['st', 'weigh in kilograms: 1 stone is 6.35 kg; write e.g. `70 kg`'],
  ['stone', 'weigh in kilograms: 1 stone is 6.35 kg; write e.g. `70 kg`'],
  ['kgs', 'write `kg`'],
  ['kilos', 'write `kg`'],
  ['sec', 'write `s`'],
  ['secs', 'write `s`'],
  ['mins', 'write `min`'],
  ['hr', 'write `h`'],
  ['hrs', 'write `h`'],
  ['y', 'write `years`'],
  ['yr', 'write `years`'],
  ['yrs', 'write `years`'],
  ['yo', 'write `years`'],
  ['mo', 'write `months`'],
  ['mth', 'write `months`'],
  ['bpm', 'write `/min`'],
  ['per min', 'write `/min`'],
  ['l/min', 'write `L/min`'],
  ['lpm', 'write `L/min`'],
  ['mmhg', 'write `mmHg`'],
  ['kpa', 'write `kPa`'],
  ['f', 'write degrees Celsius, e.g. `37.2 °C`'],
  ['°f', 'write degrees Celsius, e.g. `37.2 °C`'],
  ['percent', 'write `%`'],
  ['per cent', 'write `%`'],
  ['mg/dl', 'write glucose in `mmol/L` (mg/dL divided by 18)'],
  ['mmol/l', 'write `mmol/L`'],
]);

/** The only spellings of each kind, for messages, patterns and completion. */
export function unitsOf(kind: QuantityKind): readonly string[] {
  return [...UNITS].filter(([, row]) => row.kind === kind).map(([unit]) => unit);
}

const NUMBER = '(?:[1-9]\\d{0,2}(?:,\\d{3})+|0|[1-9]\\d*)(?:\\.\\d+)?';
const SPACE = '[ \\u00a0\\u2009\\u202f]?';
const escape = (text: string): string => text.replace(/[/\\^$.*+?()[\]{}|]/g, '\\$&');

/** The regular expression source (anchored, usable in JSON Schema) that a written quantity of these kinds must match. */
export function quantityPattern(kinds: readonly QuantityKind[]): string {
  const forms: string[] = [];
  for (const kind of kinds) {
    if (kind === 'clock') {
      forms.push('\\d{1,3}:[0-5]\\d(?::[0-5]\\d)?');
      continue;
    }
    // Longest first so that `months` is not read as `m`.
    const units = [...unitsOf(kind)].sort((a, b) => b.length - a.length).map(escape);
    const one = `${NUMBER}${SPACE}(?:${units.join('|')})`;
    forms.push(kind === 'duration' || kind === 'age' ? `${one}(?: ${one})*` : one);
  }
  return `^(?:${forms.join('|')})$`;
}

const ONE = new RegExp(`^(${NUMBER})${SPACE}(.+)$`, 'u');
const CLOCK = /^(\d{1,3}):([0-5]\d)(?::([0-5]\d))?$/;

/** One number and unit; null when the unit is not ours. */
function parseOne(digits: string, unit: string): Quantity | null {
  const row = UNITS.get(unit);
  if (!row) return null;
  const plain = digits.replaceAll(',', '');
  const written = Number(plain);
  const value =
    row.factor !== undefined ? written * row.factor : row.exponent ? Number(`${plain}e${row.exponent}`) : written;
  return { kind: row.kind, value, unit, written };
}

/**
 * Reads one written quantity. Never throws.
 *
 * Accepts ASCII, non-breaking and thin spaces (or none) between number and unit, thousands commas, compound durations
 * and ages (`1 min 30 s`, `1 year 6 months`), and clock times `m:ss` or `h:mm:ss`.
 */
export function parseQuantity(text: string): QuantityResult {
  const trimmed = text.trim();
  if (trimmed.length > 60)
    return bad(trimmed.slice(0, 30) + '…', 'is too long for a quantity', 'write a number and a unit');
  const clock = CLOCK.exec(trimmed);
  if (clock) {
    const [, first, second, third] = clock;
    const value =
      third === undefined
        ? (Number(first) * 60 + Number(second)) * 1000
        : (Number(first) * 3600 + Number(second) * 60 + Number(third)) * 1000;
    return { ok: true, quantity: { kind: 'clock', value, unit: 'ms', written: value } };
  }
  const whole = ONE.exec(trimmed);
  const simple = whole ? parseOne(whole[1]!, whole[2]!) : null;
  if (simple) {
    return Number.isFinite(simple.value)
      ? { ok: true, quantity: simple }
      : bad(trimmed, 'is too large a number', 'check the digits');
  }
  const compound = parseCompound(trimmed);
  if (compound) return { ok: true, quantity: compound };
  return explain(trimmed);
}

const PART = new RegExp(`^(${NUMBER})${SPACE}([a-z]+)(?: |$)`);

function parseCompound(text: string): Quantity | null {
  let rest = text;
  let total = 0;
  let kind: QuantityKind | null = null;
  while (rest !== '') {
    const match = PART.exec(rest);
    const part = match ? parseOne(match[1]!, match[2]!) : null;
    if (!part || (part.kind !== 'duration' && part.kind !== 'age')) return null;
    if (kind !== null && kind !== part.kind) return null;
    kind = part.kind;
    total += part.value;
    rest = rest.slice(match![0].length);
  }
  if (kind === null || !Number.isFinite(total)) return null;
  return { kind, value: total, unit: kind === 'age' ? 'years' : 'ms', written: total };
}

function bad(text: string, problem: string, hint: string): QuantityResult {
  return { ok: false, problem: `\`${text}\` ${problem}`, hint };
}

function explain(text: string): QuantityResult {
  if (text === '') return bad(text, 'is empty', 'write a number and a unit');
  if (/^[-−]/.test(text)) return bad(text, 'is negative', 'quantities here are zero or more');
  if (/^\.\d/.test(text)) return bad(text, 'starts with a bare decimal point', `write a leading zero: \`0${text}\``);
  if (/^\d+:\d+/.test(text))
    return bad(text, 'is not a clock time', 'write minutes and seconds, e.g. `0:50` or `12:05`');
  if (/^\d+,\d{1,2}(?!\d)/.test(text)) {
    return bad(text, 'has a comma for the decimal point', `write \`${text.replace(',', '.')}\``);
  }
  if (/^0\d/.test(text)) return bad(text, 'has a stray leading zero', 'write the number without it');
  const split = /^([\d.,]+)[\s\u00a0\u2009\u202f]*(.*)$/u.exec(text);
  if (!split) return bad(text, 'is not a number with a unit', 'write a number and a unit, e.g. `23 kg`');
  const unit = split[2]!.trim();
  if (unit === '') return bad(text, 'has no unit', 'write the unit after the number');
  const refused = REFUSED.get(unit.toLowerCase()) ?? REFUSED.get(unit.toLowerCase().split('/')[0]!);
  if (refused && !UNITS.has(unit)) return bad(text, `has the unit \`${unit}\``, refused);
  if (!UNITS.has(unit)) return bad(text, `has a unit we don't know, \`${unit}\``, 'write the number and a known unit');
  return bad(text, 'is not a plain number with a unit', 'write digits, at most one decimal point, then the unit');
}

/** Removes the noise of binary fractions (0.30000000000000004) without changing what a person would write. */
export function tidy(value: number): number {
  return Number.isFinite(value) ? Number(value.toPrecision(12)) : value;
}

const NBSP = '\u00a0';

/** A number as printed beside a drug: leading zero, no trailing zero, thousands comma, at most six decimals. */
export function formatNumber(value: number): string {
  if (!Number.isFinite(value)) return 'unknown';
  const fixed = tidy(value)
    .toFixed(6)
    .replace(/\.?0+$/, '');
  const [whole, fraction] = fixed.split('.') as [string, string | undefined];
  const grouped = whole.replace(/\B(?=(\d{3})+(?!\d))/g, ',');
  const text = fraction === undefined ? grouped : `${grouped}.${fraction}`;
  return text === '-0' ? '0' : text;
}

export type AmountUnit = 'micrograms' | 'mg' | 'g' | 'mL' | 'units';

const MICROGRAMS_EXPONENT: Readonly<Record<string, number>> = { micrograms: 0, mg: 3, g: 6 };

/** Moves the decimal point exactly: shift(0.57, 3) is 570. */
export function shift(value: number, exponent: number): number {
  if (exponent === 0 || !Number.isFinite(value)) return value;
  const [digits, power] = value.toExponential().split('e') as [string, string];
  return Number(`${digits}e${Number(power) + exponent}`);
}

/** Converts an amount between drug units, or null when they don't measure the same thing. */
export function convertAmount(value: number, from: string, to: string): number | null {
  if (from === to) return value;
  const a = MICROGRAMS_EXPONENT[from];
  const b = MICROGRAMS_EXPONENT[to];
  return a === undefined || b === undefined ? null : shift(value, a - b);
}

/**
 * An amount as it must be shown: `micrograms` in full; below 1 mg in micrograms, below 1 g in mg; a leading and never
 * a trailing zero; thousands comma; a non-breaking space before the unit.
 */
export function formatAmount(amount: number, unit: AmountUnit | string): string {
  const exponent = MICROGRAMS_EXPONENT[unit];
  if (exponent === undefined) return `${formatNumber(amount)}${NBSP}${unit}`;
  const micrograms = tidy(shift(amount, exponent));
  const size = Math.abs(micrograms);
  if (size < 1000) return `${formatNumber(micrograms)}${NBSP}${micrograms === 1 ? 'microgram' : 'micrograms'}`;
  if (size < 1_000_000) return `${formatNumber(shift(micrograms, -3))}${NBSP}mg`;
  return `${formatNumber(shift(micrograms, -6))}${NBSP}g`;
}

/** A duration in words: `90 s`, `5 min`, `1 min 30 s`, `2 h`. */
export function formatDuration(ms: number): string {
  if (ms < 1000) return `${formatNumber(ms)} ms`;
  if (ms < 120_000 && ms % 60_000 !== 0) return `${formatNumber(ms / 1000)} s`;
  const hours = Math.floor(ms / 3_600_000);
  const minutes = Math.floor((ms % 3_600_000) / 60_000);
  const seconds = tidy((ms % 60_000) / 1000);
  const parts: string[] = [];
  if (hours > 0) parts.push(`${hours} h`);
  if (minutes > 0) parts.push(`${minutes} min`);
  if (seconds > 0) parts.push(`${formatNumber(seconds)} s`);
  return parts.join(' ');
}
