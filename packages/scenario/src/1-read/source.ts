/** One text with its name: turns offsets into lines, columns and caret frames. Only the edge does that. */
export class Source {
  private readonly lineStarts: number[] = [0];

  constructor(
    readonly file: string,
    readonly text: string,
  ) {
    for (let i = text.indexOf('\n'); i >= 0; i = text.indexOf('\n', i + 1)) this.lineStarts.push(i + 1);
  }

  /** 1-based line and column (UTF-16 units, as editors count) of an offset. */
  position(offset: number): { readonly line: number; readonly column: number } {
    const at = Math.max(0, Math.min(offset, this.text.length));
    let low = 0;
    let high = this.lineStarts.length - 1;
    while (low < high) {
      const middle = (low + high + 1) >> 1;
      if (this.lineStarts[middle]! <= at) low = middle;
      else high = middle - 1;
    }
    return { line: low + 1, column: at - this.lineStarts[low]! + 1 };
  }

  private line(number: number): string {
    const start = this.lineStarts[number - 1]!;
    const next = this.lineStarts[number];
    return this.text.slice(start, next === undefined ? this.text.length : next - 1).replace(/\r$/, '');
  }

  /** The line with a caret under the range, cut to about 100 columns around it. */
  frame(start: number, end: number): string {
    const from = this.position(start);
    const to = this.position(Math.max(start + 1, end));
    const text = this.line(from.line);
    const column = from.column - 1;
    const width = 100;
    const cut = column > width - 20 ? Math.max(0, Math.min(column - 40, text.length - width)) : 0;
    const shown = plain(text.slice(cut, cut + width));
    const last = to.line === from.line ? to.column - 1 : text.length;
    const carets = Math.max(1, Math.min(last, cut + width) - column);
    const label = String(from.line);
    const gutter = ' '.repeat(label.length);
    const lead = cut > 0 ? '…' : '';
    return [
      `${label} | ${lead}${shown}${cut + width < text.length ? '…' : ''}`,
      `${gutter} | ${' '.repeat(lead.length + column - cut)}${'^'.repeat(carets)}`,
    ].join('\n');
  }
}

/** Control characters would let a hostile file paint over the terminal; a middle dot stands for each. */
export function plain(text: string): string {
  // eslint-disable-next-line no-control-regex
  return text.replace(/\t/g, ' ').replace(/[\u0000-\u001f\u007f-\u009f\u200e\u200f\u202a-\u202e\u2066-\u2069]/g, '·');
}
