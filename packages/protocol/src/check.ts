/**
 * Checks a value against a schema and says in words what is wrong. Uses TypeBox's interpreting checker, which makes no
 * code at run time, so that it also works in a page whose content policy forbids `eval`.
 */
import type { TSchema } from '@sinclair/typebox';
import { Value, type ValueError } from '@sinclair/typebox/value';
import { ValueErrorType } from '@sinclair/typebox/errors';

export type Checked<T> = { readonly ok: true; readonly value: T } | { readonly ok: false; readonly message: string };

const shorten = (text: string, length = 60): string => (text.length > length ? `${text.slice(0, length)}…` : text);

const shown = (value: unknown): string => {
  if (value === undefined) return 'nothing';
  if (typeof value === 'string') return `"${shorten(value)}"`;
  if (Array.isArray(value)) return 'a list';
  if (value !== null && typeof value === 'object') return 'an object';
  return String(value);
};

const words = (schema: TSchema): string => {
  if (schema['const'] !== undefined) return `"${String(schema['const'])}"`;
  const options = schema['anyOf'] as TSchema[] | undefined;
  if (options) return options.map(words).join(' or ');
  switch (schema['type']) {
    case 'integer':
    case 'number': {
      const kind = schema['type'] === 'integer' ? 'a whole number' : 'a number';
      const low = schema['minimum'] as number | undefined;
      const high = schema['maximum'] as number | undefined;
      if (low !== undefined && high !== undefined && high < 1e12) return `${kind} from ${low} to ${high}`;
      return low === undefined ? kind : `${kind}, ${low} or more`;
    }
    case 'string':
      return schema['maxLength'] === undefined
        ? 'a text'
        : `a text of at most ${String(schema['maxLength'])} characters`;
    case 'boolean':
      return 'true or false';
    case 'array':
      return 'a list';
    case 'null':
      return 'null';
    case 'object':
      return 'an object';
    default:
      return 'something else';
  }
};

/** One error as a sentence: which field, what was found, what was expected. */
const sentence = (error: ValueError): string => {
  const field = shorten(error.path.replace(/^\//, '').replace(/\//g, '.') || 'the message', 120);
  if (error.type === ValueErrorType.ObjectAdditionalProperties) return `${field} is not a field here.`;
  if (error.type === ValueErrorType.ObjectRequiredProperty)
    return `${field} is missing: expected ${words(error.schema)}.`;
  return `${field} is ${shown(error.value)}: expected ${words(error.schema)}.`;
};

/** Checks `value`; the first thing wrong comes back as one sentence. */
export const check = <S extends TSchema>(schema: S, value: unknown): Checked<S['static']> => {
  if (Value.Check(schema, value)) return { ok: true, value };
  const first = Value.Errors(schema, value).First();
  return { ok: false, message: first ? sentence(first) : 'The value does not fit.' };
};

/** True when `value` fits. */
export const fits = (schema: TSchema, value: unknown): boolean => Value.Check(schema, value);
