/** Collects what is wrong; nothing is thrown. Offsets inside, lines and frames only when asked for the list. */
import type { Diagnostic, ReadResult } from '../types.ts';
import { MESSAGES, sayMessage, type Facts, type MessageCode } from '../messages.ts';
import { plain, type Source } from './source.ts';

export interface Range {
  readonly start: number;
  readonly end: number;
}

interface Entry {
  readonly code: MessageCode;
  readonly range: Range;
  readonly facts: Facts;
  readonly path: string;
  readonly hint?: string;
}

/** More than this many are not listed: the first ones matter. */
const MOST = 100;
const LONGEST = 160;

export class Bag {
  private readonly entries: Entry[] = [];
  private readonly seen = new Set<string>();
  private dropped = 0;

  constructor(readonly source: Source) {}

  /** Adds one diagnostic; the same code at the same place is kept once. */
  add(code: MessageCode, range: Range, facts: Facts = {}, more: { path?: string; hint?: string } = {}): void {
    const key = `${code} ${range.start} ${facts['found'] ?? ''} ${facts['expected'] ?? ''}`;
    if (this.seen.has(key)) return;
    this.seen.add(key);
    if (this.entries.length >= MOST && MESSAGES[code].severity === 'error' && this.hasErrors) this.dropped += 1;
    else if (this.entries.length >= MOST * 2) this.dropped += 1;
    else this.entries.push({ code, range, facts, path: more.path ?? '', hint: more.hint });
  }

  /** Is an error already said of this very place? */
  hasErrorAt(start: number): boolean {
    return this.entries.some((entry) => entry.range.start === start && MESSAGES[entry.code].severity === 'error');
  }

  get hasErrors(): boolean {
    return this.entries.some((entry) => MESSAGES[entry.code].severity === 'error');
  }

  /** Every diagnostic in file order, with words, positions and frames. */
  list(): Diagnostic[] {
    const { source } = this;
    const sorted = this.entries
      .map((entry, index) => ({ entry, index }))
      .sort((a, b) => a.entry.range.start - b.entry.range.start || a.index - b.index)
      .map(({ entry }) => this.finish(entry));
    if (this.dropped > 0) {
      const end = source.text.length;
      sorted.push(
        this.finish({
          code: 'too-many-problems',
          range: { start: end, end },
          facts: { found: this.dropped },
          path: '',
        }),
      );
    }
    return sorted;
  }

  result<T>(build: () => T): ReadResult<T> {
    const all = this.list();
    const errors = all.filter((one) => one.severity === 'error');
    const warnings = all.filter((one) => one.severity === 'warning');
    return errors.length > 0 ? { ok: false, errors, warnings } : { ok: true, value: build(), warnings };
  }

  private finish(entry: Entry): Diagnostic {
    const from = this.source.position(entry.range.start);
    const to = this.source.position(Math.max(entry.range.end, entry.range.start));
    const facts: Record<string, string | number> = {};
    for (const [name, value] of Object.entries(entry.facts)) {
      const text = plain(String(value));
      facts[name] = text.length > LONGEST * 4 ? `${text.slice(0, LONGEST * 4)}…` : text;
    }
    return {
      code: entry.code,
      severity: MESSAGES[entry.code].severity,
      file: this.source.file,
      line: from.line,
      column: from.column,
      endLine: to.line,
      endColumn: to.column,
      path: plain(entry.path),
      message: sayMessage(entry.code, facts),
      ...(entry.hint === undefined ? {} : { hint: plain(entry.hint) }),
      frame: this.source.frame(entry.range.start, entry.range.end),
    };
  }
}

/** Shortens what a file said before quoting it back. */
export function quote(text: string, most = LONGEST): string {
  return text.length > most ? `${text.slice(0, most)}…` : text;
}

/** One diagnostic for a terminal: place, code, sentence, frame, mend. */
export function formatDiagnostic(diagnostic: Diagnostic): string {
  const lines = [
    `${plain(diagnostic.file)}:${diagnostic.line}:${diagnostic.column} ${diagnostic.severity} ${diagnostic.code}`,
    `  ${diagnostic.message}`,
  ];
  if (diagnostic.frame) lines.push(...diagnostic.frame.split('\n').map((line) => `  ${line}`));
  if (diagnostic.hint) lines.push(`  → ${diagnostic.hint}`);
  return lines.join('\n');
}
