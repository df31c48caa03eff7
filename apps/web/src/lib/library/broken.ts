/** What is wrong with a file, as somebody reads it who does not program. Pure. */
import type { Diagnostic } from '$lib/api';

/** "Line 24, column 11"; a file as a whole has no place. */
export const placeWords = ({ line, column }: Pick<Diagnostic, 'line' | 'column'>): string =>
  line > 0 ? `Line ${line}, column ${column}:` : '';

const SYNTAX_HINT =
  'look at how far this line and the one above are indented: keys of one group begin in the same column, and a colon has a space after it';

/**
 * One slip of indentation throws off every line after it: of such errors only the first is worth reading. `following` =
 * how many were left out.
 */
export function worthSaying(errors: readonly Diagnostic[]): {
  readonly errors: readonly Diagnostic[];
  readonly following: number;
} {
  const first = errors.find(({ code }) => code === 'yaml-syntax');
  if (first === undefined) return { errors, following: 0 };
  return { errors: [{ ...first, hint: first.hint ?? SYNTAX_HINT }], following: errors.length - 1 };
}
