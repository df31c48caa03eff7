/**
 * Words people typed are kept beside the log, not in it: the log holds a salted hash, so that a name typed by mistake
 * can be erased without altering a logged row.
 */
import { createHash, randomBytes } from 'node:crypto';
import { TYPED_WORDS, type EventBody, type EventKind } from '@breathline/engine';

export interface TextRow {
  readonly field: string;
  readonly salt: string;
  readonly text: string;
}

/** Where the hash of a field's words stands in a stored body. */
const hashKey = (field: string): string => `${field}Hash`;

const hash = (salt: string, text: string): string => createHash('sha256').update(`${salt}\n${text}`).digest('hex');

/** Splits a body into what is logged and what is kept beside it. */
export const takeTexts = (body: EventBody): { body: Record<string, unknown>; texts: TextRow[] } => {
  const stored: Record<string, unknown> = { ...body };
  const texts: TextRow[] = [];
  for (const field of TYPED_WORDS[body.kind] ?? []) {
    const text = stored[field];
    if (typeof text !== 'string' || text === '') continue;
    const salt = randomBytes(16).toString('hex');
    texts.push({ field, salt, text });
    stored[field] = '';
    stored[hashKey(field)] = hash(salt, text);
  }
  return { body: stored, texts };
};

/** Stands where words were: an adjustment with a reason, a loop with a conclusion, stay what they were without the words. */
export const ERASED = '(erased)';

/** Puts the words back. An erased text says so; one that does not match its hash is left out. */
export const giveTexts = (stored: Record<string, unknown>, texts: readonly TextRow[]): EventBody => {
  const body = { ...stored };
  for (const field of TYPED_WORDS[stored['kind'] as EventKind] ?? []) {
    const expected = body[hashKey(field)];
    delete body[hashKey(field)];
    const row = texts.find((text) => text.field === field);
    if (!row && typeof expected === 'string') body[field] = ERASED;
    if (row && hash(row.salt, row.text) === expected) body[field] = row.text;
  }
  return body as unknown as EventBody;
};
