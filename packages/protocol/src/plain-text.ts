/** Text that any store and screen can keep: whole characters, and no control character but tab and line ends. */

/* eslint-disable no-control-regex */
const ODD =
  /[\u0000-\u0008\u000b\u000c\u000e-\u001f]|[\ud800-\udbff](?![\udc00-\udfff])|(?<![\ud800-\udbff])[\udc00-\udfff]/;
/* eslint-enable no-control-regex */

/**
 * Where in `value` (a tree as JSON gives it) a text, or the name of a field, holds half a character (an emoji cut in two)
 * or a control character; null when none does.
 */
export const oddTextAt = (value: unknown, at = ''): string | null => {
  if (typeof value === 'string') return ODD.test(value) ? at || 'the message' : null;
  if (typeof value !== 'object' || value === null) return null;
  for (const [key, inner] of Object.entries(value)) {
    const place = at === '' ? key : `${at}.${key}`;
    if (!Array.isArray(value) && ODD.test(key)) return at || 'the message';
    const found = oddTextAt(inner, place);
    if (found !== null) return found;
  }
  return null;
};

/** The refusal's words. */
export const oddTextMessage = (place: string): string =>
  `${place} holds half a character or a control character, which can not be kept: type it again.`;
