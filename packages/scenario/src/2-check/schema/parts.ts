/**
 * Building blocks of the language's schemas. One TypeBox definition gives the TypeScript types, the checks and the
 * JSON Schema. `x-` keywords are ours: editors and Ajv ignore them, the checker reads them.
 *
 * - `x-quantity`: kinds of written quantity; `x-range`: bounds in the base unit
 * - `x-ref`: the text names something defined elsewhere
 * - `x-name`: what the value is called in a message
 * - `x-form`: what a text of a certain form should look like, in words
 * - `x-choose`: how a union picks its form: by the first key that only one form has
 */
import { Type, type Static, type TSchema, type TString } from '@sinclair/typebox';
import { quantityPattern, type QuantityKind } from '../../words/quantity.ts';

/** What an id may name. */
export type RefKind =
  | 'intervention'
  | 'assessment'
  | 'state'
  | 'thread'
  | 'pack'
  | 'target'
  | 'drive'
  | 'effect'
  | 'procedure'
  | 'disease'
  | 'source'
  | 'dose-rule';

export const ID_PATTERN = '^[a-z][a-z0-9]*(?:-[a-z0-9]+)*$';

type Examples = readonly unknown[];

/** Plain words for people. */
export function text(description: string, examples: Examples, maxLength = 4000): TString {
  return Type.String({ description, examples, minLength: 1, maxLength });
}

/** An id defined here. */
export function id(description: string, examples: Examples): TString {
  return Type.String({ description, examples, pattern: ID_PATTERN, maxLength: 64, 'x-id': true });
}

/** An id defined elsewhere. */
export function ref(kind: RefKind, description: string, examples: Examples): TString {
  return Type.String({ description, examples, pattern: ID_PATTERN, maxLength: 64, 'x-id': true, 'x-ref': kind });
}

/** A written quantity, e.g. `23 kg`. `range` is in the base unit of the kind. */
export function quantity(
  kinds: readonly QuantityKind[],
  description: string,
  examples: Examples,
  range?: readonly [number, number],
): TString {
  return Type.String({
    description,
    examples,
    pattern: quantityPattern(kinds),
    maxLength: 60,
    'x-quantity': kinds,
    ...(range ? { 'x-range': range } : {}),
  });
}

/** One of a few words. */
export function oneOf<const T extends readonly string[]>(words: T, description: string, name?: string) {
  return Type.Unsafe<T[number]>({
    type: 'string',
    enum: [...words],
    description,
    examples: [words[0]],
    ...(name ? { 'x-name': name } : {}),
  });
}

export function list<T extends TSchema>(
  items: T,
  description: string,
  examples: Examples,
  options: { minItems?: number; maxItems?: number } = {},
) {
  return Type.Array(items, { description, examples, maxItems: 500, ...options });
}

/** One item or a list of them. */
export function oneOrMore<T extends TSchema>(item: T, description: string, examples: Examples) {
  return Type.Union([item, Type.Array(item, { description, examples, minItems: 1, maxItems: 50 })], {
    description,
    examples,
  });
}

/** A map whose keys are ids chosen by the author. */
export function named<T extends TSchema>(value: T, description: string, examples: Examples, name: string) {
  return Type.Unsafe<Record<string, Static<T>>>({
    type: 'object',
    description,
    examples,
    minProperties: 1,
    maxProperties: 500,
    propertyNames: { pattern: ID_PATTERN, maxLength: 64 },
    additionalProperties: value,
    'x-name': name,
  });
}

/** A map with a closed set of keys. `name` is what messages call it. */
export function shape<T extends Record<string, TSchema>>(
  properties: T,
  name: string,
  description: string,
  examples: Examples = [],
) {
  return Type.Object(properties, {
    additionalProperties: false,
    description,
    ...(examples.length > 0 ? { examples } : {}),
    'x-name': name,
  });
}

export const optional = Type.Optional;

/** The first line of every file. */
export const version = () =>
  Type.Integer({
    description: 'Version of the language this file is written in.',
    examples: [1],
    minimum: 1,
    maximum: 1,
    'x-version': true,
  });

export const date = (description: string, examples: Examples) =>
  Type.String({ description, examples, pattern: '^\\d{4}-\\d{2}-\\d{2}$', 'x-date': true });

export const VERIFIED = ['primary', 'mirror', 'secondary', 'from-memory', 'teaching', 'arithmetic'] as const;

export const sourceSchema = shape(
  {
    organisation: text('Who published it.', ['Resuscitation Council UK'], 200),
    document: text('What it is called.', ['Emergency treatment of anaphylaxis'], 400),
    edition: optional(text('Edition or date of publication, as text.', ['May 2021'], 100)),
    section: optional(text('Section, table or page.', ['Dose table, p. 29'], 200)),
    doi: optional(text('Digital object identifier.', ['10.1016/j.resuscitation.2021.02.010'], 200)),
    url: optional(text('Where it can be read.', ['https://www.example.org/guideline'], 400)),
    verified: oneOf(
      VERIFIED,
      'How the number was seen: on the publisher’s page, a mirror, a summary, from memory; or it is a teaching value, or worked out.',
    ),
    'checked-on': date('The day it was looked at.', ['2026-11-25']),
    'checked-by': optional(
      text(
        'Named clinician who checked the line against the primary source. Leave out until one has.',
        ['A. Clinician, consultant in emergency medicine'],
        200,
      ),
    ),
  },
  'a source',
  'Where a value was published, and how far it has been checked.',
  [
    {
      organisation: 'Resuscitation Council UK',
      document: 'Emergency treatment of anaphylaxis',
      edition: 'May 2021',
      verified: 'secondary',
      'checked-on': '2026-11-25',
    },
  ],
);

export const sourcesSchema = () =>
  named(sourceSchema, 'The sources of this file, by a short id; every dose and target names one.', [], 'sources');

export const sourceRef = () => ref('source', 'Id of a source listed under `sources`.', ['dose-table']);

const DOSE_KINDS = ['mass', 'volume', 'units', 'mass-rate', 'volume-rate'] as const satisfies readonly QuantityKind[];
const PER_KG_KINDS = [
  'mass-per-kg',
  'volume-per-kg',
  'units-per-kg',
  'mass-per-kg-rate',
  'volume-per-kg-rate',
] as const satisfies readonly QuantityKind[];

export const dose = (description: string, examples: Examples) => quantity(DOSE_KINDS, description, examples);
export const dosePerKg = (description: string, examples: Examples) => quantity(PER_KG_KINDS, description, examples);
export const dosePlainOrPerKg = (description: string, examples: Examples) =>
  quantity([...DOSE_KINDS, ...PER_KG_KINDS], description, examples);

/** One band of age or weight with its dose. */
const doseBand = () =>
  shape(
    {
      from: optional(
        quantity(['age'], 'Age at which the band starts, inclusive; absent = birth.', ['6 years'], [0, 120]),
      ),
      below: optional(
        quantity(['age'], 'Age at which the band ends, exclusive; absent = no end.', ['12 years'], [0, 120]),
      ),
      'from-weight': optional(
        quantity(['weight'], 'Weight at which the band starts, inclusive.', ['10 kg'], [0.3, 400]),
      ),
      'below-weight': optional(
        quantity(['weight'], 'Weight at which the band ends, exclusive.', ['20 kg'], [0.3, 400]),
      ),
      dose: dose('The dose, or the low end of its range.', ['300 micrograms']),
      'up-to': optional(dose('The high end, where the source gives a range.', ['500 micrograms'])),
      note: optional(
        text('A condition or doubt that belongs to this band.', ['300 micrograms if small or prepubertal'], 400),
      ),
      source: optional(sourceRef()),
    },
    'a dose band',
    'One band of age (or weight) with its dose.',
    [{ from: '6 years', below: '12 years', dose: '300 micrograms' }],
  );

/** How a dose is worked out: bands of age or weight first, else by weight. Used by packs and by the formulary. */
export const doseParts = {
  'by-age': optional(
    list(
      doseBand(),
      'Doses by band of age or weight. Tried first.',
      [[{ from: '6 years', below: '12 years', dose: '300 micrograms' }]],
      { minItems: 1 },
    ),
  ),
  'per-kg': optional(
    shape(
      {
        dose: dosePerKg('The dose for each kilogram, or the low end of its range.', ['10 micrograms/kg']),
        'up-to': optional(dosePerKg('The high end, where the source gives a range.', ['10 mL/kg'])),
        max: optional(dose('Never more than this.', ['500 micrograms'])),
      },
      'a dose by weight',
      'Dose by weight; used where no band fits.',
      [{ dose: '10 micrograms/kg', max: '500 micrograms' }],
    ),
  ),
  concentration: optional(text('The strength assumed, as the formulary labels it.', ['1 mg/mL'], 60)),
  over: optional(quantity(['duration'], 'How long the giving lasts.', ['10 min'], [0, 86_400_000])),
  source: sourceRef(),
} as const;

/** A table of doses that a guideline prints beside its weight rule: right too, never suggested. Packs only. */
export const doseTable = optional(
  list(
    doseBand(),
    'A table the guideline prints beside `per-kg`: a dose after it is right too. Never suggested; the weight rule is.',
    [[{ from: '6 years', below: '12 years', dose: '300 micrograms' }]],
    { minItems: 1 },
  ),
);
