/** A result as the analyser prints it in one line, taken apart to be read one value at a time. */
export interface ResultParts {
  /** "Arterial gas"; empty where the line names nothing. */
  readonly title: string;
  readonly parts: readonly { readonly label: string; readonly value: string }[];
}

/** "PCO2 6.0 kPa (45 mmHg)" in its two halves. */
function part(text: string): { label: string; value: string } {
  // A digit inside a name (PCO2) is not where the value begins.
  const at = text.search(/\s[−-]?\d/);
  return at <= 0 ? { label: '', value: text } : { label: text.slice(0, at), value: text.slice(at + 1) };
}

/** "Arterial gas: pH 7.31, PCO2 6.0 kPa (45 mmHg)" in title and values. */
export function resultParts(text: string): ResultParts {
  const at = text.indexOf(': ');
  const [title, values] = at < 0 ? ['', text] : [text.slice(0, at), text.slice(at + 2)];
  return { title, parts: values.split(', ').map(part) };
}
