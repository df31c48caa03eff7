/**
 * A sheet of A4 with the project's typeface, its caution on every page and numbered pages. Thin over pdfkit: what is
 * written is decided by the caller. Fonts are embedded, so the file looks the same where it is opened; a second one holds
 * Greek, Cyrillic and the Latin letters that the first lacks.
 */
import { createRequire } from 'node:module';
import PDFDocument from 'pdfkit';

const require = createRequire(import.meta.url);
const face = (weight: number): string =>
  require.resolve(
    `@fontsource/atkinson-hyperlegible-next/files/atkinson-hyperlegible-next-latin-${weight}-normal.woff`,
  );
/** For what the project's typeface lacks (Greek, Cyrillic, further Latin letters): one that comes along, under the OFL. */
const wideFace = (style: 'Regular' | 'Bold'): string =>
  require.resolve(`pdfjs-dist/standard_fonts/LiberationSans-${style}.ttf`);

export const INK = '#1a1d21';
export const SOFT = '#5b636d';
export const RULE = '#c9ced5';
export const WARN = '#a3261b';
export const MARGIN = 42;

export type Pdf = InstanceType<typeof PDFDocument>;

/** The one thing asked of a font here; pdfkit reads them with the same library. */
const fontkit = createRequire(require.resolve('pdfkit'))('fontkit') as {
  openSync(file: string): { hasGlyphForCodePoint(point: number): boolean };
};
type Face = ReturnType<typeof fontkit.openSync>;
let faces: { readonly own: Face; readonly wide: Face } | null = null;
const opened = () => (faces ??= { own: fontkit.openSync(face(400)), wide: fontkit.openSync(wideFace('Regular')) });
const heldBy =
  (which: 'own' | 'wide') =>
  (letter: string): boolean =>
    letter === '\n' || opened()[which].hasGlyphForCodePoint(letter.codePointAt(0)!);
const own = heldBy('own');
const wide = heldBy('wide');

/** Letters that no decomposition takes apart. */
const ALIKE: Readonly<Record<string, string>> = { Ł: 'L', ł: 'l', Đ: 'D', đ: 'd', ı: 'i', '‑': '-', '−': '–' };
const LACKING = '?';

const signsInWords = (text: string): string =>
  text
    .replaceAll('₂', '2')
    .replaceAll('≥', 'at least ')
    .replaceAll('≤', 'at most ')
    .replaceAll('→', 'to')
    .replaceAll('\t', ' ')
    .normalize('NFC');

/** A letter of another alphabet or with a mark: the wide face has it and no plainer letter says the same. */
const needsWide = (letter: string): boolean => /\p{L}/u.test(letter) && !own(letter) && wide(letter);

/** A whole text in one face, so that its height is one face's: the wide one where a letter of it asks for that. */
export const faceOf = (text: string, weight: 'regular' | 'strong'): string =>
  [...signsInWords(text)].some(needsWide) ? `wide-${weight}` : weight;

/**
 * Characters that no embedded face holds, written so that nothing turns into an empty box: signs in words, letters
 * without their marks, and a question mark for another script, which `finish` explains.
 */
export const plain = (text: string): string => {
  const letters = [...signsInWords(text)];
  const holds = letters.some(needsWide) ? wide : own;
  return letters
    .map((letter) => {
      if (holds(letter)) return letter;
      const bare = ALIKE[letter] ?? letter.normalize('NFD').replace(/\p{M}/gu, '');
      return bare !== '' && [...bare].every(holds) ? bare : /\p{M}|\p{C}/u.test(letter) ? '' : LACKING;
    })
    .join('');
};

/** Does something of a text stand as a question mark that was none? */
const lacks = (text: string): boolean => plain(text).split(LACKING).length > text.split(LACKING).length;

export class Sheet {
  readonly pdf: Pdf;
  readonly #done: Promise<Buffer>;
  readonly #caution: string;
  #lacking = false;

  /** `title` goes into the file's own description as well; no author, no machine name. */
  constructor(options: { readonly title: string; readonly caution: string; readonly createdAt: Date }) {
    this.#caution = plain(options.caution);
    this.pdf = new PDFDocument({
      size: 'A4',
      margins: { top: MARGIN, bottom: MARGIN + 26, left: MARGIN, right: MARGIN },
      bufferPages: true,
      lang: 'en-GB',
      displayTitle: true,
      info: { Title: options.title, Creator: 'Breathline', Producer: 'Breathline', CreationDate: options.createdAt },
    });
    this.pdf.registerFont('regular', face(400));
    this.pdf.registerFont('strong', face(700));
    this.pdf.registerFont('wide-regular', wideFace('Regular'));
    this.pdf.registerFont('wide-strong', wideFace('Bold'));
    this.pdf.font('regular').fillColor(INK);
    const chunks: Buffer[] = [];
    this.#done = new Promise((resolve, reject) => {
      this.pdf.on('data', (chunk: Buffer) => chunks.push(chunk));
      this.pdf.on('end', () => resolve(Buffer.concat(chunks)));
      this.pdf.on('error', reject);
    });
  }

  get width(): number {
    return this.pdf.page.width - 2 * MARGIN;
  }

  get bottom(): number {
    return this.pdf.page.height - MARGIN - 26;
  }

  /** Starts a new page unless `height` points are left on this one. */
  need(height: number): void {
    if (this.pdf.y + height > this.bottom) this.pdf.addPage();
  }

  title(text: string): void {
    this.pdf.font(faceOf(text, 'strong')).fontSize(20).fillColor(INK).text(this.plain(text), { width: this.width });
    this.pdf.moveDown(0.2);
  }

  heading(text: string): void {
    this.need(60);
    this.pdf.moveDown(0.7);
    this.pdf
      .font(faceOf(text, 'strong'))
      .fontSize(13)
      .fillColor(INK)
      .text(this.plain(text), MARGIN, this.pdf.y, { width: this.width });
    this.pdf.moveDown(0.25);
  }

  /** Remembers what no face could write, for the line at the foot. */
  plain(text: string): string {
    this.#lacking ||= lacks(text);
    return plain(text);
  }

  text(text: string, options: { soft?: boolean; strong?: boolean; warn?: boolean; size?: number } = {}): void {
    this.pdf
      .font(faceOf(text, options.strong ? 'strong' : 'regular'))
      .fontSize(options.size ?? 10)
      .fillColor(options.warn ? WARN : options.soft ? SOFT : INK)
      .text(this.plain(text), MARGIN, this.pdf.y, { width: this.width, lineGap: 1.5 });
  }

  rule(): void {
    const y = this.pdf.y + 3;
    this.pdf
      .moveTo(MARGIN, y)
      .lineTo(MARGIN + this.width, y)
      .lineWidth(0.5)
      .strokeColor(RULE)
      .stroke();
    this.pdf.y = y + 4;
  }

  /** Rows of two columns: a short name, and what is to be said of it. */
  pairs(rows: readonly (readonly [string, string])[], nameWidth = 150): void {
    for (const [name, value] of rows) {
      const options = { width: this.width - nameWidth, lineGap: 1 };
      const set = (text: string) => this.pdf.font(faceOf(text, 'regular')).fontSize(10);
      const height = set(value).heightOfString(this.plain(value), options);
      this.need(height + 4);
      const y = this.pdf.y;
      set(name)
        .fillColor(SOFT)
        .text(this.plain(name), MARGIN, y, { width: nameWidth - 8 });
      const after = this.pdf.y;
      set(value)
        .fillColor(INK)
        .text(this.plain(value), MARGIN + nameWidth, y, options);
      this.pdf.y = Math.max(after, y + height) + 3;
    }
  }

  /** Closes the file: the caution and the page's number at the foot of each page. */
  async finish(): Promise<Buffer> {
    const { pdf } = this;
    const { start, count } = pdf.bufferedPageRange();
    for (let i = start; i < start + count; i++) {
      pdf.switchToPage(i);
      // Writing below the margin would start a new page.
      pdf.page.margins.bottom = 0;
      const y = pdf.page.height - MARGIN - 14;
      if (this.#lacking) {
        pdf
          .font('regular')
          .fontSize(7)
          .fillColor(SOFT)
          .text('? stands for letters that these typefaces lack; the run’s own file holds them.', MARGIN, y - 14);
      }
      pdf
        .font('strong')
        .fontSize(8)
        .fillColor(WARN)
        .text(this.#caution, MARGIN, y - 4, { width: this.width - 60 });
      pdf
        .font('regular')
        .fillColor(SOFT)
        .text(`${i - start + 1} of ${count}`, MARGIN + this.width - 60, y, { width: 60, align: 'right' });
    }
    pdf.end();
    return this.#done;
  }
}
