/**
 * Building blocks of the message schemas. Every object is closed: an unknown field is refused, so a projection can not
 * leak by accident and a typing slip in a command is told, not ignored.
 */
import { DEVICES } from '@breathline/scenario';
import { Type, type TLiteral, type TObject, type TSchema, type TUnion } from '@sinclair/typebox';

/** A closed object. */
export const closed = <P extends Record<string, TSchema>>(properties: P): TObject<P> =>
  Type.Object(properties, { additionalProperties: false });

type Literals<T extends readonly string[]> = { [K in keyof T]: T[K] extends string ? TLiteral<T[K]> : never };

/** One of the given words. */
export const oneOf = <const T extends readonly string[]>(words: T): TUnion<[...Literals<T>]> =>
  Type.Union(words.map((word) => Type.Literal(word))) as unknown as TUnion<[...Literals<T>]>;

/** A closed record with exactly the given keys. */
export const keyed = <const K extends readonly string[], S extends TSchema>(
  keys: K,
  schema: S,
): TObject<{ [P in K[number]]: S }> =>
  closed(Object.fromEntries(keys.map((key) => [key, schema]))) as unknown as TObject<{ [P in K[number]]: S }>;

export const nullable = <S extends TSchema>(schema: S) => Type.Union([schema, Type.Null()]);

export const list = <S extends TSchema>(schema: S, maxItems = 100_000) => Type.Array(schema, { maxItems });

/** 0 calm to 3 in the way. */
export const Distress = Type.Union([Type.Literal(0), Type.Literal(1), Type.Literal(2), Type.Literal(3)]);
/** How fast a run goes. */
export const SpeedFactor = Type.Union([Type.Literal(0.5), Type.Literal(1), Type.Literal(2), Type.Literal(4)]);

/** Whole milliseconds on the run clock; a day at most. */
export const Ms = Type.Integer({ minimum: 0, maximum: 86_400_000 });
/** A name of something in a scenario, formulary or pack. */
export const Id = Type.String({ minLength: 1, maxLength: 100, pattern: '^[A-Za-z0-9][A-Za-z0-9._:/ -]*$' });
/** A short text for people. */
export const Label = Type.String({ maxLength: 300 });
/** Stands for a person or a team; short, so that no sentence hides in it. */
export const Pseudonym = Type.String({ minLength: 1, maxLength: 40, pattern: '^[A-Za-z0-9][A-Za-z0-9 ._-]*$' });
/** Words a person typed. */
export const FreeText = Type.String({ maxLength: 4000 });
/** An amount, rate or level: finite (JSON has no other) and not past any unit's reach. */
export const Amount = Type.Number({ minimum: -1e9, maximum: 1e9 });
export const Seq = Type.Integer({ minimum: 1, maximum: 1_000_000_000 });
export const Count = Type.Integer({ minimum: 0, maximum: Number.MAX_SAFE_INTEGER });
export const Num = Type.Number();
export const Text = Type.String();

export { LETTERS } from '@breathline/patient';

/** Who a screen may be. */
export const ROLES = ['faculty', 'logger', 'observer', 'participant', 'monitor'] as const;
export const PHASES = ['ready', 'running', 'paused', 'ended'] as const;
export const VITALS = [
  'heartRatePerMin',
  'pulseRatePerMin',
  'respiratoryRatePerMin',
  'spo2Percent',
  'systolicMmHg',
  'diastolicMmHg',
  'meanMmHg',
  'etco2MmHg',
  'temperatureCelsius',
  'glucoseMmolPerL',
  'capillaryRefillS',
  'perfusionFraction',
  'consciousnessFraction',
  'paco2MmHg',
  'pao2MmHg',
  'arterialPh',
  'lactateMmolPerL',
  'ventilationRatio',
  'bronchospasmFraction',
  'upperAirwayFraction',
  'fio2Fraction',
  'rhythm',
  'arrested',
] as const;

export const Device = oneOf(DEVICES);
export const Vital = oneOf(VITALS);
export const Phase = oneOf(PHASES);
export const TrueVitalsSchema = keyed(VITALS, Num);
